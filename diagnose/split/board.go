package split

import (
	"cmp"
	"math"
	"slices"
)

// A board is a problem cut down to what is left, small enough to hold every answer: for search over
// many moves. Hypotheses of one group that answer every test alike are one item. Items come in
// falling order of weight. Tests that part nothing of what is left are not there.
type board struct {
	p *Problem
	o *Options

	items   []Hypothesis // by item: the first of the hypotheses that it stands for
	itemOf  []int32      // by hypothesis: its item, or -1
	weight  []float64    // by item
	snapped []float64    // by item: the weight, snapped
	marks   []uint64     // by item: different sets have different sums
	group   []int32      // by item
	groups  int          // groups are numbered 0 to groups-1
	kin     []int32      // by item: items that no test parts, and those of one group, are kin
	kins    int          // kin are numbered 0 to kins-1
	tests   []Test
	says    []int16   // by place of the test and item: the outcome, Any included
	tells   []float64 // by place of the test: the most that it can tell, in bits
	open    bool      // some item does not decide some test

	prices *prices
	ways   ways
	total  float64
}

// boardAnswers is how many answers a board for choosing may hold; optimumAnswers one for Optimum.
// Beyond some hundred items the table itself is faster to look one step ahead in.
const (
	boardAnswers   = 1 << 22
	optimumAnswers = 1 << 25
)

// board sets up what is left, or returns nil if that is too large to hold.
func (p *Problem) board(left []Weighted, from Mode, o *Options) *board {
	b, place := p.outline(left, o, boardAnswers)
	if b == nil {
		return nil
	}
	b.complete(place, from)
	return b
}

// outline sets up a board without answers and prices. It returns the place of each test on the
// board, -1 for those not there; nil for both if the board would hold more than so many answers.
func (p *Problem) outline(left []Weighted, o *Options, most int) (b *board, place []int32) {
	left = slices.DeleteFunc(slices.Clone(left), func(l Weighted) bool { return !(l.Weight > 0) })
	b = &board{p: p, o: o}
	b.tests, place = b.useful(left)
	if len(left)*len(b.tests) > 4*most { // before hypotheses that are alike are put together
		return nil, nil
	}
	b.gather(left, place)
	if len(b.items)*len(b.tests) > most {
		return nil, nil
	}
	return b, place
}

// complete adds answers and prices to an outline.
func (b *board) complete(place []int32, from Mode) {
	b.fill(place)
	b.findTells()
	if b.open {
		b.joinUnparted()
	}
	b.prices = b.p.prices(b.tests, from)
}

// useful returns the allowed tests to which what is left gives several answers, in rising order, and the
// place of each test among them, -1 for the others.
func (b *board) useful(left []Weighted) (tests []Test, place []int32) {
	t := b.p.Table
	type answers struct {
		first  Outcome
		met    int32 // how many of what is left are exceptions
		parted bool
	}
	seen := make([]answers, t.Tests())
	for _, l := range left {
		column, what := t.Column(l.Hypothesis)
		for i, test := range column {
			a, o := &seen[test], what[i]
			if a.met == 0 || a.first == Any {
				a.first = o
			}
			a.met++
			a.parted = a.parted || o != Any && o != a.first
		}
	}
	place = make([]int32, t.Tests())
	for test := range seen {
		a := &seen[test]
		usual := t.usual[test]
		place[test] = -1
		if a.parted || a.met > 0 && int(a.met) < len(left) && usual != Any && a.first != Any {
			if b.o.Allowed == nil || b.o.Allowed(Test(test)) {
				place[test] = int32(len(tests))
				tests = append(tests, Test(test))
			}
		}
	}
	return tests, place
}

