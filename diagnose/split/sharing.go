package split

import "slices"

// This file judges tests where what is left follows patterns of answers (pattern.go): all that
// follows one is added up at once, and then its exceptions are moved.

// A patternBench is the part of a bench for that.
type patternBench struct {
	shared []mass // by pattern

	// Groups whose hypotheses follow several patterns.
	several   []several
	severalOf []int32 // by group: index into several, one more; 0 for none, and between scans
}

// A mass is what is left that follows one pattern.
type mass struct {
	weight float64
	count  int32
	mark   uint64
}

// several is a group whose hypotheses follow several patterns.
type several struct {
	group int32
	parts []share
}

// A share is what is left of a group that follows one pattern.
type share struct {
	pattern int32
	weight  float64
	count   int32
}

// sharePatterns sums up what follows each pattern.
func (s *scan) sharePatterns() {
	t, b := s.p.Table, s.b
	if b.shared == nil {
		b.shared = make([]mass, t.count())
		b.severalOf = make([]int32, t.Hypotheses())
	}
	clear(b.shared)
	b.several = b.several[:0]
	first := make(map[int32]int32) // by group
	for _, l := range s.kept {
		h := l.Hypothesis
		if b.weight[h] == 0 {
			continue
		}
		q, g := t.pattern(h), s.p.group(h)
		m := &b.shared[q]
		m.weight += l.Weight
		m.count++
		m.mark += mark(h)
		if f, ok := first[g]; !ok {
			first[g] = q
		} else if f != q && b.severalOf[g] == 0 {
			b.several = append(b.several, several{group: g})
			b.severalOf[g] = int32(len(b.several))
		}
	}
	for q, m := range b.shared {
		if m.count > 0 {
			s.entries += len(t.sharedBy[q].tests)
		}
	}
	if len(b.several) == 0 {
		return
	}
	for _, l := range s.kept {
		k := b.severalOf[s.p.group(l.Hypothesis)]
		if b.weight[l.Hypothesis] == 0 || k == 0 {
			continue
		}
		parts := &b.several[k-1].parts
		q := t.pattern(l.Hypothesis)
		i := slices.IndexFunc(*parts, func(p share) bool { return p.pattern == q })
		if i < 0 {
			i = len(*parts)
			*parts = append(*parts, share{pattern: q})
		}
		(*parts)[i].weight += l.Weight
		(*parts)[i].count++
	}
}

// isSeveral gives the place, one more, of a group among those that follow several patterns; 0 if it
// follows one.
func (s *scan) isSeveral(g int32) int32 {
	if !s.patterned {
		return 0
	}
	return s.b.severalOf[g]
}

// forgetPatterns clears the bench for the next scan.
func (s *scan) forgetPatterns() {
	for _, g := range s.b.several {
		s.b.severalOf[g.group] = 0
	}
}

// eachColumn visits the exceptions of patterns, as those of who is less than zero, and then of what is left.
func (s *scan) eachColumn(visit func(who Hypothesis, tests []Test, what []Outcome)) {
	if s.patterned {
		for q, m := range s.b.shared {
			if m.count > 0 && q > 0 {
				c := &s.p.Table.sharedBy[q]
				visit(^Hypothesis(q), c.tests, c.what)
			}
		}
	}
	for _, l := range s.kept {
		if s.b.weight[l.Hypothesis] > 0 {
			tests, what := s.p.Table.Own(l.Hypothesis)
			visit(l.Hypothesis, tests, what)
		}
	}
}

