package diagnose

import (
	"context"
	"math"
	"slices"

	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// What counts by half: an answer that nobody was sure of, a look that is neither on nor off,
// and what was found by eye. A wrong one of these is far likelier than a wrong reading, and
// what it speaks against comes back with the first reading that speaks for it. That two of
// them weigh one reading is common practice, no source.

// half tells whether an answer counts by half.
func half(r log.Reading) bool { return r.Unsure || r.Seems != "" }

// score is how much disagrees with a hypothesis, in halves of a reading.
func (b *belief) score(h int) int { return 2*b.disagree[h] + b.halves[h] }

// lowest is the lowest score of a fault.
func (b *belief) lowest() int {
	lowest := math.MaxInt
	for h := range b.m.faults {
		lowest = min(lowest, b.score(h))
	}
	return lowest
}

// behind is by how many readings a hypothesis disagrees more than what is left, whose score is
// the lowest.
func (b *belief) behind(h, lowest int) float64 { return float64(b.score(h)-lowest) / 2 }

// weighSeen counts what was found by eye for the faults that are there, against the others.
func (b *belief) weighSeen() {
	const right = RightToWrong / (RightToWrong + 1)
	const even = 0.5
	for _, s := range b.history.Counting() {
		there := faultmodel.At(b.m.faults, s.Where)
		b.unlisted += even * math.Log(even)
		for h := range b.speaks {
			if slices.Contains(there, h) {
				b.speaks[h] += even * math.Log(right)
				continue
			}
			b.speaks[h] += even * math.Log(1-right)
			b.halves[h]++
		}
	}
}

// holdSeeming holds every hypothesis against a look that is neither on nor off. What is dim
// or chatters has a part of its volts; what flashes is foretold to, or comes and goes, so that a
// fault which gives the other of on and off than the good circuit explains it as well. Nothing can be
// said of what nobody could tell.
func (m *Model) holdSeeming(e log.Entry) (no []bool, open []opening) {
	no, open = make([]bool, m.hypotheses()), make([]opening, m.hypotheses())
	l, seems := e.Located(), e.Answer.Seems
	if seems == log.Unknown {
		for h := range open {
			open[h] = anything
		}
		return no, open
	}
	good := m.foretell(Good, l)
	ends := l
	ends.Kind = log.Volts
	ends.A = m.panel.Node(l.Device.Terminal(l.Device.Ends[0]))
	ends.B = m.panel.Node(l.Device.Terminal(l.Device.Ends[1]))
	nominal := m.nominal(ends.A, ends.B)
	share(context.Background(), m.hypotheses(), nothing, func(_ struct{}, h int) {
		looks, volts := m.foretell(m.fault(h), l), m.foretell(m.fault(h), ends)
		part := volts.Firm && volts.Value > PartFrom*nominal && volts.Value < PresentFrom*nominal
		switch {
		case !looks.Firm:
			open[h] = anything
		case part:
		case seems == log.Flashing && looks.Seems == log.Flashing:
		case seems == log.Flashing && good.Firm && good.Seems == "" && looks.On != good.On:
		default:
			no[h] = true
		}
	})
	return no, open
}
