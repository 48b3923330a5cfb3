package split

import (
	"math"
	"runtime"
	"slices"
	"sync"
)

// This file judges every test by one step: how well it parts what is left. Two ways lead to the
// same figures. By rows: go through the exceptions of every test and pass over hypotheses that are
// not left. By columns: go through the exceptions of every hypothesis that is left and gather them
// by test; tests that are not met part nothing, as all that is left answers them in the usual way.
// The way with less to go through is taken.

// A ranked is a test with all that its rank depends on.
type ranked struct {
	test  Test
	score float64 // gain for the cost
	bits  float64 // what it tells about groups
	cost  float64
	then  Mode
	parts int    // how many parts it makes
	way   uint64 // how it parts what is left: equal for tests that part alike
}

// before says that a is to be proposed before b: the order is total, so that it does not matter in
// which order, or by how many workers, tests are judged.
func (a *ranked) before(b *ranked) bool {
	switch {
	case a.score != b.score:
		return a.score > b.score
	case a.cost != b.cost:
		return a.cost < b.cost
	}
	return a.test < b.test
}

// compare is before as slices.SortFunc wants it.
func (a *ranked) compare(b *ranked) int {
	switch {
	case a.before(b):
		return -1
	case b.before(a):
		return 1
	}
	return 0
}

// A shortlist keeps the best so many of the tests it is shown.
type shortlist struct {
	most     int
	distinct bool // of tests that part alike only the best
	kept     []ranked
	worst    ranked // of the best so many, once there were that many
	full     bool
}

// wants says that a test has a chance to stay.
func (s *shortlist) wants(r *ranked) bool { return !s.full || r.before(&s.worst) }

func (s *shortlist) add(r ranked) {
	s.kept = append(s.kept, r)
	if len(s.kept) >= 2*s.most+16 {
		s.cut()
	}
}

// cut sorts what was kept and drops what is too much.
func (s *shortlist) cut() {
	slices.SortFunc(s.kept, func(a, b ranked) int { return a.compare(&b) })
	if s.distinct {
		ways := make(map[uint64]bool, len(s.kept))
		s.kept = slices.DeleteFunc(s.kept, func(r ranked) bool {
			known := ways[r.way]
			ways[r.way] = true
			return known
		})
	}
	if len(s.kept) >= s.most {
		s.kept = s.kept[:s.most]
		s.worst, s.full = s.kept[s.most-1], true
	}
}

// A bench is the working space of one scan, kept with the table for the next.
type bench struct {
	weight  []float64 // by hypothesis; 0 for what is not left
	members []int32   // by group: how many of it are left; 0 between scans
	heavy   []float64 // by group: the weight of what is left of it; 0 between scans
	counts  []int32   // by test: exceptions among what is left; all 0 between scans
	met     []Test
	starts  []int32
	who     []Hypothesis
	what    []Outcome
	tallies []*tally

	patternBench
}

func (t *Table) takeBench() *bench {
	if b, ok := t.benches.Get().(*bench); ok {
		return b
	}
	return &bench{
		weight:  make([]float64, t.Hypotheses()),
		members: make([]int32, t.Hypotheses()),
		heavy:   make([]float64, t.Hypotheses()),
		counts:  make([]int32, t.Tests()),
	}
}

func (b *bench) tally(i int, t *Table) *tally {
	for len(b.tallies) <= i {
		b.tallies = append(b.tallies, newTally(t))
	}
	return b.tallies[i]
}

// A scan is one judging of all tests.
type scan struct {
	p       *Problem
	o       *Options
	b       *bench
	from    Mode
	kept    []Weighted // what is left
	left    int
	groups  int
	entries int     // exceptions in the columns of what is left
	shared  bool    // some group has several hypotheses left
	total   float64 // of weights
	least   float64 // the smallest weight left
	mark    uint64  // the sum of the marks of what is left

	patterned bool // some of what is left follows a pattern that is not the usual one
}

// rank returns the best so many tests that part what is left, best first.
func (p *Problem) rank(left []Weighted, from Mode, o *Options, most int) []ranked {
	s := p.startScan(left, from, o)
	defer s.close()
	switch {
	case s.groups < 2:
		return nil
	case s.patterned && 3*s.entries >= len(p.Table.rowWho):
		return s.byRowsOfPatterns(most)
	case s.patterned || 3*s.entries < len(p.Table.rowWho)+p.Table.Tests():
		return s.byColumns(most)
	}
	return s.byRows(most)
}

