package diagnose

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// worked follows all proposals on a panel that is worked with an overlay, which need not be
// that of a fault in the list, and gives the last turn and the checks.
func worked(t testing.TB, m *Model, o work.Overlay, by By) (Turn, log.Log) {
	t.Helper()
	meter := &Meter{m: m, overlay: o, offs: &offs{m: m, overlay: o}}
	meter.offs.whole.solved = make(map[int]*network.Off)
	m.panel.Work(&o, func(_ int, e *work.End) bool {
		meter.ends = append(meter.ends, e)
		return true
	})
	var history log.Log
	for len(history.Entries) < 120 {
		turn := m.Turn(history, Choosing{By: by, Most: -1})
		if turn.Next == nil {
			return turn, history
		}
		r, err := meter.Read(turn.Next.Check)
		require.NoError(t, err)
		if !r.Firm && r.Kind == log.Volts {
			at, err := m.book.Locate(turn.Next.Check)
			require.NoError(t, err)
			r.Value = 0.3 * m.nominal(at.A, at.B)
		}
		r.Firm = true
		e, err := m.book.NewEntry(turn.Next.Check, &r)
		require.NoError(t, err)
		history.Entries = append(history.Entries, e)
	}
	turn := m.Turn(history, Choosing{By: by, Most: -1})
	require.Fail(t, "the session does not end", "%s %d groups, %d wrong, %.3f", turn.Status, turn.Groups, turn.Wrong, turn.Unlisted)
	return Turn{}, history
}

// What is not in the list is never found to be something that is: a supply that delivers a
// part of its voltage, and a joint that takes half the voltage of one load.
func TestOffTheList(t *testing.T) {
	for _, name := range []string{"two-lamp", "cold-store-alarm", "hand-off-auto"} {
		m := builtin(t, name)
		net := m.panel.Net
		type planted struct {
			what    string
			overlay work.Overlay
		}
		var all []planted
		for i := 1; i <= net.Sources(); i++ {
			for _, share := range []float64{0.3, 0.5, 0.7} {
				o := work.Overlay{}
				o.Scale = []network.SourceScale{{Source: network.Source(i), Factor: share}}
				all = append(all, planted{fmt.Sprintf("source %d at %.1f", i, share), o})
			}
		}
		for i := 1; i <= net.Conductors(); i++ {
			c := network.Conductor(i)
			if m.panel.Part(c).Kind != work.WirePart {
				continue
			}
			a, b := net.Ends(c)
			for k := 1; k <= net.Loads(); k++ {
				l := net.Load(network.Load(k))
				if a == l.A || b == l.A || a == l.B || b == l.B {
					o := work.Overlay{}
					o.Joints = []network.Joint{{Conductor: c, Ohms: 1000}}
					all = append(all, planted{fmt.Sprintf("joint in %s to %s", m.panel.Terminal(a), m.panel.Terminal(b)), o})
				}
			}
		}
		for _, by := range []By{ByChecks, ByMinutes} {
			t.Run(fmt.Sprintf("%s/%d", name, by), func(t *testing.T) {
				t.Parallel()
				ends := make(map[Status]int)
				for _, p := range all {
					turn, history := worked(t, m, p.overlay, by)
					ends[turn.Status]++
					if !assert.NotEqual(t, Found, turn.Status, "%s: %s, %d checks, %d wrong", p.what, m.faults[turn.Left[0]].ID, len(history.Entries), turn.Wrong) {
						for _, e := range history.Entries {
							t.Log(string(log.MarshalWith(e.Check, *e.Answer)))
						}
					}
				}
				t.Log(ends)
			})
		}
	}
}
