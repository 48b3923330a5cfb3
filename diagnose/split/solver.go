package split

import (
	"cmp"
	"math"
	"slices"
)

// A solver finds the least cost from positions on a board. Where the mean counts, costs are times weight.
type solver struct {
	*player
	worst  bool
	memo   *memo
	budget int
	ended  func() bool // the time is over; may be nil
	spent  bool
	room   []uint64
}

// solve finds the least cost from a position, or that it is not below a limit. In what it returns
// low and high are equal, or low is not below the limit, or the budget is spent.
func (v *solver) solve(at position, from Mode, limit float64) worth {
	b := v.b
	if b.over(&at) {
		return worth{0, 0, -1}
	}
	place, w := v.recall(&at, from)
	less := v.less(&at)
	if w.low >= w.high || w.low >= limit-less {
		return w
	}
	if v.budget--; v.budget < 0 || v.ended != nil && v.ended() {
		v.spent = true
		return w
	}
	moves := v.moves(&at, from)
	if place < 0 {
		place = v.memo.add(v.memo.key(v.room, b, &at, from, 0), w)
	}
	if len(moves) == 0 {
		w = worth{0, 0, -1}
	} else if w.low = max(w.low, v.bound(&at)); w.low < limit-less {
		w = v.tryMoves(&at, moves, w, limit)
	}
	v.memo.known[place] = w
	v.done(moves)
	return w
}

// recall returns what is known of a position that is not over, and its place in the memo, -1 if it
// is not there.
func (v *solver) recall(at *position, from Mode) (place int, w worth) {
	v.room = v.memo.key(v.room, v.b, at, from, 0)
	if place = v.memo.find(v.room); place >= 0 {
		return place, v.memo.known[place]
	}
	return -1, worth{v.bound(at), math.Inf(1), -1}
}

// bound is the lower bound of a position by itself.
func (v *solver) bound(at *position) float64 {
	if v.worst {
		return v.leastWorst(at)
	}
	return v.least(at)
}

// less is the difference that rounding may make.
func (v *solver) less(at *position) float64 {
	if v.worst {
		return slack
	}
	return slack * at.mass()
}

// tryMoves improves what is known of a position by its moves, those with the lowest bounds first.
func (v *solver) tryMoves(at *position, moves []move, w worth, limit float64) worth {
	less := v.less(at)
	limit = min(limit, w.high)
	v.boundMoves(at, moves)
	low := math.Inf(1)
	for i := range moves {
		m := &moves[i]
		if m.low >= limit-less {
			low = min(low, m.low)
			break
		}
		tried := v.tryMove(at, m, limit)
		low = min(low, tried.low)
		if tried.high < limit-less {
			w.high, w.test = tried.high, tried.test
			limit = tried.high
		}
		if limit <= w.low+less {
			break
		}
	}
	w.low = max(w.low, min(low, w.high))
	if w.low >= w.high-less {
		w.low = w.high
	}
	return w
}

// tryMove works out what a move costs with all that follows, or that it costs as much as the limit.
func (v *solver) tryMove(at *position, m *move, limit float64) worth {
	own := m.cost
	if !v.worst {
		own *= at.mass()
	}
	children := v.after(at, m)
	slices.SortStableFunc(children, func(a, b child) int { return len(b.items) - len(a.items) })
	for i := range children {
		c := &children[i]
		if v.b.over(&c.position) {
			c.worth = worth{0, 0, -1}
		} else {
			_, c.worth = v.recall(&c.position, m.then)
		}
	}
	less := v.less(at)
	sum := v.join(own, m, children)
	for i := range children {
		c := &children[i]
		if sum.low >= limit-less {
			break
		}
		if c.low >= c.high {
			continue
		}
		room := limit - own
		if !v.worst {
			room = limit - sum.low + c.low
		}
		c.worth = v.solve(c.position, m.then, room)
		sum = v.join(own, m, children)
	}
	return sum
}

// join puts together what a move costs and what its children cost.
func (v *solver) join(own float64, m *move, children []child) worth {
	sum := worth{own, own, int32(m.test)}
	for i := range children {
		c := &children[i]
		if v.worst {
			sum.low = max(sum.low, own+c.low)
			sum.high = max(sum.high, own+c.high)
		} else {
			sum.low += c.low
			sum.high += c.high
		}
	}
	return sum
}

// policy follows what the solver found; where it has been cut short, and at positions that it did
// not see, another policy.
func (v *solver) policy(otherwise Policy) Policy {
	return func(left []Weighted, from Mode) (Test, bool) {
		if at, ok := v.b.place(left); ok {
			if _, w := v.recall(&at, from); w.test >= 0 {
				return v.b.tests[w.test], true
			}
		}
		return otherwise(left, from)
	}
}

// boundMoves bounds each move from below by what its answers can tell, and puts the most hopeful first.
func (v *solver) boundMoves(at *position, moves []move) {
	mass := at.mass()
	doubt, bonus := v.kinDoubt(at), 0.0
	if at.bonus != nil {
		for i, item := range at.items {
			bonus += at.weight[i] * at.bonus[item]
		}
	}
	for i := range moves {
		m := &moves[i]
		if m.low = m.cost; !v.worst {
			left := max(0, doubt-m.spread)
			left = max(left/math.Log2(float64(at.arity)), left-bonus/mass)
			m.low = mass * (m.cost + at.price(left))
		}
	}
	slices.SortFunc(moves, func(a, b move) int {
		if d := cmp.Compare(a.low, b.low); d != 0 {
			return d
		}
		return a.compare(&b.ranked)
	})
}
