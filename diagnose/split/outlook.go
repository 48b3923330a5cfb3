package split

import (
	"math"
	"slices"
)

// An outlook works out what the work will cost from positions, when at each turn the best of a few
// tests is taken. The best is found by trying each of them, a number of turns deep; after that the
// best by one step is taken.
type outlook struct {
	p      *Problem
	o      *Options
	budget int // positions that may still be worked out
	spent  bool

	// On a board:
	*player
	memo   *memo
	shared *memo // read only; may be nil
	room   []uint64
}

// below is the depth left after one turn.
func below(depth int) int { return max(0, depth-1) }

// pay takes one position from the budget.
func (k *outlook) pay() {
	k.budget--
	k.spent = k.spent || k.budget < 0 || k.o.ended()
}

// worth returns the expected cost, times weight, from a position on the board. It means nothing
// once the budget is spent.
func (k *outlook) worth(at position, from Mode, depth int) float64 {
	b := k.b
	if b.over(&at) {
		return 0
	}
	k.room = k.memo.key(k.room, b, &at, from, int32(depth))
	if k.shared != nil {
		if i := k.shared.find(k.room); i >= 0 {
			return k.shared.known[i].high
		}
	}
	if i := k.memo.find(k.room); i >= 0 {
		return k.memo.known[i].high
	}
	if k.pay(); k.spent {
		return 0
	}
	if depth == 0 {
		return k.rollOut(at, from)
	}
	moves := k.moves(&at, from)
	if len(moves) == 0 {
		return 0
	}
	best := worth{low: math.Inf(1), high: math.Inf(1), test: -1}
	mass := at.mass()
	floor := 0.0
	if k.o.Width > 1 {
		floor = k.least(&at)
	}
	for i, m := range first(moves, k.o.Width) {
		if best.high <= floor+slack*mass {
			break
		}
		children := k.after(&at, &m)
		sum := m.cost * mass
		if i > 0 {
			for j := range children {
				c := &children[j]
				c.low = k.least(&c.position)
				sum += c.low
			}
		}
		for _, c := range children {
			if sum >= best.high-slack*mass {
				break
			}
			sum += k.worth(c.position, m.then, below(depth)) - c.low
		}
		if sum < best.high-slack*mass {
			best = worth{sum, sum, int32(m.test)}
		}
	}
	k.done(moves)
	if !k.spent {
		k.memo.add(k.memo.key(k.room, b, &at, from, int32(depth)), best)
	}
	return best.high
}

// rollOut is worth where the best by one step is taken.
func (k *outlook) rollOut(at position, from Mode) float64 {
	m, ok := k.best(&at, from)
	if !ok {
		return 0
	}
	sum := m.cost * at.mass()
	for _, c := range k.after(&at, &m) {
		sum += k.worth(c.position, m.then, 0)
	}
	if !k.spent {
		k.memo.add(k.memo.key(k.room, k.b, &at, from, 0), worth{sum, sum, int32(m.test)})
	}
	return sum
}

// slack is how much better, in cost, one choice must be than another to count as better: more than
// rounding makes.
const slack = 1e-10

// first returns the best moves by one step, best first. Where not all can be tried, those come
// later whose parts have the same shares as those of a better one: most often they are the same in
// another guise.
func first(moves []move, width int) []move {
	if width == 1 && len(moves) > 0 {
		best := 0
		for i := range moves {
			if moves[i].before(&moves[best].ranked) {
				best = i
			}
		}
		return moves[best : best+1]
	}
	slices.SortFunc(moves, func(a, b move) int { return a.compare(&b.ranked) })
	if len(moves) <= width {
		return moves
	}
	kept, again := make([]move, 0, width), make([]move, 0, width)
	known := make(map[uint64]bool, width)
	for _, m := range moves {
		switch {
		case len(kept) == width:
			return kept
		case !known[m.profile]:
			known[m.profile] = true
			kept = append(kept, m)
		case len(again) < width:
			again = append(again, m)
		}
	}
	return append(kept, again[:width-len(kept)]...)
}

// worthOf is worth for what is too large for a board until it has been cut down. Boards are tried for no more
// hypotheses than tryFor.
func (k *outlook) worthOf(left []Weighted, from Mode, depth, tryFor int) float64 {
	if len(left) <= tryFor {
		if b := k.p.board(left, from, k.o); b != nil {
			k.player, k.memo = newPlayer(b), newMemo(b.keyWidth())
			return k.worth(b.start(), from, depth)
		}
		tryFor = len(left) / 2
	}
	if k.pay(); k.spent {
		return 0
	}
	width := 1
	if depth > 0 {
		width = k.o.Width
	}
	o := *k.o
	o.Distinct = true
	moves := k.p.rank(left, from, &o, width)
	if len(moves) == 0 {
		return 0 // one group is left, or nothing parts what is left
	}
	mass, best := 0.0, math.Inf(1)
	for _, l := range left {
		mass += max(0, l.Weight)
	}
	for _, r := range moves {
		best = min(best, r.cost*mass+k.worthAfter(left, &move{ranked: r}, depth, tryFor))
	}
	return best
}

// worthAfter adds up worthOf over the answers to a test of the table.
func (k *outlook) worthAfter(left []Weighted, m *move, depth, tryFor int) float64 {
	sum := 0.0
	_, after := k.p.divide(left, m.test)
	for _, next := range after {
		sum += k.worthOf(next, m.then, below(depth), tryFor)
	}
	return sum
}
