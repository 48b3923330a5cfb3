package diagnose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRank(t *testing.T) {
	lambdas := []float64{1, 0.3, 0.1, 0.03, 0.01, 0.001}
	all := make([][]int, len(lambdas))
	for _, name := range []string{"cold-store-alarm", "star-delta", "reversing", "hand-off-auto", "field-wiring"} {
		m := builtin(t, name)
		r := rand.New(rand.NewPCG(9, 1))
		course := m.panel.Course()
		ranks := make([][]int, len(lambdas))
		for n := 0; n < 80; n++ {
			x, y := visiblePair(m, r)
			both, ok := m.both(course.Follower(), x, y)
			if !ok {
				continue
			}
			meter := both.meter(0)
			var log Log
			more := []int{0, 4, 8}[n%3]
			if n%2 == 0 {
				for i, l := range m.checks {
					if l.kind == Look && m.usual[i].Firm && len(log.Entries) < 4 {
						if a := meter.read(l); a.Firm && a.On != m.usual[i].On {
							e, _ := m.NewEntry(m.check(l), &a)
							log.Entries = append(log.Entries, e)
						}
					}
				}
			}
			var turn Turn
			for len(log.Entries) < 40 {
				turn = m.Turn(log, Choosing{By: ByMinutes, Most: -1})
				if turn.Wrong > 0 {
					if more == 0 {
						break
					}
					more--
				}
				if turn.Next == nil {
					break
				}
				at, _ := m.locate(turn.Next.Check)
				a := meter.read(at)
				if !a.Firm && a.Kind == Volts {
					a.Value = r.Float64() * 0.4 * m.nominal(at.a, at.b)
				}
				a.Firm = true
				e, err := m.NewEntry(turn.Next.Check, &a)
				require.NoError(t, err)
				log.Entries = append(log.Entries, e)
			}
			if turn.Wrong == 0 {
				continue
			}
			b := m.believe(log)
			cs, unusual := b.classes()
			of := make([]*class, len(m.faults))
			for _, c := range cs {
				for _, f := range c.faults {
					of[f] = c
				}
			}
			score := func(x, y int, l float64) float64 {
				return m.faults[x].Prior * m.faults[y].Prior * math.Pow(l, float64(strain(of[x], of[y], unusual)))
			}
			for li, l := range lambdas {
				own := score(x, y, l)
				seen := map[[2]int32]bool{}
				for i := range m.faults {
					for k := range i {
						if score(i, k, l) > own {
							g, h := m.table.group[i], m.table.group[k]
							seen[[2]int32{min(g, h), max(g, h)}] = true
						}
					}
				}
				ranks[li] = append(ranks[li], len(seen))
				all[li] = append(all[li], len(seen))
			}
		}
		for li, l := range lambdas {
			slices.Sort(ranks[li])
			fmt.Println(name, l, ranks[li])
		}
	}
	for li, l := range lambdas {
		slices.Sort(all[li])
		n := len(all[li])
		fmt.Println("all", n, l, "half", all[li][n/2], "80", all[li][n*8/10], "90", all[li][n*9/10], "95", all[li][n*95/100], all[li][n-1])
	}
}
