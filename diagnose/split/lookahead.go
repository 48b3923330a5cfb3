package split

import (
	"cmp"
	"runtime"
	"slices"
	"sync"
)

// This file chooses by looking ahead: it tries the best few tests by one step, each to the end of
// the work, and compares what the work is then expected to cost.

// A prospect is a test that was tried, and what the work is expected to cost with it.
type prospect struct {
	ranked
	expected float64
}

// lookAhead returns the tests tried, best first. It returns false if the budget does not last.
func (p *Problem) lookAhead(left []Weighted, from Mode, o *Options, memory *outlookMemory) ([]prospect,
	bool) {
	t := trying{p: p, o: o, left: left, from: from, memory: memory}
	t.board, t.at = p.settle(left, from, o, memory)
	prospects, ok := t.try(o.Depth)
	if !ok && o.Depth > 1 {
		prospects, ok = t.try(1)
	}
	return prospects, ok
}

// A trying is one choice by looking ahead.
type trying struct {
	p      *Problem
	o      *Options
	left   []Weighted
	from   Mode
	memory *outlookMemory // nil if nothing is to be kept

	board *board // nil if what is left is too large for one
	at    position
}

// try tries each of the best few tests, on as many processors as there are. Each has the same part
// of the budget and works by itself, so that nothing depends on which is done first.
func (t *trying) try(depth int) ([]prospect, bool) {
	if t.o.ended() {
		return nil, false
	}
	moves := t.moves()
	if t.board == nil && len(moves)*t.p.groupsIn(t.left) > t.o.Budget {
		return nil, false // each group is a position at least
	}
	prospects := make([]prospect, len(moves))
	outlooks := make([]*outlook, len(moves))
	work := make(chan int)
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(moves)) {
		wait.Go(func() {
			for i := range work {
				outlooks[i] = &outlook{p: t.p, o: t.o, budget: t.o.Budget / len(moves)}
				prospects[i] = t.prospect(outlooks[i], &moves[i], depth)
			}
		})
	}
	for i := range moves {
		work <- i
	}
	close(work)
	wait.Wait()
	if slices.ContainsFunc(outlooks, func(k *outlook) bool { return k.spent }) {
		return nil, false
	}
	if t.memory != nil && t.board != nil {
		for _, k := range outlooks {
			t.memory.memo.take(k.memo)
		}
	}
	// Of tests that come to the same, the better by one step stays first.
	slices.SortStableFunc(prospects,
		func(a, b prospect) int { return cmp.Compare(snap(a.expected), snap(b.expected)) })
	return prospects, true
}

// moves returns the tests to try. On a board their tests are places.
func (t *trying) moves() []move {
	most := max(t.o.Width, t.o.Most)
	if t.board != nil {
		return first(newPlayer(t.board).moves(&t.at, t.from), most)
	}
	o := *t.o
	o.Distinct = true
	var moves []move
	for _, r := range t.p.rank(t.left, t.from, &o, most) {
		moves = append(moves, move{ranked: r})
	}
	return moves
}

// prospect works out what the work is expected to cost with one test.
func (t *trying) prospect(k *outlook, m *move, depth int) prospect {
	mass := 0.0
	for _, l := range t.left {
		mass += max(0, l.Weight)
	}
	sum := m.cost * mass
	result := prospect{ranked: m.ranked}
	if b := t.board; b != nil {
		result.test = b.tests[m.test]
		k.player, k.memo = newPlayer(b), newMemo(b.keyWidth())
		if t.memory != nil {
			k.shared = t.memory.memo
		}
		for _, c := range k.after(&t.at, m) {
			sum += k.worth(c.position, m.then, below(depth))
		}
	} else {
		sum += k.worthAfter(t.left, m, depth, len(t.left)/2)
	}
	result.expected = sum / mass
	return result
}

// An outlookMemory is what a policy keeps from one choice to the next.
type outlookMemory struct {
	board *board
	memo  *memo
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
