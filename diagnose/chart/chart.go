// Package chart lays the guided search of one circuit out whole: at each fork the check that
// the search would propose there, and a way for each answer that something still possible
// would give.
//
//	fork: look at B1 ─┬─ off ─► fork: volts CR1:22 to T1:X2 ─┬─ 102 to 138 V ─► …
//	                  │                                      └─ below 12 V ───► end: wire 7 is open
//	                  └─ on ──► cut: rarer than asked for
//
// It is the same search: every fork is what [diagnose.Model.Turn] gives for the readings on
// the way there, so whoever follows the chart makes the checks that a guided session would
// propose.
package chart

import (
	"cmp"
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
	"deadrung/faultmodel"
)

// Chart is a guided search laid out whole.
type Chart struct {
	By  diagnose.By
	Cut float64 // ways rarer than this share are not followed
	// Longest is how many checks a way has at most, proofs not counted.
	Longest int
	// Start is where it begins: at the complaint that was given, or at nothing.
	Start *Fork
	// Forks counts those where a check is made, Ends those where none is, Cuts the ways
	// that were not followed.
	Forks, Ends, Cuts int

	model *diagnose.Model
	from  log.Log
}

// Fork is one place of a chart: a check with its ways, or an end without any.
type Fork struct {
	// Turn is what the guided search says here. Its candidates are those that fit every
	// reading; it has no other checks and no pairs of faults.
	Turn diagnose.Turn
	Log  log.Log // the readings on the way here
	Ways []Way   // in rising order of the reading; none at an end
	Cut  bool    // not followed, for it is rarer or longer than asked for, or unforeseen
	// Unforeseen is set where the reading that leads here is one that nobody can foretell, and more than
	// strays come to.
	Unforeseen bool
	Odds       float64 // the share of all that fits at the start that comes here
}

// Way is one answer of a fork and where it leads.
type Way struct {
	diagnose.Answered
	// Stray is set where nothing that is foretold gives this answer: a lead on a conductor
	// that floats reads anything.
	Stray bool
	To    *Fork

	spans []span
}

// Options say how a chart is made.
type Options struct {
	By  diagnose.By
	Cut float64 // 0 follows every way
	// Longest is how many checks a way may have, proofs not counted; zero is as many as it
	// takes.
	Longest int
}

// longestWay ends a way that finds no end. No circuit needs as many checks.
const longestWay = 200

// Of lays out the guided search from a log, which is a complaint or empty.
func Of(m *diagnose.Model, history log.Log, o Options) *Chart {
	c := &Chart{model: m, By: o.By, Cut: o.Cut, Longest: o.Longest}
	if c.Longest == 0 {
		c.Longest = longestWay
	}
	var fits []split.Weighted
	var all float64
	for h, d := range m.Believe(history).Disagree() {
		if d == 0 {
			fits = append(fits, split.Weighted{Hypothesis: split.Hypothesis(h), Weight: c.prior(h)})
			all += c.prior(h)
		}
	}
	for i := range fits {
		fits[i].Weight /= all
	}
	c.from = history
	c.Start = c.lay(history, fits, 1)
	c.count(c.Start)
	return c
}

// fault gives the fault of a hypothesis; nil is the good circuit, which comes last.
func (c *Chart) fault(h split.Hypothesis) *faultmodel.Fault {
	if faults := c.model.Faults(); int(h) < len(faults) {
		return &faults[h]
	}
	return nil
}

// prior is that of a hypothesis.
func (c *Chart) prior(h int) float64 {
	if f := c.fault(split.Hypothesis(h)); f != nil {
		return f.Prior
	}
	return diagnose.GoodPrior
}

// lay lays out a chart from a log: what fits it, with its share of the start, and their sum.
func (c *Chart) lay(history log.Log, fits []split.Weighted, odds float64) *Fork {
	b := c.model.Believe(history)
	f := &Fork{Log: history, Odds: odds, Turn: b.Turn(diagnose.Choosing{By: c.By, Most: -1})}
	f.Turn.Candidates = slices.DeleteFunc(f.Turn.Candidates,
		func(d diagnose.Candidate) bool { return d.Disagree > f.Turn.Wrong })
	f.Turn.Candidates = slices.Clip(slices.Clone(f.Turn.Candidates))
	if len(fits) == 0 || f.Turn.Next == nil || f.Turn.Proved {
		return f
	}
	f.Ways = c.ways(f, b.Disagree(), fits)
	return f
}

