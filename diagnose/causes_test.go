package diagnose

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// A fuse that is found blown carries along what may have blown it: every fault that blows
// it when the circuit is worked, and no other; and checks that show them with the fuse out.
func TestCausesOfABlownFuse(t *testing.T) {
	told, most := 0, 0.0
	for _, name := range []string{"cold-store-alarm", "mixed-lamps", "transformer-primary", "start-sequence"} {
		m := builtin(t, name)
		for f, of := range m.faults {
			d := m.panel.Circuit.Device(of.Effect.OpenLink)
			if d == nil || d.Type.Kind != circuits.LinkKind {
				continue
			}
			s := truthful(t, m, f, ByMinutes)
			require.Contains(t, s.last.Left, f, "%s: %s", name, of.ID)
			turn := m.Turn(s.log, Choosing{})
			want := []faultmodel.ID{}
			for k := range m.faults {
				for _, blown := range m.Blown(k) {
					if blown == d || slices.Contains(m.open(turn.Left), blown) {
						want = append(want, m.faults[k].ID)
						break
					}
				}
			}
			assert.ElementsMatch(t, want, append([]faultmodel.ID{}, turn.Causes...), "%s: %s", name, of.ID)
			if len(want) == 0 {
				assert.Empty(t, turn.CauseChecks)
				continue
			}
			if len(turn.CauseChecks) == 0 {
				continue // behind a winding whose ohms nobody gave nothing shows
			}
			told++
			assert.LessOrEqual(t, len(turn.CauseChecks), CauseChecks)
			var shown, all float64
			for i, id := range turn.Causes[:min(CausesTried, len(turn.Causes))] {
				cause := fault(t, m, id)
				if i > 0 {
					before := fault(t, m, turn.Causes[i-1])
					b := m.believe(s.log)
					assert.True(t, b.disagree[before] < b.disagree[cause] ||
						b.disagree[before] == b.disagree[cause] && m.faults[before].Prior >= m.faults[cause].Prior, "the likeliest first")
				}
				all += m.faults[cause].Prior
				for _, c := range turn.CauseChecks {
					if showsWithFuseOut(t, m, c, cause, f) {
						shown += m.faults[cause].Prior
						break
					}
				}
			}
			t.Logf("%s, %s: %d causes, %.0f %% of them by weight shown by %v", name, of.ID, len(turn.Causes), 100*shown/all, turn.CauseChecks)
			most = max(most, shown/all)
			assert.Greater(t, shown/all, 0.2, "%s: %s", name, of.ID)
		}
	}
	assert.Greater(t, told, 3)
	assert.Greater(t, most, 0.9, "where the fuse feeds the circuit itself")
}

// showsWithFuseOut tells whether an ohms check to a return reads otherwise with a cause
// than without, on panels whose fuse is open by another fault.
func showsWithFuseOut(t *testing.T, m *Model, c log.Check, cause, fuse int) bool {
	t.Helper()
	require.Equal(t, log.Ohms, c.Kind())
	assert.Empty(t, c.Lifted)
	at, err := m.book.Locate(c)
	require.NoError(t, err)
	assert.Equal(t, m.panel.Net.Source(m.own[at.A]).Return, at.B, "to the grounded side")
	without, err := m.Meter(fuse).Read(c)
	require.NoError(t, err)
	with := bothMeter(t, m, cause, fuse).read(at)
	return with.Firm && without.Firm && !m.agree(at, without, with)
}

// A verdict that is no fuse has no causes, nor has what is not found yet.
func TestNoCauses(t *testing.T) {
	m := coldStore()
	for n := range len(wireToHorn) + 1 {
		turn := m.Turn(readLog(t, m, wireToHorn[:n]...), Choosing{})
		assert.Nil(t, turn.Causes)
		assert.Nil(t, turn.CauseChecks)
	}
}
