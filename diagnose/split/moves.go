package split

import (
	"math"
	"slices"
)

// A move is a test at a position, as good or bad as one step shows.
type move struct {
	ranked          // test is its place on the board
	spread  float64 // of the answers, in bits
	aside   float64 // the weight of what is or may be outside the heaviest part
	profile uint64  // equal where the parts have equal shares, which is a sign, no proof, of symmetry
	low     float64 // for a search: what the work costs at least if this test is made
}

// A player works out the moves of positions on a board. It has its own room: each goroutine needs
// its own player.
type player struct {
	b *board

	part    []int16 // by outcome: its part, from 1; 0 between tests
	match   []int16 // by outcome of one test: that of another, from 1; 0 between comparisons
	weight  []float64
	count   []int32
	marks   []uint64
	outcome []int16 // of each part
	shares  []float64
	like    []int32 // a small hash table of moves by the way they part: one more than the place in the moves

	several [][]int32 // by group that has several items left: their places
	byGroup []int32   // room for them
	of      []float64

	charged []charge // by place of what is left
	spare   [][]move // room for moves
	ints    []int32  // room for what positions hold
	floats  []float64

	sizes []int

	tried []uint8   // by place of the test: what became of it in best
	bound []float64 // by place in a position's tests: a score that it cannot be above

	rising []float64 // for bounds
	merged []float64
	kin    []float64
}

func newPlayer(b *board) *player {
	return &player{b: b, part: make([]int16, b.p.Table.most), match: make([]int16, b.p.Table.most),
		tried: make([]uint8, len(b.tests))}
}

// moves works out what each test does at a position, and leaves those tests there that are worth
// looking at later. The moves come in the order of the tests.
func (y *player) moves(at *position, from Mode) []move {
	b, n := y.b, len(y.b.items)
	total := at.mass()
	found := y.begin(at)
	row := b.prices.rows[from]
	for _, t := range at.tests {
		m := move{ranked: ranked{test: Test(t)}}
		m.cost, m.then = b.prices.of(from, row, t)
		found = y.weigh(at, found, m, b.says[int(t)*n:int(t+1)*n], total)
	}
	at.tests = y.places(len(found))
	for i := range found {
		at.tests = append(at.tests, int32(found[i].test))
	}
	y.setLimits(at, found)
	return found
}

// begin makes room to weigh the moves of a position.
func (y *player) begin(at *position) (found []move) {
	y.findSeveral(at)
	size := 16
	for size < 2*len(at.tests) {
		size *= 2
	}
	y.like = slices.Grow(y.like[:0], size)[:size]
	clear(y.like)
	if n := len(y.spare); n > 0 {
		found, y.spare = y.spare[n-1][:0], y.spare[:n-1]
	}
	return found
}

// rounding is far more than rounding takes off a score.
const rounding = 1e-6

// What became of a test in best.
const (
	untried = iota
	dropped
	kept
)

// best gives the move that is the best by one step, none where nothing parts what is left. A test tells no
// more than all of its answers could, so that one which costs too much for that is not weighed; it
// stays among the tests there, as those do that moves would leave. The limits stay as they were.
func (y *player) best(at *position, from Mode) (best move, ok bool) {
	b, n := y.b, len(y.b.items)
	total, most := at.mass(), math.Log2(float64(len(at.items)))
	found := y.begin(at)
	defer func() { y.done(found) }()
	row := b.prices.rows[from]
	y.bound = slices.Grow(y.bound[:0], len(at.tests))[:len(at.tests)]
	highest := 0.0
	for i, t := range at.tests {
		y.tried[t] = untried
		cost, _ := b.prices.of(from, row, t)
		y.bound[i] = min(most, b.tells[t]) / max(cost, free)
		highest = max(highest, y.bound[i])
	}
	score := 0.0
	for _, of := range [...]struct{ from, below float64 }{{highest / 2, math.Inf(1)}, {0, highest / 2}} {
		for i, t := range at.tests {
			if x := y.bound[i]; x < score || x < of.from || x >= of.below {
				continue
			}
			y.tried[t] = dropped
			m := move{ranked: ranked{test: Test(t)}}
			m.cost, m.then = b.prices.of(from, row, t)
			found = y.weigh(at, found, m, b.says[int(t)*n:int(t+1)*n], total)
			if last := len(found) - 1; last >= 0 {
				score = max(score, found[last].score*(1-rounding))
			}
		}
	}
	for i := range found {
		if y.tried[found[i].test] = kept; i == 0 || found[i].before(&best.ranked) {
			best = found[i]
		}
	}
	tests := at.tests
	at.tests = y.places(len(tests))
	for _, t := range tests {
		if y.tried[t] != dropped {
			at.tests = append(at.tests, t)
		}
	}
	return best, len(found) > 0
}

