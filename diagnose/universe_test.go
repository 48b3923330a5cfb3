package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
)

// The table is filled by looking only at what a fault touches. It must hold what a
// meter reads on a panel that is worked in full, for every fault and every check.
func TestTableIsWhatAMeterReads(t *testing.T) {
	names := circuits.Builtin()
	if testing.Short() {
		names = names[:3]
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := builtin(t, name)
			compared := 0
			for f := range m.faults {
				meter := m.Meter(f)
				cells := make(map[int]Reading)
				for i, c := range m.cells {
					for _, x := range c {
						if int(x.fault) == f {
							cells[i] = x.reading
						}
					}
				}
				for i, l := range m.checks {
					want, err := meter.Read(m.check(l))
					require.NoError(t, err)
					got, ok := cells[i]
					if !ok {
						got = m.usual[i]
					}
					compared++
					if !got.Firm && want.Firm && len(meter.End(l.step).Phases) > 0 {
						continue // a relay chatters: the table trusts no node that it moves
					}
					if got.Firm != want.Firm || got.On != want.On || want.Firm && !near(got.Value, want.Value) {
						require.Failf(t, "the table is wrong", "%s, %s: %+v in the table, %+v on the meter", m.faults[f].ID, m.check(l), got, want)
					}
				}
			}
			t.Logf("%d readings", compared)
		})
	}
}

// near allows for the meter's own current, which the table leaves out.
func near(a, b float64) bool {
	if math.IsInf(a, 1) || math.IsInf(b, 1) {
		return a == b
	}
	return math.Abs(a-b) <= 0.01+0.01*math.Max(a, b)
}
