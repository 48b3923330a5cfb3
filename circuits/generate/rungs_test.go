package generate

import (
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRungsReadAndVerify(t *testing.T) {
	for _, n := range []int{1, 2, 4, 5, 10, 24, 25, 26, 27, 49, 50, 51, 52, 100, 1000} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			t.Parallel()
			text := Rungs(n)
			require.Equal(t, text, Rungs(n))
			p := assemble(t, text)
			assert.Len(t, p.Relays(), n)
			assert.Len(t, p.Circuit.Steps, 17)
			if n >= 10 {
				terminals := float64(len(p.Terminals())) / float64(n)
				assert.InDelta(t, 9, terminals, 1.5, "terminals a rung")
			}
			in := make(map[string]bool)
			p.Work(&work.Overlay{}, func(_ int, e *work.End) bool {
				for i, d := range p.Relays() {
					in[d.Name] = in[d.Name] || e.In[i]
				}
				return true
			})
			assert.Greater(t, 10*len(in), 7*n)
			works := 0
			for _, yes := range in {
				if yes {
					works++
				}
			}
			assert.GreaterOrEqual(t, 4*works, 3*n, "relays that work in some step")
		})
	}
}

// A terminal holds two wires at most, but for those of the block and the ground.
func TestRungsCrowdNoTerminal(t *testing.T) {
	p := assemble(t, Rungs(130))
	for _, terminal := range p.Terminals() {
		if d, _ := terminal.Split(); d != "TB1" && d != "PE" {
			assert.LessOrEqual(t, len(p.Landings(p.Node(terminal))), 2, terminal)
		}
	}
}

func TestRungsTakesAtLeastOne(t *testing.T) {
	assert.Equal(t, Rungs(1), Rungs(0))
	assert.Contains(t, Rungs(25), "TR25")
	assert.NotContains(t, Rungs(24), "TR")
}

// What is written must be in proportion to the rungs.
func TestRungsGrowsInProportion(t *testing.T) {
	small, large := len(Rungs(500)), len(Rungs(5000))
	assert.Less(t, large, 12*small)
	assert.Equal(t, 5000, strings.Count(Rungs(5000), "type: relay")+strings.Count(Rungs(5000), "type: timer"))
}

func BenchmarkRungs1000(b *testing.B) {
	for b.Loop() {
		Rungs(1000)
	}
}

func BenchmarkRead100(b *testing.B) {
	text := []byte(Rungs(100))
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, problems := read.Read("rungs.yaml", text); len(problems) > 0 {
			b.Fatal(problems)
		}
	}
}