// done gives moves back when they are no longer needed; their room is used again.
func (y *player) done(moves []move) { y.spare = append(y.spare, moves) }

// roomAtOnce is how much room is taken at a time for small slices.
const roomAtOnce = 1 << 12

// places and weights return empty slices with room for so many.
func (y *player) places(n int) []int32 {
	if len(y.ints) < n {
		y.ints = make([]int32, max(n, roomAtOnce))
	}
	s := y.ints[:0:n]
	y.ints = y.ints[n:]
	return s
}

func (y *player) weights(n int) []float64 {
	if len(y.floats) < n {
		y.floats = make([]float64, max(n, roomAtOnce))
	}
	s := y.floats[:0:n]
	y.floats = y.floats[n:]
	return s
}

// findSeveral sets several.
func (y *player) findSeveral(at *position) {
	b := y.b
	y.several, y.byGroup = y.several[:0], y.byGroup[:0]
	if b.groups == len(b.items) {
		return
	}
	for i := range at.items {
		y.byGroup = append(y.byGroup, int32(i))
	}
	slices.SortFunc(y.byGroup, func(i, j int32) int {
		if d := b.group[at.items[i]] - b.group[at.items[j]]; d != 0 {
			return int(d)
		}
		return int(i - j)
	})
	for from, to := 0, 0; from < len(y.byGroup); from = to {
		g := b.group[at.items[y.byGroup[from]]]
		for to = from + 1; to < len(y.byGroup) && b.group[at.items[y.byGroup[to]]] == g; {
			to++
		}
		if to-from > 1 {
			y.several = append(y.several, y.byGroup[from:to])
		}
	}
}

// weigh works out a move. It adds it to those found, or puts it in the place of one that parts alike
// and is no better, or drops it: so it does with what parts no groups.
func (y *player) weigh(at *position, found []move, m move, says []int16, total float64) []move {
	vagueCount := y.divide(at, says)
	defer y.forget()
	if m.parts = len(y.outcome); m.parts < 2 {
		return found
	}
	for _, marks := range y.marks {
		m.way += stir(marks)
	}
	var like *move
	slot := int(m.way) & (len(y.like) - 1)
	for ; y.like[slot] != 0; slot = (slot + 1) & (len(y.like) - 1) {
		known := &found[y.like[slot]-1]
		if known.way != m.way || known.parts != m.parts || !y.partAlike(at, known.test, m.test) {
			continue
		}
		stays, better := y.b.prices.noDearer(int32(known.test), int32(m.test)), y.b.prices.noDearer(int32(m.test), int32(known.test))
		switch {
		case stays && (!better || known.test < m.test):
			return found
		case better:
			m.tells(known)
			*known = m
			return found
		}
		like = known
	}
	switch {
	case like != nil:
		m.tells(like)
	case !y.measure(at, &m, says, total, vagueCount):
		return found
	}
	y.like[slot] = int32(len(found) + 1)
	return append(found, m)
}

// tells takes over what another move tells, which parts alike.
func (m *move) tells(like *move) {
	m.spread, m.bits, m.aside, m.profile = like.spread, like.bits, like.aside, like.profile
	m.setScore()
}

// measure works out what a move tells, and says whether it parts groups.
func (y *player) measure(at *position, m *move, says []int16, total float64, vagueCount int) bool {
	vague := y.weighParts(at, says)
	decided, largest := 0.0, 0.0
	for _, w := range y.weight {
		decided += w
		largest = max(largest, w)
	}
	y.shares = y.shares[:0]
	for _, w := range y.weight {
		y.shares = append(y.shares, w/decided)
	}
	m.aside = decided - largest + vague
	m.spread = spread(y.shares)
	m.bits = m.spread
	for _, q := range y.shares {
		m.profile = stir(m.profile ^ math.Float64bits(snap(q)))
	}
	parts := true
	if len(y.several) > 0 || vagueCount > 0 {
		noise, within := y.noise(at, says, m.spread, decided, vague, len(at.items)-vagueCount)
		m.bits = max(0, m.bits-noise/total)
		parts = !within
	}
	m.setScore()
	return parts
}

