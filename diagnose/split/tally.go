package split

import (
	"math"
	"slices"
)

// A tally adds up one test. One worker uses one tally for test after test. Places by outcome are
// one higher than the outcome, so that Any is at 0, and hold 0 between tests.
type tally struct {
	weight []float64 // by outcome
	marks  []uint64  // by outcome: the sum of the marks of its hypotheses
	seen   []Outcome // the outcomes with something in their places
	shares []float64 // of the parts

	// These are used only where some group has several hypotheses left.
	inGroup []int32     // by group: how many exceptions of this test are in it; 0 between tests
	said    []Outcome   // by group: what they answer, or mixed
	groups  []int32     // with something in inGroup
	entries []tornEntry // exceptions in torn groups
	of      []float64   // by outcome: the weights of one group

	// These are used only where what is left follows patterns.
	says      []Outcome // by pattern: what it answers, or asUsual; asUsual between tests
	count     []int32   // by outcome: how many of what is left give it, but for the usual one; 0 between tests
	touched   []Outcome // the outcomes that had something in their places
	undecided int32     // how many of what is left do not decide the test
	who       []Hypothesis
	what      []Outcome
	settled   []bool // by group of several patterns

	_ [64]byte // what stands next in memory belongs to another worker
}

// newTally makes a tally for a table. Its short slices have room to fill, so that no two workers
// write to one line of the cache.
func newTally(t *Table) *tally {
	const room = 64
	n, outcomes := t.Hypotheses(), t.most+1
	return &tally{
		weight:  make([]float64, outcomes, outcomes+room),
		marks:   make([]uint64, outcomes, outcomes+room),
		seen:    make([]Outcome, 0, outcomes+room),
		shares:  make([]float64, 0, outcomes+room),
		inGroup: make([]int32, n, n+room),
		said:    make([]Outcome, n, n+room),
		of:      make([]float64, outcomes, outcomes+room),
		says:    slices.Repeat([]Outcome{asUsual}, t.count()),
		count:   make([]int32, outcomes, outcomes+room),
	}
}

// asUsual, in place of what a pattern answers, says that it answers in the usual way.
const asUsual Outcome = -3

// judge shows a test to the shortlist if it parts what is left. The exceptions may name hypotheses
// that are not left.
func (s *scan) judge(y *tally, keep *shortlist, test Test, who []Hypothesis, what []Outcome) {
	weights, sums := s.b.weight, y.weight
	y.seen = y.seen[:0]
	met, sum := 0, 0.0
	for i, h := range who {
		w := weights[h]
		if w == 0 {
			continue
		}
		met++
		sum += w
		o := what[i]
		if sums[o+1] == 0 {
			y.seen = append(y.seen, o)
		}
		sums[o+1] += w
	}
	if len(y.seen) > 1 || len(y.seen) == 1 && met < s.left {
		if met < s.left {
			// Exceptions differ from the usual outcome, so its place is still free. Rounding must not
			// leave nothing in it.
			usual := s.p.Table.usual[test]
			y.seen = append(y.seen, usual)
			sums[usual+1] = max(s.total-sum, s.least)
		}
		s.weigh(y, keep, test, who, what)
	}
	for _, o := range y.seen {
		sums[o+1] = 0
	}
}

// weigh works out the rank of a test of which the tally holds what is left, and shows it to the shortlist.
func (s *scan) weigh(y *tally, keep *shortlist, test Test, who []Hypothesis, what []Outcome) {
	if s.o.Allowed != nil && !s.o.Allowed(test) {
		return
	}
	r := ranked{test: test}
	decided := 0.0
	y.shares = y.shares[:0]
	for _, o := range y.seen {
		if o == Any {
			continue
		}
		w := y.weight[o+1]
		decided += w
		y.shares = append(y.shares, w)
	}
	if r.parts = len(y.shares); r.parts < 2 {
		return
	}
	for i := range y.shares {
		y.shares[i] /= decided
	}
	spread := spread(y.shares)
	vague := y.weight[Any+1]
	if s.o.MostVague > 0 && vague > s.o.MostVague*s.total {
		return
	}
	// Hypotheses that do not decide the test answer as the others do, so that their answer tells nothing.
	noise := vague / s.total * spread
	if s.shared {
		var within bool
		if noise, within = s.noise(y, test, who, what, spread, decided); within {
			return
		}
	}
	r.bits = max(0, spread-noise)
	r.cost, r.then = s.p.cost(s.from, test)
	r.setScore()
	if keep.wants(&r) {
		if keep.distinct {
			r.way = s.way(y, test, who, what)
		}
		keep.add(r)
	}
}

// free is what a test without cost is held to cost, so that more gain is still better.
const free = 1e-9

// setScore works out how good a test is by one step: what it tells for its cost.
func (r *ranked) setScore() { r.score = snap(r.bits / max(r.cost, free)) }

