package diagnose

import (
	"math"

	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// Beside the faults of the list stands "something that is not in the list". It foretells
// nothing, so that each reading is about as likely under it as any other of its kind: every
// reading that a listed fault foretells speaks for that fault, and every odd one against all
// of the list.
const (
	// UnlistedPrior is the weight of what is not in the list against all listed faults
	// together. Common practice, no source.
	UnlistedPrior = 0.02
	// FoundFrom is how likely a verdict must be before it is called found: a wrong one costs
	// a part and a second search, some four times what one more check does, so that it should
	// be right four times in five. Common practice, no source.
	FoundFrom = 0.8
	// UnlistedFrom is how likely it must be that the fault is not in the list before a search
	// says so while checks are left. Common practice, no source.
	UnlistedFrom = 0.9
	// UnlistedSure is how likely that must be before no further check is proposed.
	// Common practice, no source.
	UnlistedSure = 0.99
	// OddReadings is how many readings the best of the list must disagree with before that:
	// one alone is a wrong reading more often than not. Common practice, no source.
	OddReadings = 2
	// AsGood is how likely a reading is to be that of the good circuit with something that is
	// not in the list: it leaves much of the circuit alone. Common practice, no source.
	AsGood = 0.5
	// HalfwayWrong is how much rarer a wrong reading is where it is neither nothing nor the
	// supply: a slipped lead and a wrong screw read one or the other.
	// Common practice, no source.
	HalfwayWrong = 0.1
)

// anything is how likely an answer is of something that foretells nothing: an even chance
// for a look, and for ohms that any load near by reads; two fifths for volts or ohms that are as
// good as none or all, a fifth for volts that lie between. Common practice, no source.
func (m *Model) anything(l log.Located, answer log.Reading) float64 {
	const even, end, between = 0.5, 0.4, 0.2
	switch {
	case l.Kind == log.Look, l.Kind == log.Ohms && m.halfway(l, answer):
		return even
	case m.halfway(l, answer):
		return between
	}
	return end
}

// halfway tells whether an answer is neither nothing nor all that there is to read.
func (m *Model) halfway(l log.Located, answer log.Reading) bool {
	x := answer.Number()
	switch l.Kind {
	case log.Volts:
		nominal := m.nominal(l.A, l.B)
		return x > AbsentBelow*nominal && x < PresentFrom*nominal
	case log.Ohms:
		return x >= ClosedBelow && x < OpenFrom
	}
	return false
}

// weigh counts a reading for or against every hypothesis, by logarithms.
func (b *belief) weigh(l log.Located, answer log.Reading, no, open []bool) {
	const right = RightToWrong / (RightToWrong + 1)
	any := b.m.anything(l, answer)
	if good := len(b.m.faults); !no[good] && !open[good] {
		any = math.Max(any, AsGood)
	}
	wrong := 1 - right
	if l.Kind == log.Volts && b.m.halfway(l, answer) {
		wrong *= HalfwayWrong
	}
	b.unlisted += math.Log(any)
	for h := range b.speaks {
		switch {
		case no[h]:
			b.speaks[h] += math.Log(wrong)
		case open[h]:
			b.speaks[h] += math.Log(any)
		default:
			b.speaks[h] += math.Log(right)
		}
	}
}

// odds are the weights of what may be wrong, by what the readings say of each, against the
// greatest of them.
type odds struct{ left, good, unlisted float64 }

// odds gives the weights of what is left, of the good circuit and of what is not in the list.
func (b *belief) odds(left []split.Weighted) odds {
	good := len(b.m.faults)
	most := math.Max(b.unlisted, b.speaks[good])
	for _, w := range left {
		most = math.Max(most, b.speaks[w.Hypothesis])
	}
	o := odds{good: GoodPrior * math.Exp(b.speaks[good]-most), unlisted: UnlistedPrior * math.Exp(b.unlisted-most)}
	for _, w := range left {
		o.left += w.Weight * math.Exp(b.speaks[w.Hypothesis]-most)
	}
	return o
}

// share is how likely the fault is one that is not in the list, there being one.
func (o odds) share() float64 { return o.unlisted / (o.left + o.unlisted) }

// sure tells whether what is left is likely enough to act on, against the good circuit and
// what is not in the list.
func (o odds) sure() bool { return o.left/(o.left+o.good+o.unlisted) >= FoundFrom }

// standing is how likely what is left is against everything, its rivals in the list
// included.
func (b *belief) standing(left []split.Weighted, o odds) float64 {
	all, own := 0.0, 0.0
	doubt := b.m.doubt()
	for h, f := range b.m.faults {
		all += f.Prior * math.Pow(doubt, float64(b.disagree[h]-b.least))
	}
	for _, w := range left {
		own += w.Weight
	}
	return own / all * o.left / (o.left + o.good + o.unlisted)
}

// solid tells whether a reading that the good circuit would not give is more than the ohms
// of a load, which mostly nobody has measured: no verdict rests on an assumed figure.
func (b *belief) solid() bool {
	for i, e := range b.history.Entries {
		if b.against[i] != nil && b.against[i][len(b.m.faults)] && !(e.Located().Kind == log.Ohms && b.m.halfway(e.Located(), *e.Answer)) {
			return true
		}
	}
	return false
}
