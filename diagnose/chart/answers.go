package chart

import (
	"cmp"
	"math"
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// This file finds the answers of one check that have to be told apart: those after which
// the search goes on in the same way are one.

// classes are the different readings of a check that matter: those of what fits every
// reading so far, and of what just one reading speaks against. Nothing else can change
// what the search proposes as long as something fits.
type classes struct {
	m        *diagnose.Model
	check    log.Check
	at       log.Located
	readings []log.Reading
	fits     []bool // by class: something that fits reads so
	of       []int  // by hypothesis: its class, or -1
	floating bool   // the reading of something that fits is not firm
	unknown  bool   // so is one that does not float: it may come to any voltage
	most     float64
}

// answer is the readings after which the same is left and the same is doubted.
type answer struct {
	at    float64 // one of them: a foretold one where there is one
	spans []span
	agree []bool        // by class
	tells []bool        // by class: this is what is foretold for it
	told  []log.Reading // what is foretold here
	// beyond is set where it is above what strays come to, and something that fits makes of the panel what
	// nobody knows: such ways are not followed, for there is one at every check.
	beyond bool
}

// classesOf finds the classes of a check, from how many readings each hypothesis does not fit
// and from what fits them all.
func classesOf(m *diagnose.Model, c log.Check, disagree []int, fits []split.Weighted) (*classes, error) {
	l, err := m.Book().Locate(c)
	if err != nil {
		return nil, err
	}
	k := &classes{m: m, check: c, at: l, of: make([]int, len(disagree))}
	if k.most, err = m.Stray(c); err != nil {
		return nil, err
	}
	reads := m.Readings(l)
	number := make(map[log.Reading]int)
	for h, r := range reads {
		k.of[h] = -1
		if disagree[h] > 1 {
			continue
		}
		n, ok := number[r]
		if !ok {
			n = len(k.readings)
			number[r] = n
			k.readings = append(k.readings, r)
		}
		k.of[h] = n
	}
	k.fits = make([]bool, len(k.readings))
	for _, s := range fits {
		n := k.of[s.Hypothesis]
		k.fits[n] = true
		k.floating = k.floating || !k.readings[n].Firm
		k.unknown = k.unknown || !k.readings[n].Firm && !k.readings[n].Floats
	}
	return k, nil
}

// span is a range of readings, both ends included.
type span struct{ low, high float64 }

func (s span) holds(x float64) bool { return x >= s.low && x <= s.high }

// agreeing gives the readings that agree with a foretold one.
func (k *classes) agreeing(r log.Reading) span {
	low, high := k.m.Band(k.at, r)
	return span{low, high}
}

// answers gives the answers that something which fits would give, in rising order. Where
// something that fits may read anything, all that a stray reading can be is among them: open as
// well, in ohms.
func (k *classes) answers() []answer {
	var out []answer
	add := func(x float64, s span) *answer {
		agree := make([]bool, len(k.readings))
		any := false
		for i, r := range k.readings {
			agree[i] = k.m.Agrees(k.at, r, log.Reading{Kind: k.at.Kind, On: x == 1, Value: x, Firm: true})
			any = any || agree[i] && k.fits[i]
		}
		if !any {
			return nil
		}
		n := slices.IndexFunc(out, func(a answer) bool { return slices.Equal(a.agree, agree) })
		if n < 0 {
			n = len(out)
			out = append(out, answer{at: x, agree: agree, tells: make([]bool, len(k.readings))})
		}
		if s.low <= s.high {
			out[n].spans = append(out[n].spans, s)
		}
		return &out[n]
	}
	for i, r := range k.readings {
		if !k.fits[i] {
			continue
		}
		for _, f := range k.m.MayRead(k.at, r) {
			v := f.Number()
			if k.at.Kind != log.Look {
				v = math.Round(v*10) / 10 // what a meter shows
			}
			if a := add(v, span{0, -1}); a != nil {
				a.tells[i], a.told = true, append(a.told, f)
			}
		}
	}
	switch {
	case k.at.Kind == log.Look:
		for _, x := range []float64{0, 1} {
			add(x, span{x, x})
		}
	case k.floating:
		var beyond []span
		edges := k.edges()
		for i := range len(edges) - 1 {
			low, high := edges[i], edges[i+1]
			middle := (low + high) / 2
			if math.IsInf(high, 1) {
				middle = high
			}
			if low < k.most || k.at.Kind.Off() || slices.ContainsFunc(out, func(a answer) bool { return a.within(span{low, high}) }) {
				add(middle, span{low, high})
			} else if k.unknown {
				beyond = append(beyond, span{low, high})
			}
		}
		for _, s := range beyond {
			before := len(out)
			if a := add((s.low+s.high)/2, s); a != nil && len(out) > before {
				a.beyond = true
			}
		}
	default:
		k.spread(out)
	}
	out = slices.DeleteFunc(out, func(a answer) bool { return len(a.spans) == 0 })
	slices.SortFunc(out, func(a, b answer) int { return cmp.Compare(a.spans[0].low, b.spans[0].low) })
	return out
}

// edges are where what agrees changes, in rising order.
func (k *classes) edges() []float64 {
	edges := []float64{0}
	if k.at.Kind == log.Ohms {
		edges = append(edges, diagnose.OpenFrom, log.OL)
	}
	if k.at.Kind == log.Diode {
		edges = append(edges, diagnose.DiodeMost, log.OL)
	}
	if k.at.Kind == log.Volts && k.unknown {
		edges = append(edges, k.m.MostVolts())
	}
	for _, r := range k.readings {
		for _, v := range k.m.MayRead(k.at, r) {
			b := k.agreeing(v)
			edges = append(edges, b.low, b.high)
		}
		if r.Floats {
			edges = append(edges, diagnose.PresentFrom*k.m.Nominal(k.check))
		}
	}
	slices.Sort(edges)
	return slices.Compact(edges)
}

// spread gives each answer the readings that agree with what fits there; where those of
// two neighbours overlap they are parted in the middle.
func (k *classes) spread(answers []answer) {
	slices.SortFunc(answers, func(a, b answer) int { return cmp.Compare(a.at, b.at) })
	for n := range answers {
		a := &answers[n]
		here := span{a.at, a.at}
		for _, f := range a.told {
			if b := k.agreeing(f); b.low <= here.high && b.high >= here.low {
				here.low, here.high = min(here.low, b.low), max(here.high, b.high)
			}
		}
		a.spans = []span{here}
		if n > 0 {
			if below := &answers[n-1].spans[0]; below.high >= a.spans[0].low {
				middle := max(a.spans[0].low, min(below.high, (answers[n-1].at+a.at)/2)) // one may be OL
				below.high, a.spans[0].low = middle, middle
			}
		}
	}
}

// again has a check that is made again read what it read before, where that is among the readings of
// an answer: who follows the chart sees the same there.
func (a *answer) again(l log.Log, c log.Check) {
	for _, e := range l.Entries {
		if e.Answer == nil || e.Check.String() != c.String() {
			continue
		}
		if x := e.Answer.Number(); slices.ContainsFunc(a.spans, func(s span) bool { return s.holds(x) }) {
			a.at = x
		}
	}
}

// within tells whether it, or something that is foretold there, lies in a span.
func (a *answer) within(s span) bool {
	return s.holds(a.at) || slices.ContainsFunc(a.told, func(r log.Reading) bool { return s.holds(r.Number()) })
}

// stray tells whether nothing that fits foretells an answer.
func (a *answer) stray(k *classes) bool {
	for i := range k.readings {
		if k.fits[i] && k.readings[i].Firm && a.agree[i] {
			return false
		}
	}
	return k.at.Kind != log.Look
}

// unlikelyStray is how likely a reading that nobody can foretell is to be just what some
// fault foretells beyond where strays mostly are, against all strays.
// Common practice, no source.
const unlikelyStray = 0.1

// unlikelyNeighbour is how likely something is to read what is foretold for something
// else and agrees with it as well. Common practice, no source: as one wrong reading.
const unlikelyNeighbour = 1 / diagnose.RightToWrong

// chance is how likely something of a class is to give an answer.
func (k *classes) chance(class int, a *answer, all []answer) float64 {
	r := k.readings[class]
	weight := func(a *answer) float64 {
		switch {
		case !a.agree[class]:
			return 0
		case r.Firm:
			if a.tells[class] {
				return 1
			}
			return unlikelyNeighbour
		case k.at.Kind == log.Look:
			return 1
		}
		w := unlikelyStray
		for _, s := range a.spans {
			w += max(0, min(s.high, k.most)-s.low) / k.most
		}
		return w
	}
	var sum float64
	for i := range all {
		sum += weight(&all[i])
	}
	if sum == 0 {
		return 0
	}
	return weight(a) / sum
}

// reading is an answer as it would be logged.
func (a *answer) reading(kind log.Kind) log.Reading {
	if kind == log.Look {
		return diagnose.Looked(a.at).Reading(kind)
	}
	return log.Reading{Kind: kind, Value: a.at, Firm: true}
}

// answered is an answer in the form of a proposal.
func (a *answer) answered(kind log.Kind) diagnose.Answered {
	low, high := a.spans[0].low, a.spans[0].high
	for _, s := range a.spans {
		low, high = min(low, s.low), max(high, s.high)
	}
	if kind == log.Look {
		return diagnose.Looked(a.at)
	}
	return diagnose.Between(kind, low, high)
}
