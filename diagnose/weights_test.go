package diagnose

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// reweighed is a model of the same panel in which each row of the table of weights is halved,
// left or doubled, as it is drawn.
func reweighed(m *Model, r *rand.Rand) *Model {
	times := make(map[faultmodel.Key]float64)
	for _, w := range faultmodel.Weights {
		times[w.Key] = []float64{0.5, 1, 2}[r.IntN(3)]
	}
	faults := slices.Clone(m.faults)
	var sum float64
	for i := range faults {
		faults[i].Weight *= times[faults[i].Key]
		sum += faults[i].Weight
	}
	for i := range faults {
		faults[i].Prior = faults[i].Weight / sum
	}
	other := made(m.panel, faults, Options{})
	return other
}

// Weights are judgement. They choose the checks, so that other weights make other sessions; but
// whatever they are, a session on true readings ends with the fault that is there and those
// that no check tells from it. Of a large panel each draw takes a share of the faults.
func TestNoVerdictDependsOnAWeight(t *testing.T) {
	const draws, few = 3, 60
	for _, name := range circuits.Builtin() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := builtin(t, name)
			others := 0
			for draw := range draws {
				other := reweighed(m, rand.New(rand.NewPCG(uint64(draw), 40)))
				var asked [2]float64
				for i, f := range m.faults {
					if len(m.faults) > few && i%draws != draw {
						continue
					}
					s := truthful(t, other, i, ByChecks)
					endsInGroup(t, other, i, s)
					was := truthful(t, m, i, ByChecks)
					if !slices.EqualFunc(s.log.Entries, was.log.Entries, func(a, b log.Entry) bool { return a.Check.String() == b.Check.String() }) {
						others++
					}
					asked[0] += f.Prior * float64(was.checks)
					asked[1] += f.Prior * float64(s.checks)
				}
				t.Logf("draw %d: mean of the checks %+.1f %%", draw, 100*(asked[1]/asked[0]-1))
			}
			require.NotZero(t, others, "weights that change no session prove nothing")
		})
	}
}