// divide sets the parts of what is left by its answers, until forget. It counts what does not decide
// the test.
func (y *player) divide(at *position, says []int16) (vague int) {
	marks := y.b.marks
	y.count, y.marks, y.outcome = y.count[:0], y.marks[:0], y.outcome[:0]
	for _, item := range at.items {
		o := says[item]
		if o == int16(Any) {
			vague++
			continue
		}
		k := y.part[o]
		if k == 0 {
			y.outcome = append(y.outcome, o)
			k = int16(len(y.outcome))
			y.part[o] = k
			y.count = append(y.count, 0)
			y.marks = append(y.marks, 0)
		}
		y.count[k-1]++
		y.marks[k-1] += marks[item]
	}
	return vague
}

// weighParts sums up the parts, and what does not decide the test.
func (y *player) weighParts(at *position, says []int16) (vague float64) {
	y.weight = slices.Grow(y.weight[:0], len(y.outcome))[:len(y.outcome)]
	clear(y.weight)
	for i, item := range at.items {
		if o := says[item]; o == int16(Any) {
			vague += at.weight[i]
		} else {
			y.weight[y.part[o]-1] += at.weight[i]
		}
	}
	return vague
}

// forget leaves no outcome in any part.
func (y *player) forget() {
	for _, o := range y.outcome {
		y.part[o] = 0
	}
}

// noise works out how much of the spread of the answers tells nothing about groups, in bits times weight, and
// whether all items that decide the test are of one group.
func (y *player) noise(at *position, says []int16, spread, decided, vague float64,
	deciding int) (noise float64, within bool) {
	y.of = slices.Grow(y.of[:0], len(y.outcome))[:len(y.outcome)]
	for _, places := range y.several {
		clear(y.of)
		heavy, open, decides := 0.0, 0.0, 0
		for _, i := range places {
			w := at.weight[i]
			heavy += w
			if o := says[at.items[i]]; o == int16(Any) {
				open += w
			} else {
				decides++
				y.of[y.part[o]-1] += w
			}
		}
		if decides == 0 {
			continue
		}
		within = within || decides == deciding
		vague -= open
		for k, w := range y.of {
			if q := (w + open*y.weight[k]/decided) / heavy; q > 0 && q < 1 {
				noise -= heavy * q * math.Log2(q)
			}
		}
	}
	return noise + max(0, vague)*spread, within // vague is now that of groups that do not decide the test
}

// partAlike compares two tests of which the marks say that they part alike.
func (y *player) partAlike(at *position, s, t Test) bool {
	n := len(y.b.items)
	a, b := y.b.says[int(s)*n:int(s+1)*n], y.b.says[int(t)*n:int(t+1)*n]
	equal := 0
	for equal < len(at.items) && a[at.items[equal]] == b[at.items[equal]] {
		equal++
	}
	same := true
	if equal == len(at.items) {
		return same // as most often
	}
	for _, item := range at.items {
		x, o := a[item], b[item]
		if x == int16(Any) || o == int16(Any) {
			if same = x == o; !same {
				break
			}
			continue
		}
		if y.match[x] == 0 {
			y.match[x] = o + 1
		}
		if same = y.match[x] == o+1; !same {
			break
		}
	}
	for _, item := range at.items {
		if x := a[item]; x != int16(Any) {
			y.match[x] = 0
		}
	}
	return same
}

// A child is a position after a move.
type child struct {
	position
	worth // for a search
}

// after returns what each answer to a move leaves. Items that do not decide it are in every part
// with their share.
func (y *player) after(at *position, m *move) []child {
	b := y.b
	n := len(b.items)
	says := b.says[int(m.test)*n : int(m.test+1)*n]
	vague := y.divide(at, says)
	y.weighParts(at, says)
	decided := 0.0
	for i, item := range at.items {
		if says[item] != int16(Any) {
			decided += at.weight[i]
		}
	}
	children := make([]child, len(y.outcome))
	for k := range children {
		size := int(y.count[k]) + vague
		children[k].position = position{
			items: y.places(size), weight: y.weights(size),
			tests: at.tests, arity: at.arity, cheap: at.cheap, bonus: at.bonus,
		}
	}
	for i, item := range at.items {
		o := says[item]
		if o == int16(Any) {
			for k := range children {
				c := &children[k]
				c.items = append(c.items, item)
				c.weight = append(c.weight, at.weight[i]*y.weight[k]/decided)
			}
			continue
		}
		c := &children[y.part[o]-1]
		c.items = append(c.items, item)
		c.weight = append(c.weight, at.weight[i])
	}
	y.forget()
	return children
}
