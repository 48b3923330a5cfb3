package connections

import (
	"math"
	"slices"
)

// leg is the part of a wire that runs along a track of a channel.
type leg struct {
	channel, track int
	from, to       float64
	ends           []legEnd
}

// legEnd is where a wire leaves its track: to a screw, or along a duct.
type legEnd struct {
	x    float64
	down bool
}

// beyond is past the ducts, where wires leave the sheet.
const beyond = 1e6

// legs are the legs of a wire, with the ducts of a side one unit apart.
func (s *scene) legs(r *route) []leg {
	screw := func(i int) legEnd { return legEnd{r.xs[i], r.screws[i].top} }
	of := func(i int, ends ...legEnd) leg {
		l := leg{channel: r.at[i], track: r.track[i], from: math.Inf(1), to: math.Inf(-1), ends: ends}
		for _, e := range ends {
			l.from, l.to = min(l.from, e.x), max(l.to, e.x)
		}
		return l
	}
	switch {
	case r.tag != nil:
		return nil
	case r.exit != nil:
		l := of(0, screw(0))
		if r.right {
			l.to = beyond
		} else {
			l.from = -beyond
		}
		return []leg{l}
	case r.duct < 0:
		return []leg{of(0, screw(0), screw(1))}
	}
	x := s.right + edge + 1 + float64(r.duct)
	if r.left {
		x = -edge - 1 - float64(r.duct)
	}
	return []leg{of(0, screw(0), legEnd{x, r.at[1] > r.at[0]}), of(1, screw(1), legEnd{x, r.at[0] > r.at[1]})}
}

// crossed is how often the ends of two legs cross the other, the first being above the second.
func crossed(above, below leg) int {
	n := 0
	for _, e := range above.ends {
		n += b2i(e.down && below.from < e.x && e.x < below.to)
	}
	for _, e := range below.ends {
		n += b2i(!e.down && above.from < e.x && e.x < above.to)
	}
	return n
}

// untangle changes the order of the tracks in the channels and in the ducts, and the sides of the two
// wires on a screw, for as long as fewer wires cross. How many tracks there are stays.
func (s *scene) untangle() {
	for better := true; better; {
		better = false
		for c := range s.channels {
			better = s.untangleChannel(c) || better
		}
		for side := range s.ducts {
			better = s.untangleDucts(side) || better
		}
		better = s.untangleScrews() || better
	}
}

// untangleChannel puts the tracks of a channel into a better order, if there is one.
func (s *scene) untangleChannel(channel int) bool {
	n := len(s.channels[channel].tracks)
	on := make([][]leg, n)
	for _, r := range s.routes {
		for _, l := range s.legs(r) {
			if l.channel == channel {
				on[l.track] = append(on[l.track], l)
			}
		}
	}
	order, better := reordered(n, func(a, b int) (cost int) {
		for _, p := range on[a] {
			for _, q := range on[b] {
				cost += crossed(p, q)
			}
		}
		return cost
	})
	if !better {
		return false
	}
	for _, r := range s.routes {
		for i := range r.track {
			if r.at[i] == channel && r.tag == nil {
				r.track[i] = order[r.track[i]]
			}
		}
	}
	return true
}

// untangleDucts puts the ducts of a side into a better order, if there is one.
func (s *scene) untangleDucts(side int) bool {
	n := len(s.ducts[side])
	on := make([][][2]float64, n)
	for _, r := range s.routes {
		if r.duct >= 0 && b2i(r.left) == side {
			on[r.duct] = append(on[r.duct], [2]float64{s.level(r, 0), s.level(r, 1)})
		}
	}
	order, better := reordered(n, func(inner, outer int) (cost int) {
		for _, p := range on[inner] {
			for _, q := range on[outer] {
				for _, y := range q {
					cost += b2i(min(p[0], p[1]) < y && y < max(p[0], p[1]))
				}
			}
		}
		return cost
	})
	if !better {
		return false
	}
	for _, r := range s.routes {
		if r.duct >= 0 && b2i(r.left) == side {
			r.duct = order[r.duct]
		}
	}
	return true
}

// level tells which of two tracks is lower, whichever channels they are in.
func (s *scene) level(r *route, end int) float64 { return float64(10000*r.at[end] + r.track[end]) }

// untangleScrews changes the sides of the two wires on a screw where they cross one another.
func (s *scene) untangleScrews() bool {
	type at struct {
		r   *route
		end int
	}
	on := make(map[*screw][]at)
	var screws []*screw
	for _, r := range s.routes {
		for end, sc := range r.screws {
			if sc == nil {
				continue
			}
			if on[sc] == nil {
				screws = append(screws, sc)
			}
			on[sc] = append(on[sc], at{r, end})
		}
	}
	cost := func(a, b *route) (n int) {
		for _, p := range s.legs(a) {
			for _, q := range s.legs(b) {
				switch {
				case p.channel != q.channel:
				case p.track < q.track:
					n += crossed(p, q)
				case p.track > q.track:
					n += crossed(q, p)
				}
			}
		}
		return n
	}
	changed := false
	for _, sc := range screws {
		w := on[sc]
		if len(w) < 2 || w[0].r == w[1].r || w[0].r.tag != nil || w[1].r.tag != nil || w[0].r.track[w[0].end] == w[1].r.track[w[1].end] {
			continue
		}
		swap := func() {
			a, b := &w[0].r.xs[w[0].end], &w[1].r.xs[w[1].end]
			*a, *b = *b, *a
		}
		before := cost(w[0].r, w[1].r)
		if swap(); cost(w[0].r, w[1].r) >= before {
			swap()
			continue
		}
		changed = true
	}
	return changed
}

// reordered looks for a better order of some things, of which cost tells what it costs to have one
// before another: it moves one at a time to where it costs least, while that helps. It gives the
// new place of each.
func reordered(n int, cost func(before, after int) int) (place []int, better bool) {
	gain := make([][]int, n) // what is saved with a behind b
	for a := range n {
		gain[a] = make([]int, n)
	}
	for a := range n {
		for b := range a {
			gain[b][a] = cost(b, a) - cost(a, b)
			gain[a][b] = -gain[b][a]
		}
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	for moved := true; moved; {
		moved = false
		for i := range n {
			best, to, sum := 0, i, 0
			for k := i + 1; k < n; k++ {
				if sum += gain[order[i]][order[k]]; sum > best {
					best, to = sum, k
				}
			}
			sum = 0
			for k := i - 1; k >= 0; k-- {
				if sum += gain[order[k]][order[i]]; sum > best {
					best, to = sum, k
				}
			}
			if to != i {
				what := order[i]
				order = slices.Insert(slices.Delete(order, i, i+1), to, what)
				moved, better = true, true
			}
		}
	}
	place = make([]int, n)
	for i, what := range order {
		place[what] = i
	}
	return place, better
}
