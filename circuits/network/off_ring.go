package network

import (
	"deadrung/circuits/joined"
	"math"
)

// ring is what is left of a region once its trees are stripped: labels with more than one
// way to others or to the rails, as the point between a bad joint and the coil behind it.
//
//	a ──(joint)── x ──(coil)── b
//
// A current into a label leaves by the rails a and b in shares that the ring alone decides.
// So the resistance from x to a point Y beside the ring, where h is the share by b and K the
// resistance of x against both rails held together, is
//
//	K + (1-h)·R(a,Y) + h·R(b,Y) - h·(1-h)·R(a,b)
//
// (the power of the currents 1-h into a, h into b and 1 out of Y is minus the sum over pairs
// of their product times the resistance between them).
type ring struct {
	a, b  int32 // the rails; zero for none, the same for one
	at    []int32
	inv   [][]float64 // by place in the ring, against the rails or the label below
	share []float64   // h, by place
	alone []int32     // by place: the label that one hanging on no rail is held against; else zero
}

// place gives that of a label in the ring; less than zero for none.
func (l *LocalOff) place(label int32) int32 {
	if i := l.row(label); i >= 0 && len(l.ring.inv) > 0 {
		return l.ring.at[i]
	}
	return -1
}

// findRing solves what is left of the region. It reports false where that hangs on more than
// two rails.
func (l *LocalOff) findRing() bool {
	l.ring = ring{a: l.rails.a, b: l.rails.b}
	x := &l.ring
	x.at = make([]int32, len(l.region))
	size := int32(0)
	for i, d := range l.degree {
		x.at[i] = -1
		if d > 0 {
			x.at[i] = size
			size++
		}
	}
	pieces := joined.New(int(size) + 1) // the last stands for the rails
	for i, k := range l.links {
		if l.gone[i] {
			continue
		}
		end := [2]int32{size, size}
		for e, label := range [2]int32{k.a, k.b} {
			if r := l.row(label); r >= 0 {
				end[e] = x.at[r]
				continue
			}
			switch {
			case x.a == 0:
				x.a, x.b = label, label
			case x.a == x.b && label != x.a:
				x.b = label
			case label != x.a && label != x.b:
				return false
			}
		}
		pieces.Join(end[0], end[1])
	}
	x.share, x.alone = make([]float64, size), make([]int32, size)
	first := make(map[int32]bool)
	for i, p := range x.at {
		if p < 0 || pieces.Of(p) == pieces.Of(size) {
			continue
		}
		head := pieces.Of(p) // the least, and so the first to come
		first[head] = true
		x.alone[p] = l.region[i]
		if head != p {
			x.alone[p] = x.alone[head]
		}
	}
	toB := make([]float64, size)
	x.inv = make([][]float64, size)
	for i := range x.inv {
		x.inv[i] = make([]float64, 2*size)
		x.inv[i][size+int32(i)] = 1
		if first[int32(i)] {
			x.inv[i][i] = 1
		}
	}
	for i, k := range l.links {
		if l.gone[i] {
			continue
		}
		p, q := l.place(k.a), l.place(k.b)
		for _, end := range [2]struct {
			p, other int32
			label    int32
		}{{p, q, k.b}, {q, p, k.a}} {
			switch {
			case end.p < 0 || first[end.p]:
				continue
			case end.other >= 0 && !first[end.other]:
				x.inv[end.p][end.other] -= k.g
			case end.other < 0 && x.a != x.b && end.label == x.b:
				toB[end.p] += k.g
			}
			x.inv[end.p][end.p] += k.g
		}
	}
	invert(x.inv)
	for i := range x.inv {
		x.inv[i] = x.inv[i][size:]
		if first[int32(i)] {
			x.inv[i][i] = 0
		}
	}
	for i := range x.inv {
		for k, g := range toB {
			x.share[i] += x.inv[i][k] * g
		}
		const rounding = 1e-12 // what hangs on one rail hangs on it alone
		if math.Abs(x.share[i]) < rounding || math.Abs(x.share[i]-1) < rounding {
			x.share[i] = math.Round(x.share[i])
		}
	}
	for i, g := range toB {
		l.rails.g += g * (1 - x.share[i])
	}
	l.rails.a, l.rails.b = x.a, x.b
	return true
}

// after gives the resistance between two labels beside the ring, with what the change puts
// between the rails (the rank-one update of the inverse).
func (l *LocalOff) after(r *resistors, y, z int32) float64 {
	ohms := r.between(y, z)
	k := &l.rails
	if math.Abs(k.g) < nothing {
		return ohms
	}
	across := r.between(k.a, k.b)
	toA, toB := r.between(y, k.a)+r.between(z, k.b), r.between(y, k.b)+r.between(z, k.a)
	if math.IsInf(across, 1) { // what parts at the rails is joined there
		return min(ohms, min(toA, toB)+1/k.g)
	}
	if math.IsInf(toA, 1) {
		return ohms // beside both
	}
	volts, left := (toB-toA)/2, 1+k.g*across
	switch {
	case math.Abs(volts) < nothing*across:
		return ohms
	case left < 1e-9: // nothing is left between the rails
		return math.Inf(1)
	}
	return ohms - k.g*volts*volts/left
}

// within gives the resistance between two labels at which trees end.
func (l *LocalOff) within(r *resistors, y, z int32) float64 {
	p, q := l.place(y), l.place(z)
	if p < 0 {
		y, z, p, q = z, y, q, p
	}
	x := &l.ring
	switch {
	case p < 0:
		return l.after(r, y, z)
	case q >= 0:
		ohms := x.inv[p][p] + x.inv[q][q] - 2*x.inv[p][q]
		if d := x.share[p] - x.share[q]; d != 0 {
			ohms += d * d * l.after(r, x.a, x.b)
		}
		return ohms
	}
	h, ohms := x.share[p], x.inv[p][p]
	if h != 1 {
		ohms += (1 - h) * l.after(r, x.a, z)
	}
	if h != 0 {
		ohms += h * l.after(r, x.b, z)
	}
	if h != 0 && h != 1 {
		ohms -= h * (1 - h) * l.after(r, x.a, x.b)
	}
	return ohms
}
