package diagnose

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// visiblePair draws two faults that some check shows, on different devices, by their
// priors.
func visiblePair(m *Model, r *rand.Rand) (x, y int) {
	draw := func() int {
		for {
			at := r.Float64()
			for f := range m.faults {
				if at -= m.faults[f].Prior; at < 0 && !m.Hidden(f) {
					return f
				}
			}
		}
	}
	for {
		x, y = draw(), draw()
		if _, ok := beside(m.faults[x].Overlay, m.faults[y].Overlay); ok && !meet(m.faults[x].Devices, m.faults[y].Devices) {
			return x, y
		}
	}
}

// bothMeter reads a panel with two faults that is worked in full.
func bothMeter(t testing.TB, m *Model, x, y int) *Meter {
	t.Helper()
	follower, known := m.again()
	both, ok := m.both(follower, known, x, y)
	require.True(t, ok)
	return both.meter(0)
}

// enter logs the answer of a meter to a check. A reading that is not firm is answered with
// anything up to half of the supply.
func (m *Model) enter(t testing.TB, history *log.Log, meter *Meter, c log.Check, r *rand.Rand) {
	t.Helper()
	a, err := meter.Read(c)
	require.NoError(t, err)
	if !a.Firm && a.Kind == log.Volts {
		at, err := m.book.Locate(c)
		require.NoError(t, err)
		a.Value = r.Float64() * 0.4 * m.nominal(at.A, at.B)
	}
	a.Firm = true
	e, err := m.book.NewEntry(c, &a)
	require.NoError(t, err)
	history.Entries = append(history.Entries, e)
}

// complain logs up to so many looks at what is not as it should be.
func (m *Model) complain(t testing.TB, history *log.Log, meter *Meter, most int) {
	t.Helper()
	for i, l := range m.checks {
		if l.Kind == log.Look && m.usual[i].Firm && most > 0 {
			if a := meter.read(l); a.Firm && a.On != m.usual[i].On {
				m.enter(t, history, meter, m.book.Check(l), nil)
				most--
			}
		}
	}
}

// Of two faults planted at once, both are among the pairs that are named as soon as no
// single fault fits what was read, or soon after. Where a single fault fits to the end the
// other one does not show, and comes after the repair (TestRepairAndTheNext).
func TestPlantedPairs(t *testing.T) {
	const (
		planted = 40
		further = 5 // checks after no single fault fits
	)
	sessions, atOnce, later := 0, 0, 0
	for _, name := range []string{"cold-store-alarm", "start-sequence", "reversing"} {
		m := builtin(t, name)
		r := rand.New(rand.NewPCG(11, 2))
		here, first, last := 0, 0, 0
		for range planted {
			x, y := visiblePair(m, r)
			meter := bothMeter(t, m, x, y)
			named := func(history log.Log) int {
				pairs := m.Pairs(history)
				holdPairs(t, m, history, pairs)
				if slices.ContainsFunc(pairs, func(p Pair) bool {
					return p.Faults == [2]int{x, y} || p.Faults == [2]int{y, x}
				}) {
					return 1
				}
				return 0
			}
			var history log.Log
			m.complain(t, &history, meter, 4)
			for left := -1; ; left-- {
				turn := m.Turn(history, Choosing{By: ByMinutes, Most: -1})
				if turn.Wrong > 0 && left < 0 {
					here, first, left = here+1, first+named(history), further
				}
				if turn.Next == nil || left == 0 {
					if left >= 0 {
						last += named(history)
					}
					break
				}
				require.Less(t, len(history.Entries), 60, "the loop does not end")
				m.enter(t, &history, meter, turn.Next.Check, r)
			}
		}
		t.Logf("%s: no single fault fits for %d of %d; %d pairs named at once, %d after %d further checks", name, here, planted, first, last, further)
		sessions, atOnce, later = sessions+here, atOnce+first, later+last
	}
	require.Greater(t, sessions, planted/2)
	assert.GreaterOrEqual(t, float64(atOnce)/float64(sessions), 0.65, "%d of %d", atOnce, sessions)
	assert.GreaterOrEqual(t, float64(later)/float64(sessions), 0.85, "%d of %d", later, sessions)
}

// holdPairs holds what must be true of the pairs of any log: each of them gives every
// reading on a panel that is worked in full.
func holdPairs(t testing.TB, m *Model, history log.Log, pairs []Pair) {
	t.Helper()
	assert.LessOrEqual(t, len(pairs), MostPairs)
	var sum float64
	for i, p := range pairs {
		sum += p.Probability
		if i > 0 {
			assert.GreaterOrEqual(t, pairs[i-1].Probability, p.Probability, "the likeliest first")
		}
		x, y := p.Faults[0], p.Faults[1]
		assert.GreaterOrEqual(t, m.faults[x].Prior, m.faults[y].Prior)
		assert.Equal(t, [2]faultmodel.ID{m.faults[x].ID, m.faults[y].ID}, p.IDs)
		meter := bothMeter(t, m, x, y)
		blown := meter.ends[len(meter.ends)-1].Blown
		for i, e := range history.Entries {
			if len(blown) > 0 && e.Located().Kind == log.Ohms {
				continue // it may be read with the fuse open as well
			}
			if slices.ContainsFunc(history.Entries[i+1:], func(later log.Entry) bool { return later.Answer != nil && m.book.Same(e, later) }) {
				continue // made again: the last answer counts
			}
			assert.True(t, m.agree(e.Located(), meter.read(e.Located()), *e.Answer), "%v does not give %s", p.IDs, log.MarshalWith(e.Check, *e.Answer))
		}
	}
	if len(pairs) > 0 {
		assert.InDelta(t, 1, sum, 1e-9)
	}
	assert.Equal(t, pairs, m.Pairs(history), "the same log gives the same pairs")
}

