package diagnose

import (
	"context"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// effort is what searches from one complaint take, weighed by prior. Proofs count in the kinds
// and in what is held, and not in checks and minutes.
type effort struct {
	weight, checks, minutes, lockOuts, held, asked float64
	kinds                                          map[log.Kind]float64
	across, hands                                  int
}

// complained is the first look in the order of the operation that a fault shows otherwise than
// a good circuit.
func complained(m *Model, f int) (log.Entry, bool) {
	for _, s := range m.panel.Circuit.Steps {
		for _, v := range m.panel.Visible() {
			c := log.Check{Look: v.Name, Step: s.Name}
			good, err := m.Usual(c)
			if err != nil || !good.Firm {
				continue
			}
			r, err := m.Meter(f).Read(c)
			if err == nil && r.Firm && r.On != good.On {
				e, err := m.book.NewEntry(c, &r)
				e.Note = log.ComplaintNote
				return e, err == nil
			}
		}
	}
	return log.Entry{}, false
}

// search adds the search for one fault.
func (s *effort) search(t *testing.T, m *Model, f int, by By) {
	e, ok := complained(m, f)
	if !ok {
		return
	}
	history := log.Log{Entries: []log.Entry{e}}
	meter, prior := m.Meter(f), m.faults[f].Prior
	s.weight += prior
	found, locked := false, false
	for n := 0; ; n++ {
		turn := m.Turn(history, Choosing{By: by, Most: -1})
		if turn.Next == nil {
			return
		}
		require.Less(t, n, 80, "the search does not end")
		c := turn.Next.Check
		l, err := m.book.Locate(c)
		require.NoError(t, err)
		found = found || turn.Status == Found
		_, here, elsewhere := m.book.Area(l)
		if !found {
			s.checks += prior
			s.minutes += prior * turn.Next.Minutes
		}
		s.asked += prior
		s.kinds[l.Kind] += prior
		s.held += prior * float64(here+elsewhere)
		if m.book.Across(l) {
			s.across++
		}
		if elsewhere > 0 || here > 1 {
			s.hands++
		}
		if l.Kind == log.Ohms && !locked {
			s.lockOuts += prior
		}
		locked = l.Kind == log.Ohms
		r, err := meter.Read(c)
		require.NoError(t, err)
		e, err := m.book.NewEntry(c, &r)
		require.NoError(t, err)
		history.Entries = append(history.Entries, e)
	}
}

// What one person at the panel takes, against somebody whose leads and hands reach everywhere.
// Under DEADRUNG_ALL every built-in circuit is searched.
func TestOnePersonTakesLittleMore(t *testing.T) {
	nth, names := 9, []string{"cold-store-alarm", "two-station"}
	if os.Getenv("DEADRUNG_ALL") != "" {
		nth, names = 1, circuits.Builtin()
	}
	checks := make(map[string]float64)
	for _, by := range []By{ByMinutes, ByChecks} {
		for who, r := range map[string]log.Rules{"one person": {}, "reaches everywhere": log.Unhampered} {
			all := effort{kinds: make(map[log.Kind]float64)}
			for _, name := range names {
				text, _ := circuits.BuiltinText(name)
				c, problems := read.Read(name+".yaml", text)
				require.NoError(t, problems.Err())
				p := work.Assemble(c)
				m, err := New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), Options{Rules: r})
				require.NoError(t, err)
				for f := range m.faults {
					if f%nth == 0 {
						all.search(t, m, f, by)
					}
				}
			}
			t.Logf("%s, by %d: looks, volts, ohms %.0f, %.0f, %.0f %%; lock-outs %.2f; held a check %.2f; "+
				"across %d, hands %d; minutes %.1f; checks %.2f", who, by, 100*all.kinds[log.Look]/all.asked,
				100*all.kinds[log.Volts]/all.asked, 100*all.kinds[log.Ohms]/all.asked, all.lockOuts/all.weight,
				all.held/all.asked, all.across, all.hands, all.minutes/all.weight, all.checks/all.weight)
			if who == "one person" {
				assert.Zero(t, all.across+all.hands)
			}
			if by == ByChecks {
				checks[who] = all.checks / all.weight
			}
		}
	}
	assert.LessOrEqual(t, checks["one person"], 1.2*checks["reaches everywhere"])
}
