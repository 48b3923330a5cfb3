package diagnose

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/diagnose/split"
	"deadrung/faultmodel"
)

// reweighed is a model with the weights of one row of the table multiplied.
func reweighed(m *Model, key faultmodel.Key, times float64) *Model {
	other := &Model{
		panel: m.panel, faults: slices.Clone(m.faults), good: m.good, traces: m.traces, blown: m.blown, held: m.held, locked: m.locked,
		hands: m.hands, works: m.works, moves: m.moves, own: m.own, checks: m.checks, cells: m.cells, usual: m.usual, table: m.table, index: m.index,
		beside: m.beside, bolted: m.bolted, follows: m.follows, ohmsFrom: m.ohmsFrom, bases: m.bases,
		visible: m.visible, looked: make(map[string]split.Test),
	}
	var sum float64
	for i := range other.faults {
		f := &other.faults[i]
		if f.Key == key {
			f.Weight *= times
		}
		sum += f.Weight
	}
	for i := range other.faults {
		other.faults[i].Prior = other.faults[i].Weight / sum
	}
	return other
}

// Weights are judgement. Where readings decide, halving or doubling any of them must
// not change the verdict; what it may change is the order of the checks. How far the
// mean number of checks moves is logged.
func TestNoVerdictDependsOnAWeight(t *testing.T) {
	for _, name := range []string{"cold-store-alarm"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := builtin(t, name)
			sessions := make([]session, len(m.faults))
			mean := func(m *Model) float64 {
				var mean float64
				for i, f := range m.faults {
					mean += f.Prior * float64(truthful(t, m, i, ByChecks).checks)
				}
				return mean
			}
			for i := range m.faults {
				sessions[i] = truthful(t, m, i, ByChecks)
			}
			base := mean(m)
			low, high := base, base
			for _, w := range faultmodel.Weights {
				if !slices.ContainsFunc(m.faults, func(f faultmodel.Fault) bool { return f.Key == w.Key }) {
					continue
				}
				for _, times := range []float64{0.5, 2} {
					other := reweighed(m, w.Key, times)
					for i, s := range sessions {
						if m.Hidden(i) {
							continue // a good circuit: how often it is looked at again is a matter of weights
						}
						turn := other.Turn(s.log, Choosing{By: ByChecks})
						require.Equal(t, s.last.Status, turn.Status, "%s with %s times %g", m.faults[i].ID, w.Key, times)
						require.Equal(t, s.last.Left, turn.Left, "%s with %s times %g", m.faults[i].ID, w.Key, times)
					}
					if !testing.Short() {
						got := mean(other)
						low, high = min(low, got), max(high, got)
						t.Logf("%-18s x %-3g mean %.3f checks (%+.1f %%)", w.Key, times, got, 100*(got/base-1))
					}
				}
			}
			t.Logf("mean %.3f checks, %.3f to %.3f with one weight halved or doubled", base, low, high)
		})
	}
}
