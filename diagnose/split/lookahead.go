package split

import (
	"math"
	"runtime"
	"slices"
	"sync"
)

// An outlook works out what the work will cost from positions, when at each turn the best of a few tests is taken. The best is
// found by trying each of them, a number of turns deep; after that the best by one step is taken.
type outlook struct {
	p      *Problem
	o      *Options
	width  int
	budget int // positions that may still be worked out
	spent  bool

	// On a board:
	*player
	memo   *memo
	shared *memo // read only; may be nil
	room   []uint64
}

// toTheEnd, in place of a depth, is no limit.
const toTheEnd = math.MaxInt32

// below is the depth left after one turn.
func below(depth int) int {
	if depth == 0 || depth == toTheEnd {
		return depth
	}
	return depth - 1
}

// pay takes one position from the budget.
func (k *outlook) pay() {
	k.budget--
	k.spent = k.spent || k.budget < 0
}

// worth returns the expected cost, times weight, from a position on the board. It means nothing once the budget is spent.
func (k *outlook) worth(at position, from Mode, depth int) float64 {
	b := k.b
	if b.over(&at) {
		cost, _ := b.trial(&at, from)
		return cost * at.mass()
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
	moves := k.moves(&at, from)
	if len(moves) == 0 {
		return 0
	}
	width := 1
	if depth > 0 {
		width = k.width
	}
	best := worth{low: math.Inf(1), high: math.Inf(1), test: -1}
	mass := at.mass()
	floor := 0.0
	if width > 1 {
		floor = k.least(&at)
	}
	for i, m := range first(moves, width) {
		if best.high <= floor+slack*mass {
			break
		}
		children := k.after(&at, &m)
		sum := m.cost * mass
		if i > 0 {
			for j := range children {
				if c := &children[j]; !c.ended {
					c.low = k.least(&c.position)
					sum += c.low
				}
			}
		}
		for _, c := range children {
			if sum >= best.high-slack*mass {
				break
			}
			if !c.ended {
				sum += k.worth(c.position, m.then, below(depth)) - c.low
			}
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

// slack is how much better, in cost, one choice must be than another to count as better: more than rounding makes.
const slack = 1e-10

// first returns the best moves by one step, best first. Where not all can be tried, those come later whose parts have the
// same shares as those of a better one: most often they are the same in another guise.
func first(moves []move, width int) []move {
	if width == 1 {
		best := 0
		for i := range moves {
			if moves[i].before(&moves[best].ranked) {
				best = i
			}
		}
		return moves[best : best+1]
	}
	slices.SortFunc(moves, func(a, b move) int {
		switch {
		case a.before(&b.ranked):
			return -1
		case b.before(&a.ranked):
			return 1
		}
		return 0
	})
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

// worthOf is worth for what is too large for a board until it has been cut down. Boards are tried for no more hypotheses than
// tryFor.
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
		width = k.width
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
	for _, m := range moves {
		sum := m.cost * mass
		parts, after := k.p.divide(left, m.test)
		for i := range parts {
			if !k.p.closes(m.test, after[i]) {
				sum += k.worthOf(after[i], m.then, below(depth), tryFor)
			}
		}
		best = min(best, sum)
	}
	return best
}

// closes says that a test that leaves this has tried it, so that the work ends.
func (p *Problem) closes(test Test, left []Weighted) bool {
	return p.Answers != nil && len(left) == 1 && p.Answers[test] == left[0].Hypothesis
}

// An outlookMemory is what a policy keeps from one choice to the next.
type outlookMemory struct {
	board *board
	memo  *memo
}

// A prospect is a test that was tried, and what the work is expected to cost with it.
type prospect struct {
	ranked
	expected float64
}

// lookAhead tries the best few tests and returns them best first. It returns false if the budget does not last.
func (p *Problem) lookAhead(left []Weighted, from Mode, o *Options, memory *outlookMemory) ([]prospect, bool) {
	depth := 1
	if o.Strategy == Lookahead {
		switch depth = o.Depth; {
		case depth == 0:
			depth = usualDepth
		case depth < 0:
			depth = toTheEnd
		}
	}
	seen, ok := p.tryDepth(left, from, o, depth, memory)
	if !ok && depth > 1 {
		return p.tryDepth(left, from, o, 1, memory)
	}
	return seen, ok
}

func (p *Problem) tryDepth(left []Weighted, from Mode, o *Options, depth int, memory *outlookMemory) ([]prospect, bool) {
	width, budget := o.Width, o.Budget
	switch {
	case width == 0:
		width = usualWidth
	case width < 0:
		width = p.Table.Tests()
	}
	switch {
	case budget == 0:
		budget = usualBudget
	case budget < 0:
		budget = math.MaxInt
	}
	mass := 0.0
	for _, l := range left {
		mass += max(0, l.Weight)
	}
	b, at := p.settle(left, from, o, memory)
	var moves []move
	if b != nil {
		moves = first(newPlayer(b).moves(&at, from), max(width, o.Most))
	} else {
		distinct := *o
		distinct.Distinct = true
		for _, r := range p.rank(left, from, &distinct, max(width, o.Most)) {
			moves = append(moves, move{ranked: r})
		}
		if len(moves)*p.groupsIn(left) > budget {
			return nil, false
		}
	}
	seen := make([]prospect, len(moves))
	outlooks := make([]*outlook, len(moves))
	work := make(chan int)
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(moves)) {
		wait.Go(func() {
			for i := range work {
				m := &moves[i]
				k := &outlook{p: p, o: o, width: width, budget: budget / len(moves)}
				outlooks[i] = k
				sum := m.cost * mass
				seen[i].ranked = m.ranked
				if b != nil {
					k.player, k.memo = newPlayer(b), newMemo(b.keyWidth())
					if memory != nil {
						k.shared = memory.memo
					}
					for _, c := range k.after(&at, m) {
						if !c.ended {
							sum += k.worth(c.position, m.then, below(depth))
						}
					}
					seen[i].test = b.tests[m.test]
				} else {
					parts, after := p.divide(left, m.test)
					for j := range parts {
						if !p.closes(m.test, after[j]) {
							sum += k.worthOf(after[j], m.then, below(depth), len(left)/2)
						}
					}
				}
				seen[i].expected = sum / mass
			}
		})
	}
	for i := range moves {
		work <- i
	}
	close(work)
	wait.Wait()
	for _, k := range outlooks {
		if k.spent {
			return nil, false
		}
	}
	if memory != nil && b != nil {
		for _, k := range outlooks {
			memory.memo.take(k.memo)
		}
	}
	slices.SortStableFunc(seen, func(a, b prospect) int {
		switch x, y := snap(a.expected), snap(b.expected); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return seen, true
}

// settle returns a board for what is left, the one in memory if it will do; nil if what is left is too large.
func (p *Problem) settle(left []Weighted, from Mode, o *Options, memory *outlookMemory) (*board, position) {
	if memory != nil && memory.board != nil {
		b := memory.board
		if at, ok := b.place(left); ok && b.prices.has(from) && (b.open || at.weighsAsOn(b)) {
			return b, at
		}
	}
	b := p.board(left, from, o)
	if b == nil {
		return nil, position{}
	}
	if memory != nil {
		memory.board, memory.memo = b, newMemo(b.keyWidth())
	}
	return b, b.start()
}

// groupsIn counts the groups left.
func (p *Problem) groupsIn(left []Weighted) int {
	groups := make(map[int32]bool)
	for _, l := range left {
		if l.Weight > 0 {
			groups[p.group(l.Hypothesis)] = true
		}
	}
	return len(groups)
}
