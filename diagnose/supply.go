package diagnose

import (
	"slices"

	"deadrung/circuits/network"
	"deadrung/diagnose/log"
)

// SuppliesFrom and SuppliesTo are between which shares of the nominal supply a reading
// across a source is what that source delivers: below is a fault, above another tap or
// source. Common practice, no source; nominal 24 or 120 V may be 90 to 110 %.
const (
	SuppliesFrom = 0.70
	SuppliesTo   = 1.25
)

// supplies are what sources were measured to deliver, against their nominal voltage.
type supplies map[network.Source]float64

// scaled gives the entries of a log with their volts as they would read at the nominal
// supply: after a reading across a source its voltages count against what was read there.
// That reading itself counts as it is: a supply that is far off is odd. The log stays as it
// is.
func (m *Model) scaled(history log.Log) []log.Entry {
	entries := history.Entries
	measured := make(supplies)
	for i, e := range history.Entries {
		if e.Answer == nil || i < history.Since() || e.Located().Kind != log.Volts {
			continue
		}
		l := e.Located()
		s, across := m.across(l)
		if x, ok := measured[m.sourceOf(l)]; ok && x != 1 && !across {
			if &entries[0] == &history.Entries[0] {
				entries = slices.Clone(entries)
			}
			answer := *e.Answer
			answer.Value /= x
			entries[i].Answer = &answer
		}
		if across {
			if x := e.Answer.Value / m.panel.Net.Source(s).Volts; x >= SuppliesFrom && x <= SuppliesTo {
				measured[s] = x
			}
		}
	}
	return entries
}

// across tells which source a check reads the voltage of: its leads are on the wires of its
// two terminals.
func (m *Model) across(l log.Located) (network.Source, bool) {
	s := m.sourceOf(l)
	if s == 0 {
		return 0, false
	}
	source := m.panel.Net.Source(s)
	return s, m.joined(l.A, source.Hot) && m.joined(l.B, source.Return) || m.joined(l.B, source.Hot) && m.joined(l.A, source.Return)
}

// sourceOf is the source whose voltage a check is held against.
func (m *Model) sourceOf(l log.Located) network.Source {
	a, b := m.own[l.A], m.own[l.B]
	switch {
	case a == 0:
		return b
	case b == 0 || a == b || l.B == m.panel.Net.Source(a).Return:
		return a
	case l.A == m.panel.Net.Source(b).Return:
		return b
	}
	return 0 // between two supplies
}
