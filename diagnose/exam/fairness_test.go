package exam

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose"
)

// For several circuits (all with DEADRUNG_ALL), class sizes, numbers of faults and both measures:
// efforts within a tenth, no neighbours alike, the same choice for the same seed and another for
// another.
func TestChoiceIsFair(t *testing.T) {
	names := []string{"cold-store-alarm", "two-lamp", "start-stop", "off-delay-fan"}
	if os.Getenv("DEADRUNG_ALL") != "" {
		names = circuits.Builtin()
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := modelOf(t, name)
			for _, by := range []diagnose.By{diagnose.ByMinutes, diagnose.ByChecks} {
				pool, _, err := Pool([]*diagnose.Model{m}, Simulated, by, false)
				require.NoError(t, err)
				for _, w := range []Fairness{{Candidates: 30, Faults: 1}, {Candidates: 30, Faults: 3, Row: 6}, {Candidates: 2, Faults: 5}, {Candidates: 1, Faults: 1}} {
					w.By, w.Circuits = by, 1
					for seed := range uint64(3) {
						about := fmt.Sprintf("%+v, seed %d", w, seed)
						c, err := Choose(pool, w, rand.New(rand.NewPCG(seed, 1)))
						require.NoError(t, err)
						again, err := Choose(pool, w, rand.New(rand.NewPCG(seed, 1)))
						require.NoError(t, err)
						require.Equal(t, c, again, about)
						require.True(t, c.Fair(), "%s: %.3f apart, alike %v", about, c.Spread, c.Alike)
						holds(t, pool, w, c, about)
					}
				}
			}
		})
	}
}

// holds works the promise out anew: sums, spread, neighbours, nothing twice.
func holds(t *testing.T, pool []Task, w Fairness, c Choice, about string) {
	t.Helper()
	low, high, all := 1e99, 0.0, 0.0
	require.Len(t, c.Tasks, w.Candidates)
	for i, tasks := range c.Tasks {
		require.Len(t, tasks, w.Faults, about)
		sum := 0.0
		for a, x := range tasks {
			sum += pool[x].Effort(w.By)
			for _, y := range tasks[:a] {
				require.False(t, pool[x].alike(pool[y]), "%s: seat %d has one fault twice", about, i+1)
			}
			for n := range i {
				beside := n == i-1 && (w.Row == 0 || i%w.Row != 0)
				front := w.Row > 0 && n == i-w.Row
				if beside || front {
					for _, y := range c.Tasks[n] {
						require.False(t, pool[x].alike(pool[y]), "%s: seats %d and %d are alike", about, n+1, i+1)
					}
				}
			}
		}
		low, high, all = min(low, sum), max(high, sum), all+sum
	}
	require.LessOrEqual(t, (high-low)/(all/float64(w.Candidates)), 0.1+1e-9, about)
}

// Two circuits: everybody gets each as often.
func TestChoiceOverCircuits(t *testing.T) {
	models := []*diagnose.Model{modelOf(t, "cold-store-alarm"), modelOf(t, "two-lamp")}
	pool, _, err := Pool(models, Simulated, diagnose.ByMinutes, false)
	require.NoError(t, err)
	w := Fairness{Candidates: 24, Faults: 4, Circuits: 2}
	c, err := Choose(pool, w, rand.New(rand.NewPCG(1, 1)))
	require.NoError(t, err)
	assert.True(t, c.Fair())
	for _, tasks := range c.Tasks {
		second := 0
		for _, x := range tasks {
			second += pool[x].Circuit
		}
		assert.Equal(t, 2, second)
	}
}

// Where it cannot be fair the choice says how near it came.
func TestChoiceThatCannotBeFair(t *testing.T) {
	pool := []Task{{Group: 1, Minutes: 10}, {Group: 2, Minutes: 20}}
	c, err := Choose(pool, Fairness{Candidates: 4, Faults: 1, Circuits: 1}, rand.New(rand.NewPCG(1, 1)))
	require.NoError(t, err)
	assert.False(t, c.Fair())
	assert.Empty(t, c.Alike, "alternating faults keep neighbours apart")
	assert.InDelta(t, 10/15.0, c.Spread, 1e-9) // 20 less 10, of a mean of 15
	c, err = Choose(pool[:1], Fairness{Candidates: 3, Faults: 1, Circuits: 1}, rand.New(rand.NewPCG(1, 1)))
	require.NoError(t, err)
	assert.Equal(t, [][2]int{{0, 1}, {1, 2}}, c.Alike)
	assert.False(t, c.Fair())
	_, err = Choose(nil, Fairness{Candidates: 1, Faults: 1}, rand.New(rand.NewPCG(1, 1)))
	assert.Error(t, err)
}
