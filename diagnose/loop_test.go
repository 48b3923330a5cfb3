package diagnose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
	"deadrung/faultmodel"
)

// builtin makes the model of a built-in circuit.
func builtin(t testing.TB, name string) *Model {
	t.Helper()
	text, ok := circuits.BuiltinText(name)
	require.True(t, ok, name)
	return fromText(t, name+".yaml", string(text))
}

func fromText(t testing.TB, file, text string) *Model {
	t.Helper()
	c, problems := read.Read(file, []byte(text))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	require.Empty(t, p.Verify([]byte(text)))
	m := made(p, faultmodel.List(p, faultmodel.Options{}), Options{})
	return m
}

// session is a truthful run of the guided loop.
type session struct {
	checks  int // until one group is left
	minutes float64
	last    Turn
	log     log.Log
}

// truthful follows the proposed checks on a panel with one fault until no more is
// proposed before the proof. A reading that is not firm is answered with anything up
// to half of the supply.
func truthful(t testing.TB, m *Model, fault int, by By) session {
	t.Helper()
	toTheEnd := fault == Good // the proof tells that there is no fault
	var s session
	meter := m.Meter(fault)
	ghost := rand.New(rand.NewPCG(1, uint64(fault)))
	made := make(map[log.Key]bool)
	for {
		s.last = m.Turn(s.log, Choosing{By: by, Most: -1})
		if s.last.Status != Continue && (s.last.Status != Found || !toTheEnd || s.last.Next == nil) {
			return s
		}
		require.NotNil(t, s.last.Next)
		c := s.last.Next.Check
		at, err := m.book.Locate(c)
		require.NoError(t, err)
		require.True(t, !made[m.book.Key(at)] || s.last.Thin || s.last.Status == Found, "%s is proposed twice", c)
		made[m.book.Key(at)] = true
		r, err := meter.Read(c)
		require.NoError(t, err)
		if !r.Firm && r.Kind == log.Volts {
			r.Value = ghost.Float64() * 0.5 * m.nominal(at.A, at.B)
		}
		e, err := m.book.NewEntry(c, &r)
		require.NoError(t, err)
		s.log.Entries = append(s.log.Entries, e)
		s.checks++
		s.minutes += s.last.Next.Minutes
		require.Less(t, s.checks, 60, "the loop does not end")
	}
}

// endsInGroup holds that a truthful session ends with the group of the fault.
func endsInGroup(t testing.TB, m *Model, fault int, s session) {
	t.Helper()
	f := m.faults[fault]
	require.Zero(t, s.last.Wrong, "%s: true readings disagree with what is left", f.ID)
	group := m.table.group[fault]
	if s.last.Status == GroupLeft && s.last.Unproved == ProofUnfed { // nobody can read its volts, and a joint looks the same
		require.Contains(t, s.last.Left, fault, "%s is ranked out by true readings", f.ID)
		return
	}
	if group == m.table.group[len(m.faults)] && s.last.Status != Found && s.last.Status != Unlisted {
		require.Equal(t, Healthy, s.last.Status, f.ID)
		return // or stray readings, which are its own, have led to it
	}
	if m.table.linked[fault] == m.table.linked[len(m.faults)] && s.last.Status == Healthy {
		return // every reading was the good circuit's, and no check was left
	}
	if s.last.Status == Unlisted { // a rare one that is all but never firm: honestly undecided
		require.Contains(t, s.last.Left, fault, "%s is ranked out by true readings", f.ID)
		return
	}
	require.Equal(t, Found, s.last.Status, f.ID)
	require.Contains(t, s.last.Left, fault, "%s is ranked out by true readings", f.ID)
	for _, other := range s.last.Left { // no check parts them any more
		require.Equal(t, m.table.linked[fault], m.table.linked[other], "%s is left with %s", f.ID, m.faults[other].ID)
	}
}

func TestEveryFaultEndsInItsGroup(t *testing.T) {
	for _, name := range circuits.Builtin() {
		for _, by := range []By{ByChecks, ByMinutes} {
			t.Run(fmt.Sprintf("%s/%d", name, by), func(t *testing.T) {
				t.Parallel()
				m := builtin(t, name)
				var mean, sum, minutes float64
				worst, undecided := 0, 0.0
				for i, f := range m.faults {
					s := truthful(t, m, i, by)
					endsInGroup(t, m, i, s)
					mean += f.Prior * float64(s.checks)
					minutes += f.Prior * s.minutes
					worst = max(worst, s.checks)
					if s.last.Status == Unlisted {
						undecided += f.Prior
						t.Logf("%s is not decided, %d checks", f.ID, s.checks)
					}
					sum += f.Prior
				}
				require.InDelta(t, 1, sum, 1e-9)
				require.Less(t, undecided, 0.01)
				t.Logf("%d faults, mean %.3f checks, worst %d, mean %.1f minutes, %.3f %% undecided", len(m.faults), mean, worst, minutes, 100*undecided)
			})
		}
	}
}

func TestGoodCircuitIsHealthy(t *testing.T) {
	for _, name := range circuits.Builtin() {
		t.Run(name, func(t *testing.T) {
			m := builtin(t, name)
			s := truthful(t, m, Good, ByChecks)
			require.Equal(t, Healthy, s.last.Status)
		})
	}
}

// shownBy is how many checks show every fault that any check shows, each time the one that
// shows most of the rest.
func shownBy(m *Model) int {
	s, good := m.table.split, split.Hypothesis(len(m.faults))
	shown := make([]bool, len(m.faults))
	for count := 0; ; count++ {
		var best []int
		for t := range m.table.checks {
			usual := s.Outcome(split.Test(t), good)
			var shows []int
			for h := range m.faults {
				o := s.Outcome(split.Test(t), split.Hypothesis(h))
				if usual != split.Any && o != split.Any && o != usual && !shown[h] {
					shows = append(shows, h)
				}
			}
			if len(shows) > len(best) {
				best = shows
			}
		}
		if len(best) == 0 {
			return count
		}
		for _, h := range best {
			shown[h] = true
		}
	}
}

// A panel with no fault that a check shows is called healthy after not too many checks: every
// fault is looked for, and the likely ones twice, since a reading may be wrong.
func TestSearchWithoutAComplaintEnds(t *testing.T) {
	check := func(t *testing.T, m *Model) {
		cover := shownBy(m)
		for _, by := range []By{ByChecks, ByMinutes} {
			const looks = 2 // that come before a lock-out, though another check would tell more
			most := math.Max(2*math.Log2(float64(len(m.faults)))+6, 2*float64(cover)+looks)
			if by == ByMinutes { // several looks for the minutes of one check with the power off
				most = math.Max(most, 3*float64(cover))
			}
			s := truthful(t, m, Good, by)
			assert.Equal(t, Healthy, s.last.Status)
			t.Logf("%d faults, shown by %d checks: %d checks, %.0f minutes, at most %.0f", len(m.faults), cover, s.checks, s.minutes, most)
			assert.LessOrEqual(t, float64(s.checks), most)
		}
	}
	for _, name := range circuits.Builtin() {
		t.Run(name, func(t *testing.T) { check(t, builtin(t, name)) })
	}
	t.Run("8 rungs", func(t *testing.T) {
		p := regular(t, 8)
		check(t, made(p, faultmodel.List(p, faultmodel.Options{}), Options{}))
	})
}
