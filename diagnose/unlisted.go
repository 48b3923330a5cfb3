package diagnose

import (
	"math"

	"deadrung/diagnose/log"
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
	// MostOdd is how many readings the best of the list disagrees with before no further check is
	// proposed, whatever else speaks for it. Common practice, no source.
	MostOdd = 5
	// AsGood is how likely a reading is to be that of the good circuit with something that is
	// not in the list: it leaves much of the circuit alone. Common practice, no source.
	AsGood = 0.5
	// HalfwayWrong is how much rarer a wrong reading is where it is neither nothing nor the
	// supply: a slipped lead and a wrong screw read one or the other.
	// Common practice, no source.
	HalfwayWrong = 0.1
	// TwiceWrong is how likely a reading that was wrong is to be wrong again in the same way
	// when it is made once more. Common practice, no source.
	TwiceWrong = 0.1
)

// unforetold is how likely an answer is of something that foretells nothing: an even chance
// for a look, for ohms that any load near by reads and for what the good circuit shows; two
// fifths for volts or ohms that are as good as none or all, a fifth for volts that lie between.
// Common practice, no source.
func (m *Model) unforetold(l log.Located, answer log.Reading, usual bool) float64 {
	const even, end, between = 0.5, 0.4, 0.2
	switch {
	case usual:
		return AsGood
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
	case log.Diode:
		return x > ShortMost && x < DiodeMost
	}
	return false
}

// weigh counts a reading for or against every hypothesis, by logarithms.
func (b *belief) weigh(l log.Located, answer log.Reading, no []bool, open []opening) {
	const right = RightToWrong / (RightToWrong + 1)
	good := len(b.m.faults)
	any := b.m.unforetold(l, answer, !no[good] && open[good] == foretold)
	wrong := 1 - right
	if l.Kind == log.Volts && b.m.halfway(l, answer) {
		wrong *= HalfwayWrong
	}
	counts := 1.0
	if half(answer) {
		counts = 0.5
	}
	b.unlisted += counts * math.Log(any)
	for h := range b.speaks {
		switch {
		case no[h]:
			b.speaks[h] += counts * math.Log(wrong)
		case open[h] != foretold:
			b.speaks[h] += counts * math.Log(any)
		default:
			b.speaks[h] += counts * math.Log(right)
		}
	}
}

// weighAgain counts a check that was made again: the same answer as before counts once more
// against what does not fit it. Whatever is not in the list gives the same answer as well.
func (b *belief) weighAgain(before, now []bool) {
	for h := range b.speaks {
		if before[h] && now[h] {
			b.speaks[h] += math.Log(TwiceWrong)
			b.disagree[h]++
		}
	}
}