// ways follows each answer that something which fits would give.
func (c *Chart) ways(f *Fork, disagree []int, fits []split.Weighted) []Way {
	check := f.Turn.Next.Check
	k, err := classesOf(c.model, check, disagree, fits)
	if err != nil {
		return nil // a check that was proposed names what there is
	}
	var ways []Way
	answers := k.answers()
	for i := range answers {
		a := &answers[i]
		a.again(f.Log, check)
		var there []split.Weighted
		var odds float64
		for _, s := range fits {
			if p := k.chance(k.of[s.Hypothesis], a, answers); p > 0 {
				there = append(there, split.Weighted{Hypothesis: s.Hypothesis, Weight: s.Weight * p})
				odds += s.Weight * p
			}
		}
		w := Way{Stray: a.stray(k), Answered: a.answered(k.at.Kind), spans: a.spans}
		w.Probability = odds / f.Odds
		for _, s := range there {
			if h := c.fault(s.Hypothesis); h == nil {
				w.Good = true
			} else {
				w.Candidates = append(w.Candidates, h.ID)
			}
		}
		r := a.reading(k.at.Kind)
		e, _ := c.model.Book().NewEntry(check, &r)
		history := log.Log{Entries: append(slices.Clone(f.Log.Entries), e)}
		if odds < c.Cut || a.beyond || !f.Turn.Next.Proof && len(history.Entries)-len(c.from.Entries) >= c.Longest {
			w.To = c.cutHere(history, there, odds)
			w.To.Unforeseen = a.beyond
		} else {
			w.To = c.lay(history, there, odds)
		}
		ways = append(ways, w)
	}
	return join(ways)
}

// cutHere is the end of a way that is not followed.
func (c *Chart) cutHere(history log.Log, there []split.Weighted, odds float64) *Fork {
	f := &Fork{Log: history, Odds: odds, Cut: true, Turn: diagnose.Turn{
		Circuit: c.model.Panel().Circuit.Title, Status: diagnose.Continue, Others: []diagnose.Proposal{}}}
	groups := make(map[int]bool)
	var faults float64
	for _, s := range there {
		if c.fault(s.Hypothesis) == nil {
			f.Turn.GoodLeft = true
			continue
		}
		h := int(s.Hypothesis)
		f.Turn.Left = append(f.Turn.Left, h)
		groups[c.model.Group(h)] = true
		faults += s.Weight
	}
	for _, s := range there {
		if h := c.fault(s.Hypothesis); h != nil {
			i := int(s.Hypothesis)
			f.Turn.Candidates = append(f.Turn.Candidates, diagnose.Candidate{ID: h.ID, Text: h.Text,
				Probability: s.Weight / faults, Group: c.model.Group(i), Effect: h.Effect, Index: i})
		}
	}
	slices.SortStableFunc(f.Turn.Candidates,
		func(a, b diagnose.Candidate) int { return cmp.Compare(b.Probability, a.Probability) })
	f.Turn.Groups = len(groups)
	return f
}

// join makes one way of neighbouring ones, and of stray ones, that lead to the same checks
// and ends.
func join(ways []Way) []Way {
	var out []Way
	for _, w := range ways {
		at := slices.IndexFunc(out, func(o Way) bool {
			return o.Stray == w.Stray && o.High != nil && w.High != nil && (o.Stray || *o.High >= *w.Low) &&
				o.To.alike(w.To)
		})
		if at < 0 {
			out = append(out, w)
			continue
		}
		o := &out[at]
		if *w.High > *o.High {
			o.High = w.High
		}
		o.spans = append(o.spans, w.spans...)
		o.Probability += w.Probability
		o.To.add(w.To)
	}
	return out
}

// alike tells whether two forks lead to the same checks by the same answers, and to ends
// that leave the same possible.
func (f *Fork) alike(g *Fork) bool {
	if f.Cut != g.Cut || f.Turn.Status != g.Turn.Status || len(f.Ways) != len(g.Ways) ||
		!slices.Equal(f.Turn.Left, g.Turn.Left) ||
		f.Turn.Proved != g.Turn.Proved || f.Turn.GoodLeft != g.Turn.GoodLeft ||
		(f.Turn.Next == nil) != (g.Turn.Next == nil) {
		return false
	}
	if f.Turn.Next != nil && f.Turn.Next.Check.String() != g.Turn.Next.Check.String() {
		return false
	}
	for i := range f.Ways {
		a, b := &f.Ways[i], &g.Ways[i]
		if a.Saw != b.Saw || a.Read != b.Read || !same(a.Low, b.Low) || !same(a.High, b.High) || !a.To.alike(b.To) {
			return false
		}
	}
	return true
}

func same(a, b *float64) bool { return (a == nil) == (b == nil) && (a == nil || *a == *b) }

// add adds the odds of a fork that is alike.
func (f *Fork) add(g *Fork) {
	f.Odds += g.Odds
	for i := range f.Ways {
		f.Ways[i].To.add(g.Ways[i].To)
	}
}

func (c *Chart) count(f *Fork) {
	switch {
	case f.Cut:
		c.Cuts++
	case len(f.Ways) == 0:
		c.Ends++
	default:
		c.Forks++
	}
	for _, w := range f.Ways {
		c.count(w.To)
	}
}

// Takes tells whether a reading goes this way.
func (w *Way) Takes(r log.Reading) bool {
	x := r.Number()
	return slices.ContainsFunc(w.spans, func(b span) bool { return b.holds(x) })
}
