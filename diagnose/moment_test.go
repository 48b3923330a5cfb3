package diagnose

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// clocked is a panel with a fault, worked in full, whose timers run on while somebody walks
// from check to check. Its timers may be off what the file says.
type clocked struct {
	m       *Model
	panel   *work.Panel
	o       work.Overlay
	at      []circuits.Step // what was done since the circuit was at rest
	step    int             // -1 at rest
	between float64         // seconds between an answer and the next check
	told    bool            // who works it begins anew and waits longer where that is told
}

// clock makes the panel; pace is how slow its timers are.
func clock(t *testing.T, m *Model, text, id string, pace, between float64) *clocked {
	t.Helper()
	c, problems := read.Read("panel.yaml", []byte(text))
	require.NoError(t, problems.Err())
	for _, d := range c.Devices {
		d.Seconds *= pace
	}
	p := work.Assemble(c)
	faults := faultmodel.List(p, faultmodel.Options{})
	i, err := faultmodel.Find(faults, id)
	require.NoError(t, err)
	return &clocked{m: m, panel: p, o: faults[i].Overlay, step: -1, between: between, told: true}
}

// read makes a check after the time that it takes to get there.
func (k *clocked) read(t *testing.T, p *Proposal) log.Reading {
	t.Helper()
	l, err := k.m.book.Locate(p.Check)
	require.NoError(t, err)
	if l.Kind == log.Ohms {
		k.at, k.step = nil, -1
	} else {
		if k.step >= 0 && k.step <= l.Step && !(k.told && p.Anew) {
			k.at[k.step].Wait += k.between
		} else {
			k.at, k.step = nil, -1
		}
		for i := k.step + 1; i <= l.Step; i++ {
			s := k.panel.Circuit.Steps[i]
			if k.told {
				s.Wait += k.m.patience[i]
			}
			k.at = append(k.at, s)
		}
		k.step = l.Step
	}
	c := *k.panel.Circuit
	c.Steps = append(append([]circuits.Step{}, k.at...), k.panel.Circuit.Steps[len(k.at):]...)
	p2 := *k.panel
	p2.Circuit = &c
	var end *work.End
	p2.Work(&k.o, func(step int, e *work.End) bool { end = e; return step < l.Step })
	a, b := p2.Node(k.m.panel.Terminal(max(l.A, 1))), p2.Node(k.m.panel.Terminal(max(l.B, 1)))
	switch l.Kind {
	case log.Ohms:
		overlay := k.o
		if len(l.Lifted) > 0 {
			overlay, err = p2.Lift(k.o, l.Lifted)
			require.NoError(t, err)
		}
		v, firm := p2.Net.Off(p2.LockedOut(&k.o, l.Step, end.Blown...), &overlay.Overlay).Ohms(a, b)
		return log.Reading{Kind: log.Ohms, Value: v, Firm: firm}
	case log.Look:
		on, firm := p2.Look(&k.o, end, p2.Device(l.Device.Name))
		return log.Reading{Kind: log.Look, On: on, Firm: firm}
	}
	v, firm := end.ReadVolts(a, b, network.MeterOhms)
	return log.Reading{Kind: log.Volts, Value: v, Firm: firm}
}

// With 40 seconds between an answer and the next check no fault is lost, also where the timers
// are a tenth short or long, nor where nobody begins anew when that is told.
func TestTimeAtThePanel(t *testing.T) {
	panels := make(map[string]string)
	for _, name := range []string{"start-sequence", "star-delta", "off-delay-fan", "cold-store-alarm"} {
		text, _ := circuits.BuiltinText(name)
		panels[name] = string(text)
	}
	files, err := filepath.Glob("testdata/timers/*.yaml") // chains, intervals, run-on, flashing
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		panels[filepath.Base(file)] = string(text)
	}
	for name, text := range panels {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := fromText(t, name, text)
			for i, way := range []struct {
				pace float64
				told bool
			}{{1, true}, {0.9, true}, {1.1, true}, {1, false}} {
				t.Run(fmt.Sprintf("timers at %g, told %v", way.pace, way.told), func(t *testing.T) {
					ends, checks := make(map[Status]int), 0
					for f := range m.faults {
						if os.Getenv("DEADRUNG_ALL") == "" && f%4 != i {
							continue
						}
						k := clock(t, m, text, string(m.faults[f].ID), way.pace, 40)
						k.told = way.told
						end, n := m.againstTheClock(t, f, By(f/4%2), k)
						ends[end]++
						checks += n
					}
					t.Logf("%v, %d checks", ends, checks)
				})
			}
		})
	}
}

func (m *Model) againstTheClock(t *testing.T, f int, by By, k *clocked) (Status, int) {
	t.Helper()
	ghost := rand.New(rand.NewPCG(1, uint64(f)))
	var history log.Log
	for n := range 80 {
		turn := m.Turn(history, Choosing{By: by, Most: -1})
		if turn.Next == nil {
			if !m.Hidden(f) {
				assert.Contains(t, turn.Left, f, "%s ends %s without it", m.faults[f].ID, turn.Status)
				if turn.Status != Found {
					var left []faultmodel.ID
					for _, l := range turn.Left {
						left = append(left, m.faults[l].ID)
					}
					t.Logf("%s: %s %v", m.faults[f].ID, turn.Status, left)
				}
			}
			return turn.Status, n
		}
		r := k.read(t, turn.Next)
		firm := r.Firm
		if !firm {
			most, err := m.Stray(turn.Next.Check)
			require.NoError(t, err)
			r.On, r.Value, r.Firm = ghost.IntN(2) == 1, ghost.Float64()*most, true
		}
		e, err := m.book.NewEntry(turn.Next.Check, &r)
		require.NoError(t, err)
		if firm && m.against(history, e)[f] {
			t.Errorf("%s at %g s: %s read %+v speaks against it", m.faults[f].ID, k.between, e.Check, r)
		}
		history.Entries = append(history.Entries, e)
	}
	t.Errorf("%s: no end", m.faults[f].ID)
	return Continue, 80
}

// against tells which hypotheses do not fit an entry at the end of a log.
func (m *Model) against(history log.Log, e log.Entry) []bool {
	history.Entries = append(history.Entries[:len(history.Entries):len(history.Entries)], e)
	return m.believe(history).against[len(history.Entries)-1]
}
