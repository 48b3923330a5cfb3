package diagnose

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"

	"deadrung/circuits/network"
)

// spreading is a reading of volts that loads divide where more than two sides of sources stand
// around them: three phases, two hots with a neutral. A point between them is a mean of their
// voltages, weighed by how well each is connected, and with other parts the odds of each weight
// differ as those of a share do.
type spreading struct {
	m     *worked
	at    potentials
	value float64
	sides []network.Node // two for each source
	tied  []int
}

// span gives from what to what the volts between two nodes may come; one and other are the sides
// that have their voltage, -1 for none. It is zero where only two sides divide, which the value tells,
// and behind a source that is fed with divided volts itself.
func (s *spreading) span(a, b network.Node, one, other int) (span [2]float32) {
	if !s.held(a) || !s.held(b) {
		return span
	}
	if one >= 0 {
		a, b, one, other = b, a, other, one
	}
	frame := s.frame(other)
	nominal := s.m.nominal(a, b)
	var low, high float64
	for f := range 2 {
		all := s.distinct(frame, f)
		if len(all) == 2 {
			return span
		}
		corners := corners(all)
		l, h := s.reach(corners, s.volts(a, f), s.volts(b, f), other >= 0)
		low, high = math.Max(low, l), math.Max(high, h)
	}
	if low *= SupplyLow; low < AbsentBelow*nominal {
		low = 0
	}
	return [2]float32{float32(low), float32(math.Max(high, s.value) * SupplyHigh)}
}

// held tells whether the source that a node belongs to gives what it should.
func (s *spreading) held(n network.Node) bool {
	return slices.Contains(s.sides, s.m.panel.Net.Source(s.m.own[n]).Hot)
}

// frame is the number of the tied sides that the volts are seen from: those of one lead, or the
// most.
func (s *spreading) frame(side int) int {
	if side >= 0 {
		return s.tied[side]
	}
	count := make([]int, len(s.sides))
	for _, t := range s.tied {
		count[t]++
	}
	return slices.Index(count, slices.Max(count))
}

func (s *spreading) volts(n network.Node, frequency int) complex128 {
	_, v := s.at(n)
	return complex128(v[frequency])
}

// distinct are the voltages of the tied sides, in rising order.
func (s *spreading) distinct(frame, frequency int) []complex128 {
	var all []complex128
	for i, side := range s.sides {
		if s.tied[i] == frame {
			all = append(all, s.volts(side, frequency))
		}
	}
	slices.SortFunc(all, func(a, b complex128) int {
		return cmp.Or(cmp.Compare(real(a), real(b)), cmp.Compare(imag(a), imag(b)))
	})
	return slices.CompactFunc(all, func(a, b complex128) bool { return cmplx.Abs(a-b) < exactly })
}

// corners are the voltages that lie furthest out, none between others.
func corners(all []complex128) (corners []complex128) {
	if len(all) < 3 {
		return all
	}
	all = slices.Clone(all)
	for range 2 { // the lower side of the outline, then the upper one
		first := len(corners)
		for _, v := range all {
			for len(corners) > first+1 && turn(corners[len(corners)-2], corners[len(corners)-1], v) <= exactly {
				corners = corners[:len(corners)-1]
			}
			corners = append(corners, v)
		}
		corners = corners[:len(corners)-1]
		slices.Reverse(all)
	}
	return corners
}

// turn is twice the area of a triangle, positive where it is gone round to the left.
func turn(a, b, c complex128) float64 {
	return imag(cmplx.Conj(b-a) * (c - a))
}

// reach gives from what to what the volts between p and q may come, p somewhere between the
// corners; q is one of the sides where it is held, else somewhere between as well.
func (s *spreading) reach(corners []complex128, p, q complex128, held bool) (low, high float64) {
	weights, ok := weigh(corners, p)
	if !ok || !held {
		return 0, s.furthest(corners, p, q, ok)
	}
	low = math.Inf(1)
	for _, far := range bends(len(corners), math.Sqrt(s.m.panel.Bend())) {
		var all float64
		var at complex128
		for i, w := range weights {
			all += w * far[i]
			at += complex(w*far[i], 0) * corners[i]
		}
		d := cmplx.Abs(at/complex(all, 0) - q)
		low, high = math.Min(low, d), math.Max(high, d)
	}
	return low, high
}

// furthest is the most that there is between points that lie between corners, or anywhere.
func (s *spreading) furthest(corners []complex128, p, q complex128, within bool) (most float64) {
	for _, a := range append(corners, p, q) {
		for _, b := range append(corners, p, q) {
			most = math.Max(most, cmplx.Abs(a-b))
		}
	}
	if !within {
		for i := 1; i <= s.m.panel.Net.Sources(); i++ {
			most += s.m.panel.Net.Source(network.Source(i)).Volts
		}
	}
	return most
}

// weigh gives the weights of two or three corners with which p is their mean; false where it is
// none, or where there are more corners and nobody knows.
func weigh(corners []complex128, p complex128) (weights []float64, ok bool) {
	switch len(corners) {
	case 1:
		return []float64{1}, cmplx.Abs(p-corners[0]) < exactly
	case 2:
		along := (p - corners[0]) / (corners[1] - corners[0])
		weights = []float64{1 - real(along), real(along)}
	case 3:
		all := turn(corners[0], corners[1], corners[2])
		weights = []float64{turn(p, corners[1], corners[2]) / all, turn(corners[0], p, corners[2]) / all, turn(corners[0], corners[1], p) / all}
	default:
		return nil, false
	}
	const aside = 0.02 // coils among resistors lead a little outside; common practice, no source
	for i, w := range weights {
		if w < -aside {
			return nil, false
		}
		weights[i] = math.Max(w, 0)
	}
	return weights, true
}

// bends are ways in which parts may differ: for each of n weights a factor, at the most far or one by it.
func bends(n int, far float64) [][]float64 {
	ways := [][]float64{nil}
	for range n {
		var more [][]float64
		for _, w := range ways {
			for _, power := range []float64{-1, -0.5, 0, 0.5, 1} {
				more = append(more, append(slices.Clone(w), math.Pow(far, power)))
			}
		}
		ways = more
	}
	return ways
}