// gather makes items of what is left.
func (b *board) gather(left []Weighted, place []int32) {
	t := b.p.Table
	type answer struct {
		test Test
		what Outcome
	}
	column := func(h Hypothesis) (kept []answer) {
		tests, what := t.Column(h)
		for i, test := range tests {
			if place[test] >= 0 {
				kept = append(kept, answer{test, what[i]})
			}
		}
		return kept
	}
	type likeness struct {
		group int32
		marks uint64
	}
	type item struct {
		Weighted
		column []answer
		marks  uint64
	}
	for _, test := range b.tests {
		b.open = b.open || t.usual[test] == Any
	}
	var items []item
	alike := make(map[likeness][]int)
	itemOf := make(map[Hypothesis]int, len(left))
	for _, l := range left {
		c := column(l.Hypothesis)
		like := likeness{group: b.p.group(l.Hypothesis)}
		for _, a := range c {
			like.marks += stir(uint64(a.test)<<16 | uint64(uint16(a.what)))
			b.open = b.open || a.what == Any
		}
		at := -1
		for _, i := range alike[like] {
			if slices.Equal(items[i].column, c) {
				at = i
			}
		}
		if at < 0 {
			at = len(items)
			items = append(items, item{Weighted{l.Hypothesis, 0}, c, like.marks})
			alike[like] = append(alike[like], at)
		}
		items[at].Weight += l.Weight
		itemOf[l.Hypothesis] = at
	}
	order := make([]int, len(items))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		if d := cmp.Compare(items[j].Weight, items[i].Weight); d != 0 {
			return d
		}
		return cmp.Compare(items[i].Hypothesis, items[j].Hypothesis)
	})
	rank := make([]int32, len(items))
	groupNumber := make(map[int32]int32)
	for r, i := range order {
		rank[i] = int32(r)
		b.items = append(b.items, items[i].Hypothesis)
		b.weight = append(b.weight, items[i].Weight)
		b.snapped = append(b.snapped, snap(items[i].Weight))
		b.marks = append(b.marks, stir(uint64(r)+1))
		b.total += items[i].Weight
		g := b.p.group(items[i].Hypothesis)
		if _, ok := groupNumber[g]; !ok {
			groupNumber[g] = int32(len(groupNumber))
		}
		b.group = append(b.group, groupNumber[g])
	}
	b.groups = len(groupNumber)
	columns := make([]uint64, len(items))
	for i, r := range rank {
		columns[r] = items[i].marks
	}
	b.joinKin(columns)
	b.itemOf = make([]int32, t.Hypotheses())
	for h := range b.itemOf {
		b.itemOf[h] = -1
	}
	for h, i := range itemOf {
		b.itemOf[h] = rank[i]
	}
}

// fill writes down the answers.
func (b *board) fill(place []int32) {
	t, n := b.p.Table, len(b.items)
	b.says = make([]int16, n*len(b.tests))
	for i, test := range b.tests {
		row := b.says[i*n : (i+1)*n]
		for j := range row {
			row[j] = int16(t.usual[test])
		}
	}
	for j, h := range b.items {
		tests, what := t.Column(h)
		for i, test := range tests {
			if at := place[test]; at >= 0 {
				b.says[int(at)*n+j] = int16(what[i])
			}
		}
	}
}

// findTells finds what each test can tell at the most: as if all of its answers were as likely.
func (b *board) findTells() {
	n := len(b.items)
	b.tells = make([]float64, len(b.tests))
	met := make([]int32, b.p.Table.most) // by outcome: one more than the last test that has it
	for t := range b.tests {
		outcomes := 0
		for _, o := range b.says[t*n : (t+1)*n] {
			if o != int16(Any) && met[o] != int32(t+1) {
				met[o] = int32(t + 1)
				outcomes++
			}
		}
		b.tells[t] = math.Log2(float64(outcomes))
	}
}

// A position is what may be left on a board after some tests.
type position struct {
	items  []int32 // in rising order, so in falling order of weight on the board
	weight []float64
	// tests are places of those that part these items; of several that part them alike, only
	// what may be worth while.
	tests []int32

	// These hold for whatever is left later, too.
	arity int       // the most positions that one test leaves with work to do
	cheap []float64 // what the cheapest of the tests cost at least, in rising order; nil for unit costs
	bonus []float64 // by item on the board: see limits.go; nil where arity is 2

	// This holds only here, once the moves have been worked out.
	aside []float64
}

// start is the position before the first test.
func (b *board) start() position {
	at := position{weight: slices.Clone(b.weight), arity: max(2, b.p.Table.most)}
	for i := range b.items {
		at.items = append(at.items, int32(i))
	}
	for t := range b.tests {
		at.tests = append(at.tests, int32(t))
	}
	b.findCheap(&at)
	return at
}

// place finds the position of what is left, if all of it is on the board.
func (b *board) place(left []Weighted) (position, bool) {
	sums := make([]float64, len(b.items))
	for _, l := range left {
		if !(l.Weight > 0) {
			continue
		}
		i := b.itemOf[l.Hypothesis]
		if i < 0 {
			return position{}, false
		}
		sums[i] += l.Weight
	}
	at := b.start()
	at.items, at.weight = at.items[:0], at.weight[:0]
	for i, w := range sums {
		if w > 0 {
			at.items = append(at.items, int32(i))
			at.weight = append(at.weight, w)
		}
	}
	return at, true
}

// mass is the weight of a position.
func (at *position) mass() float64 {
	sum := 0.0
	for _, w := range at.weight {
		sum += w
	}
	return sum
}

// over says that the work is done: one group is left.
func (b *board) over(at *position) bool {
	for _, i := range at.items[1:] {
		if b.group[i] != b.group[at.items[0]] {
			return false
		}
	}
	return true
}

// weighsAsOn says that what is left weighs what it weighs on the board.
func (at *position) weighsAsOn(b *board) bool {
	for i, item := range at.items {
		if snap(at.weight[i]) != b.snapped[item] {
			return false
		}
	}
	return true
}