// way works out a number that is equal for tests that part what is left alike.
func (s *scan) way(y *tally, test Test, who []Hypothesis, what []Outcome) (way uint64) {
	usual := s.p.Table.usual[test]
	y.marks[usual+1] = s.mark
	for i, h := range who {
		switch {
		case h < 0:
			m := s.b.shared[^h].mark
			y.marks[usual+1] -= m
			y.marks[what[i]+1] += m
		case s.b.weight[h] > 0:
			m := mark(h)
			y.marks[s.base(y, h, usual)+1] -= m
			y.marks[what[i]+1] += m
		}
	}
	for _, o := range y.seen {
		if o != Any {
			way += stir(y.marks[o+1])
		}
		y.marks[o+1] = 0
	}
	y.marks[usual+1] = 0
	for _, o := range y.touched {
		y.marks[o+1] = 0
	}
	return way
}

// mixed, in place of the outcome that a group answers, says that its hypotheses answer several.
const mixed Outcome = -2

// A tornEntry is an exception in a torn group, a group whose hypotheses do not all answer alike.
type tornEntry struct {
	group   int32
	outcome Outcome
	base    Outcome // what the hypotheses of the group answer that are no exceptions
	weight  float64
}

// noise works out how many bits of the spread of the answers tell nothing about groups: those of
// hypotheses that do not decide the test, and those that part hypotheses of one group. It says
// whether the test does no more than part hypotheses within one group.
func (s *scan) noise(
	y *tally, test Test, who []Hypothesis, what []Outcome, spread, decided float64,
) (noise float64, within bool) {
	usual := s.p.Table.usual[test]
	deciding := s.findTorn(y, who, what, usual)
	vague := y.weight[Any+1] // that of torn groups is taken away below
	settle := func(g, decides int32) {
		heavy := s.b.heavy[g]
		within = within || decides == deciding
		open := y.of[Any+1]
		vague -= open
		for _, o := range y.seen {
			if o != Any {
				if q := (y.of[o+1] + open*y.weight[o+1]/decided) / heavy; q > 0 {
					noise -= heavy / s.total * q * math.Log2(q)
				}
			}
			y.of[o+1] = 0
		}
		for _, o := range y.touched {
			y.of[o+1] = 0
		}
	}
	for from, to := 0, 0; from < len(y.entries); from = to {
		g := y.entries[from].group
		for to = from; to < len(y.entries) && y.entries[to].group == g; {
			to++
		}
		exceptions := y.entries[from:to]
		if k := s.isSeveral(g); k > 0 {
			y.settled[k-1] = true
			settle(g, s.answersOfSeveral(y, &s.b.several[k-1], usual, exceptions))
			continue
		}
		rest, restCount := s.b.heavy[g], s.b.members[g]
		decides := restCount
		for _, e := range exceptions {
			y.of[e.outcome+1] += e.weight
			rest -= e.weight
			restCount--
			if e.outcome == Any {
				decides--
			}
		}
		if base := exceptions[0].base; restCount > 0 {
			y.of[base+1] += max(rest, 0)
			if base == Any {
				decides -= restCount
			}
		}
		settle(g, decides)
	}
	for k := range y.settled {
		if g := &s.b.several[k]; !y.settled[k] {
			settle(g.group, s.answersOfSeveral(y, g, usual, nil))
		}
	}
	return noise + max(0, vague)/s.total*spread, within
}

// findTorn fills entries with the exceptions in torn groups, those of one group together. It counts
// the hypotheses left that decide the test.
func (s *scan) findTorn(y *tally, who []Hypothesis, what []Outcome, usual Outcome) (deciding int32) {
	y.groups, y.entries, y.settled = y.groups[:0], y.entries[:0], y.settled[:0]
	if s.patterned {
		y.settled = append(y.settled, make([]bool, len(s.b.several))...)
	}
	deciding = int32(s.left)
	met := 0
	for i, h := range who {
		if h < 0 || s.b.weight[h] == 0 {
			continue
		}
		met++
		g, o := s.p.group(h), what[i]
		if o == Any {
			deciding--
		}
		if y.inGroup[g] == 0 {
			y.groups = append(y.groups, g)
			y.said[g] = o
		} else if y.said[g] != o {
			y.said[g] = mixed
		}
		y.inGroup[g]++
	}
	switch {
	case s.patterned:
		deciding = int32(s.left) - y.undecided
	case usual == Any:
		deciding -= int32(s.left - met)
	}
	torn := false
	for _, g := range y.groups {
		if y.inGroup[g] < s.b.members[g] || s.isSeveral(g) > 0 {
			y.said[g] = mixed
		}
		torn = torn || y.said[g] == mixed
		y.inGroup[g] = 0
	}
	if !torn {
		return deciding
	}
	for i, h := range who {
		if h < 0 {
			continue
		}
		if w, g := s.b.weight[h], s.p.group(h); w > 0 && y.said[g] == mixed {
			y.entries = append(y.entries, tornEntry{g, what[i], s.base(y, h, usual), w})
		}
	}
	slices.SortStableFunc(y.entries, func(a, b tornEntry) int { return int(a.group) - int(b.group) })
	return deciding
}
