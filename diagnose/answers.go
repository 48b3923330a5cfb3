package diagnose

import (
	"cmp"
	"math"
	"slices"

	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// This file finds the answers of one check that have to be told apart: those after which
// the search goes on in the same way are one.

// classes are the different readings of a check that matter: those of what fits every
// reading so far, and of what just one reading speaks against. Nothing else can change
// what the search proposes as long as something fits.
type classes struct {
	m        *Model
	at       log.Located
	readings []log.Reading
	fits     []bool // by class: something that fits reads so
	of       []int  // by hypothesis: its class, or -1
	floating bool   // the reading of something that fits is not firm
	most     float64
}

// answer is the readings after which the same is left and the same is doubted.
type answer struct {
	at    float64 // one of them: a foretold one where there is one
	spans []band
	agree []bool // by class
	tells []bool // by class: this is what is foretold for it
}

func (m *Model) classes(l log.Located, b *belief, fits []split.Weighted) *classes {
	k := &classes{m: m, at: l, of: make([]int, m.hypotheses()), most: m.stray(l)}
	reads := m.answers(l)
	number := make(map[log.Reading]int)
	for h, r := range reads {
		k.of[h] = -1
		if b.disagree[h] > 1 {
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
	}
	return k
}

// foretold are the values that a class foretells: none, one, or two where it depends on
// a fuse.
func foretold(r log.Reading) []float64 {
	switch {
	case !r.Firm:
		return nil
	case r.Either:
		return []float64{r.Number(), r.Else}
	}
	return []float64{r.Number()}
}

// answers gives the answers that something which fits would give, in rising order. Where
// something that fits may read anything, all that a stray reading can be is among them.
func (k *classes) answers() []answer {
	var out []answer
	add := func(x float64, span band) *answer {
		agree := make([]bool, len(k.readings))
		any := false
		for i, r := range k.readings {
			agree[i] = k.m.agree(k.at, r, log.Reading{Kind: k.at.Kind, On: x == 1, Value: x, Firm: true})
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
		if span.low <= span.high {
			out[n].spans = append(out[n].spans, span)
		}
		return &out[n]
	}
	for i, r := range k.readings {
		if !k.fits[i] {
			continue
		}
		for _, v := range foretold(r) {
			if k.at.Kind != log.Look {
				v = math.Round(v*10) / 10 // what a meter shows
			}
			if a := add(v, band{0, -1}); a != nil {
				a.tells[i] = true
			}
		}
	}
	switch {
	case k.at.Kind == log.Look:
		for _, x := range []float64{0, 1} {
			add(x, band{x, x})
		}
	case k.floating:
		edges := k.edges()
		for i := range len(edges) - 1 {
			low, high := edges[i], edges[i+1]
			middle := (low + high) / 2
			if math.IsInf(high, 1) {
				middle = high
			}
			if low < k.most || slices.ContainsFunc(out, func(a answer) bool { return a.at >= low && a.at <= high }) {
				add(middle, band{low, high})
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
		edges = append(edges, OpenFrom, log.OL)
	}
	for _, r := range k.readings {
		for _, v := range foretold(r) {
			b := k.m.bandOf(k.at, v)
			edges = append(edges, b.low, b.high)
		}
		if r.Floats {
			edges = append(edges, PresentFrom*k.m.nominal(k.at.A, k.at.B))
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
		span := band{a.at, a.at}
		for i, r := range k.readings {
			for _, v := range foretold(r) {
				if b := k.m.bandOf(k.at, v); k.fits[i] && a.tells[i] && b.holds(a.at) {
					span.low, span.high = min(span.low, b.low), max(span.high, b.high)
				}
			}
		}
		a.spans = []band{span}
		if n > 0 {
			if below := &answers[n-1].spans[0]; below.high >= a.spans[0].low {
				middle := (answers[n-1].at + a.at) / 2
				below.high, a.spans[0].low = middle, middle
			}
		}
	}
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
const unlikelyNeighbour = 1 / RightToWrong

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
	return log.Reading{Kind: kind, On: a.at == 1, Value: a.at, Firm: true}
}

// answered is an answer in the form of a proposal.
func (a *answer) answered(kind log.Kind) Answered {
	low, high := a.spans[0].low, a.spans[0].high
	for _, s := range a.spans {
		low, high = min(low, s.low), max(high, s.high)
	}
	switch {
	case kind == log.Look && a.at == 1:
		return Answered{Saw: "on"}
	case kind == log.Look:
		return Answered{Saw: "off"}
	case kind == log.Ohms && math.IsInf(high, 1):
		return Answered{Read: "OL"}
	}
	low, high = log.Round(low), log.Round(high)
	return Answered{Low: &low, High: &high}
}