// startScan lays out on a bench what is left.
func (p *Problem) startScan(left []Weighted, from Mode, o *Options) *scan {
	s := &scan{p: p, b: p.Table.takeBench(), o: o, from: from, kept: left, least: math.Inf(1)}
	b := s.b
	for _, l := range left {
		if !(l.Weight > 0) {
			continue
		}
		b.weight[l.Hypothesis] = l.Weight
		g := p.group(l.Hypothesis)
		b.heavy[g] += l.Weight
		if b.members[g]++; b.members[g] == 1 {
			s.groups++
		} else {
			s.shared = true
		}
		s.left++
		s.patterned = s.patterned || p.Table.pattern(l.Hypothesis) > 0
		s.entries += p.Table.colStart[l.Hypothesis+1] - p.Table.colStart[l.Hypothesis]
		s.total += l.Weight
		s.least = min(s.least, l.Weight)
		s.mark += mark(l.Hypothesis)
	}
	if s.patterned {
		s.sharePatterns()
	}
	return s
}

// close clears the bench for the next scan.
func (s *scan) close() {
	if s.patterned {
		s.forgetPatterns()
	}
	for _, l := range s.kept {
		s.b.weight[l.Hypothesis] = 0
		g := s.p.group(l.Hypothesis)
		s.b.members[g], s.b.heavy[g] = 0, 0
	}
	s.p.Table.benches.Put(s.b)
}

// worthSharing is how many exceptions make it worth while to start another worker (measured: a
// start costs about as much as a few thousand exceptions).
const worthSharing = 1 << 15

// share calls work for the numbers 0 to n-1 in runs, on as many processors as pay for themselves,
// and joins what the workers keep.
func (s *scan) share(n, entries, most int, work func(y *tally, keep *shortlist, from, to int)) []ranked {
	workers := min(runtime.GOMAXPROCS(0), 1+entries/worthSharing)
	if workers <= 1 {
		keep := shortlist{most: most, distinct: s.o.Distinct}
		work(s.b.tally(0, s.p.Table), &keep, 0, n)
		keep.cut()
		return keep.kept
	}
	kept := make([]shortlist, workers)
	var wait sync.WaitGroup
	for i := range workers {
		y, keep := s.b.tally(i, s.p.Table), &kept[i]
		keep.most, keep.distinct = most, s.o.Distinct
		wait.Go(func() { work(y, keep, n*i/workers, n*(i+1)/workers) })
	}
	wait.Wait()
	for _, k := range kept[1:] {
		kept[0].kept = append(kept[0].kept, k.kept...)
	}
	kept[0].cut()
	return kept[0].kept
}

func (s *scan) byRows(most int) []ranked {
	t := s.p.Table
	return s.share(t.Tests(), len(t.rowWho)+t.Tests(), most, func(y *tally, keep *shortlist, from, to int) {
		for test := Test(from); test < Test(to); test++ {
			who, what := t.OwnRow(test)
			s.judge(y, keep, test, who, what)
		}
	})
}

func (s *scan) byColumns(most int) []ranked {
	b := s.b
	b.met = b.met[:0]
	s.eachColumn(func(_ Hypothesis, tests []Test, _ []Outcome) {
		for _, test := range tests {
			if b.counts[test]++; b.counts[test] == 1 {
				b.met = append(b.met, test)
			}
		}
	})
	// counts becomes, for each test met, where its next entry goes.
	b.starts = append(b.starts[:0], 0)
	end := int32(0)
	for _, test := range b.met {
		end += b.counts[test]
		b.counts[test] = end - b.counts[test]
		b.starts = append(b.starts, end)
	}
	b.who = slices.Grow(b.who[:0], int(end))[:end]
	b.what = slices.Grow(b.what[:0], int(end))[:end]
	s.eachColumn(func(who Hypothesis, tests []Test, what []Outcome) {
		for i, test := range tests {
			at := b.counts[test]
			b.counts[test]++
			b.who[at], b.what[at] = who, what[i]
		}
	})
	for _, test := range b.met {
		b.counts[test] = 0
	}
	judge := s.judge
	if s.patterned {
		judge = s.judgeShared
	}
	return s.share(len(b.met), s.entries, most, func(y *tally, keep *shortlist, from, to int) {
		for i := from; i < to; i++ {
			who, what := b.who[b.starts[i]:b.starts[i+1]], b.what[b.starts[i]:b.starts[i+1]]
			judge(y, keep, b.met[i], who, what)
		}
	})
}