// The horn's wire and the mute relay's seal are two faults that show apart; the turn
// names them together.
func TestTurnNamesPairs(t *testing.T) {
	m := coldStore()
	x, y := fault(t, m, "open-CR1:22-B1:1"), fault(t, m, "open-CR1:11-14")
	meter := bothMeter(t, m, x, y)
	var history log.Log
	for _, c := range []log.Check{
		{Look: "B1", Step: "door left open"}, {Look: "H1", Step: "door left open"}, {Look: "CR1", Step: "mute pressed"}, {Look: "CR1", Step: "mute released"},
		{Volts: terminals("CR1:22", "T1:X2"), Step: "door left open"}, {Volts: terminals("B1:1", "T1:X2"), Step: "door left open"},
		{Volts: terminals("CR1:14", "T1:X2"), Step: "mute pressed"}, {Ohms: terminals("CR1:A1", "CR1:A2"), Lifted: terminals("CR1:A1")},
	} {
		a, err := meter.Read(c)
		require.NoError(t, err)
		e, err := m.book.NewEntry(c, &a)
		require.NoError(t, err)
		history.Entries = append(history.Entries, e)
	}
	turn := m.Turn(history, Choosing{})
	require.Positive(t, turn.Wrong)
	require.NotEmpty(t, turn.Pairs)
	assert.Contains(t, turn.Pairs[0].IDs, faultmodel.ID("open-CR1:22-B1:1"))
	assert.True(t, slices.ContainsFunc(turn.Pairs, func(p Pair) bool {
		return p.IDs == [2]faultmodel.ID{"open-CR1:11-14", "open-CR1:22-B1:1"}
	}), "%v", turn.Pairs)
	assert.Empty(t, m.Turn(history, Choosing{Most: -1}).Pairs)

	history.Entries = history.Entries[:2]
	assert.Empty(t, m.Turn(history, Choosing{}).Pairs, "a single fault fits")
}

// Two faults of one element are no pair; of different ones they are both in the overlay.
func TestBeside(t *testing.T) {
	m := coldStore()
	for _, c := range []struct {
		x, y faultmodel.ID
		ok   bool
	}{
		{"open-CR1:11-14", "closed-CR1:11-14", false},
		{"open-B1", "shorted-B1", false},
		{"stuck-CR1-released", "stuck-CR1-operated", false},
		{"stuck-TR1-never", "stuck-TR1-at-once", false},
		{"dead-T1-primary", "dead-T1-secondary", false},
		{"open-CR1:11-14", "open-CR1:21-22", true},
		{"stuck-CR1-released", "open-CR1", true},
		{"ground-4", "open-F1", true},
	} {
		o, ok := beside(m.faults[fault(t, m, c.x)].Overlay, m.faults[fault(t, m, c.y)].Overlay)
		assert.Equal(t, c.ok, ok, "%s and %s", c.x, c.y)
		if ok {
			a, b := m.faults[fault(t, m, c.x)].Overlay, m.faults[fault(t, m, c.y)].Overlay
			assert.Len(t, o.Open, len(a.Open)+len(b.Open))
			assert.Len(t, o.Joins, len(a.Joins)+len(b.Joins))
			assert.Len(t, o.OpenLoads, len(a.OpenLoads)+len(b.OpenLoads))
			assert.Len(t, o.Stuck, len(a.Stuck)+len(b.Stuck))
		}
	}
	moved := work.Overlay{Overlay: network.Overlay{Landings: []network.Landing{{Conductor: 1, From: 1, To: 2}}}}
	_, ok := beside(moved, work.Overlay{Overlay: network.Overlay{Open: []network.Conductor{1}}})
	assert.False(t, ok, "a wire on another terminal is not open as well")
}

// Every pair of the classes comes once, the likeliest first.
func TestTrialsInOrder(t *testing.T) {
	m := coldStore()
	log := readLog(t, m, wireToHorn[0], `{"look":"H1","step":"door left open","saw":"off"}`, wireToHorn[2])
	trials := m.believe(log).trials()
	seen := make(map[[2]int]bool)
	last := 1.0
	for trials.Len() > 0 {
		assert.LessOrEqual(t, trials.heap[0].weight, last)
		last = trials.heap[0].weight
		x, y := trials.next()
		require.False(t, seen[[2]int{min(x, y), max(x, y)}], "%d and %d twice", x, y)
		seen[[2]int{min(x, y), max(x, y)}] = true
	}
	assert.Len(t, seen, len(m.faults)*(len(m.faults)-1)/2)
}
