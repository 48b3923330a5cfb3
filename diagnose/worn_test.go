package diagnose

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// degrees are how much less or more of a fault there may be than the list has: factors of a
// joint, a leak or a part of an impedance, and of what a low source gives.
var degrees = []float64{0.3, 1, 3}

// atDegree is the overlay of a fault at another degree than the listed one.
func atDegree(f *faultmodel.Fault, degree float64) work.Overlay {
	o := f.Overlay
	o.Joints = slices.Clone(o.Joints)
	for i := range o.Joints {
		o.Joints[i].Ohms *= degree
	}
	o.Leaks = slices.Clone(o.Leaks)
	for i := range o.Leaks {
		o.Leaks[i].Ohms /= degree
	}
	o.Scale = slices.Clone(o.Scale)
	for i := range o.Scale {
		o.Scale[i].Factor = map[float64]float64{0.3: 0.8, 1: o.Scale[i].Factor, 3: 0.3}[degree]
	}
	return o
}

// wornModel is a built-in circuit with wear in its list.
func wornModel(t testing.TB, name string) *Model {
	t.Helper()
	p := builtin(t, name).panel
	return made(p, faultmodel.List(p, faultmodel.Options{Worn: true}), Options{})
}

// A panel with wear of any degree, worked in full, answers the loop to its end: what is found
// is that fault, or one at the same device or wire number.
func TestWearEndsAtItsPlace(t *testing.T) {
	whole := os.Getenv("DEADRUNG_ALL") != ""
	names := circuits.Builtin()
	if !whole {
		names = []string{"cold-store-alarm", "start-stop", "two-lamp"}
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := wornModel(t, name)
			ends := make(map[string]map[string]int)
			checks, n := 0, 0
			for f := range m.faults {
				fault := &m.faults[f]
				if !fault.Wear {
					continue
				}
				its := degrees
				if !fault.Degree {
					its = []float64{1}
				}
				for d, degree := range its {
					if !whole && (f+d)%5 != 0 {
						continue
					}
					a := answeredBy(t, m, m.meterOf(atDegree(fault, degree)), nil, By((f+d)%2))
					checks += a.checks
					n++
					end := m.endOf(a, f, degree == 1 && !m.Hidden(f))
					if !assert.NotEqual(t, "wrong", end, "%s at %g: %s", fault.ID, degree, a.turn.Candidates[0].ID) {
						for _, e := range a.log.Entries {
							t.Logf("  %v %s", m.Fits(f, e), log.MarshalWith(e.Check, *e.Answer))
						}
					}
					kind := fmt.Sprintf("%s at %g", fault.Effect.Kind(), degree)
					if ends[kind] == nil {
						ends[kind] = make(map[string]int)
					}
					ends[kind][end]++
				}
			}
			require.NotZero(t, n)
			for _, kind := range slices.Sorted(maps.Keys(ends)) {
				t.Logf("%-26s %v", kind, ends[kind])
			}
			t.Logf("%d sessions, mean %.2f checks with their proofs", n, float64(checks)/float64(n))
		})
	}
}

// endOf says how a session on a panel with a fault ended. Shows tells whether some check shows
// the fault.
func (m *Model) endOf(a answered, fault int, shows bool) string {
	switch {
	case a.turn.Status == Healthy && !shows:
		return "shows nothing"
	case a.turn.Status == Healthy:
		return "wrong"
	case a.turn.Status != Found:
		return string(a.turn.Status)
	case slices.Contains(a.turn.Left, fault):
		return "found"
	}
	places := slices.Clone(m.faults[fault].Devices)
	if w := m.faults[fault].Effect.ResistiveWire; w != nil {
		places = append(places, w.Wire)
	}
	places = append(places, m.faults[fault].Effect.LeakToGround)
	if slices.ContainsFunc(a.turn.Left, func(l int) bool { return at(&m.faults[l], places) }) {
		return "found there"
	}
	return "wrong"
}