// byRowsOfPatterns is byRows where what is left follows patterns.
func (s *scan) byRowsOfPatterns(most int) []ranked {
	t, b := s.p.Table, s.b
	return s.share(t.Tests(), len(t.rowWho)+t.Tests(), most, func(y *tally, keep *shortlist, from, to int) {
		for test := Test(from); test < Test(to); test++ {
			y.who, y.what = y.who[:0], y.what[:0]
			add := func(h Hypothesis, o Outcome) { y.who, y.what = append(y.who, h), append(y.what, o) }
			for i := t.inPattern[test]; i < t.inPattern[test+1]; i++ {
				if q := t.patternWho[i]; b.shared[q].count > 0 {
					add(^Hypothesis(q), t.patternWhat[i])
				}
			}
			who, what := t.OwnRow(test)
			for i, h := range who {
				if b.weight[h] > 0 {
					add(h, what[i])
				}
			}
			if len(y.who) > 0 {
				s.judgeShared(y, keep, test, y.who, y.what)
			}
		}
	})
}

// judgeShared is judge where what is left follows patterns. The exceptions are those of patterns
// first, by the complement of their numbers, then those of hypotheses to their patterns; all of
// these are left.
func (s *scan) judgeShared(y *tally, keep *shortlist, test Test, who []Hypothesis, what []Outcome) {
	usual := s.p.Table.usual[test]
	y.seen, y.touched = y.seen[:0], y.touched[:0]
	rest, restCount := s.total, int32(s.left)
	add := func(o Outcome, weight float64, count int32) {
		if o == usual {
			rest += weight
			restCount += count
			return
		}
		if y.count[o+1] == 0 && !slices.Contains(y.touched, o) {
			y.touched = append(y.touched, o)
		}
		y.weight[o+1] += weight
		y.count[o+1] += count
	}
	n := 0
	for ; n < len(who) && who[n] < 0; n++ {
		q := ^who[n]
		m := &s.b.shared[q]
		y.says[q] = what[n]
		add(usual, -m.weight, -m.count)
		add(what[n], m.weight, m.count)
	}
	for i := n; i < len(who); i++ {
		w := s.b.weight[who[i]]
		add(s.base(y, who[i], usual), -w, -1)
		add(what[i], w, 1)
	}
	// Counts tell what is nothing; rounding must not leave nothing where something is.
	for _, o := range y.touched {
		if y.count[o+1] > 0 {
			y.seen = append(y.seen, o)
			y.weight[o+1] = max(y.weight[o+1], s.least)
		} else {
			y.weight[o+1] = 0
		}
	}
	if restCount > 0 {
		y.seen = append(y.seen, usual)
		y.weight[usual+1] = max(rest, s.least)
		y.count[usual+1] = restCount
		y.touched = append(y.touched, usual)
	}
	y.undecided = y.count[Any+1]
	if len(y.seen) > 1 {
		s.weigh(y, keep, test, who, what)
	}
	for _, o := range y.touched {
		y.weight[o+1], y.count[o+1] = 0, 0
	}
	for _, q := range who[:n] {
		y.says[^q] = asUsual
	}
}

// base is what a hypothesis answers if it is no exception.
func (s *scan) base(y *tally, h Hypothesis, usual Outcome) Outcome {
	if s.patterned {
		return y.patternSays(s.p.Table.pattern(h), usual)
	}
	return usual
}

// patternSays is what a pattern answers to the test at hand.
func (y *tally) patternSays(pattern int32, usual Outcome) Outcome {
	if o := y.says[pattern]; o != asUsual {
		return o
	}
	return usual
}

// answersOfSeveral adds up, in of, what a group answers that follows several patterns, the
// exceptions in it given. It counts those that decide the test.
func (s *scan) answersOfSeveral(y *tally, g *several, usual Outcome, exceptions []tornEntry) (decides int32) {
	for _, p := range g.parts {
		o := y.patternSays(p.pattern, usual)
		y.of[o+1] += p.weight
		if o != Any {
			decides += p.count
		}
	}
	for _, e := range exceptions {
		y.of[e.base+1] = max(0, y.of[e.base+1]-e.weight)
		y.of[e.outcome+1] += e.weight
		if e.base != Any {
			decides--
		}
		if e.outcome != Any {
			decides++
		}
	}
	return decides
}
