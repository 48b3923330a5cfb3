package diagnose

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// visiblePair draws two faults that some check shows, on different devices, by their
// priors.
func visiblePair(m *Model, r *rand.Rand) (int, int) {
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
		x, y := draw(), draw()
		if !meet(m.faults[x].Devices, m.faults[y].Devices) {
			return x, y
		}
	}
}

func TestExperiment(t *testing.T) {
	for _, name := range []string{"cold-store-alarm", "start-sequence", "reversing"} {
		m := builtin(t, name)
		for _, further := range []int{0, 4, 8} {
			r := rand.New(rand.NewPCG(7, 1))
			course := m.panel.Course()
			n, masked, part, hit, group, inStrain := 0, 0, 0, 0, 0, [9]int{}
			var spent, worst time.Duration
			var count, entries int
			for n < 60 {
				x, y := visiblePair(m, r)
				both, ok := m.both(course.Follower(), x, y)
				if !ok {
					continue
				}
				n++
				meter := both.meter(0)
				var log Log
				more := further
				var turn Turn
				for i, l := range m.checks {
					if l.kind == Look && m.usual[i].Firm && os.Getenv("COMPLAIN") != "" {
						if a := meter.read(l); a.Firm && a.On != m.usual[i].On {
							e, _ := m.NewEntry(m.check(l), &a)
							log.Entries = append(log.Entries, e)
						}
					}
				}
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
					masked++
					if slices.Contains(turn.Left, x) || slices.Contains(turn.Left, y) {
						part++
					}
					continue
				}
				start := time.Now()
				pairs := m.Pairs(log)
				d := time.Since(start)
				spent += d
				worst = max(worst, d)
				count += len(pairs)
				entries += len(log.Entries)
				b := m.believe(log)
				all, unusual := b.classes()
				var p, q *class
				for _, c := range all {
					if slices.Contains(c.faults, x) {
						p = c
					}
					if slices.Contains(c.faults, y) {
						q = c
					}
				}
				inStrain[min(8, strain(p, q, unusual))]++
				if st := strain(p, q, unusual); st > 2 && !slices.ContainsFunc(pairs, func(pr Pair) bool { return pr.Faults == [2]int{x, y} || pr.Faults == [2]int{y, x} }) {
					fmt.Println("   ", m.faults[x].ID, m.faults[y].ID, st, len(log.Entries), len(pairs), turn.Status, turn.Wrong)
				}
				g := m.table.group
				for _, pr := range pairs {
					f := pr.Faults
					if f == [2]int{x, y} || f == [2]int{y, x} {
						hit++
					}
				}
				if slices.ContainsFunc(pairs, func(pr Pair) bool {
					f := pr.Faults
					return g[f[0]] == g[x] && g[f[1]] == g[y] || g[f[0]] == g[y] && g[f[1]] == g[x]
				}) {
					group++
				}
			}
			k := n - masked
			fmt.Printf("%s further %d: %d, masked %d (%d right), contradicting %d, exact %d, group %d, strains %v, pairs %.1f, entries %.1f, mean %v worst %v\n", name, further, n, masked, part, k, hit, group, inStrain, float64(count)/float64(k), float64(entries)/float64(k), spent/time.Duration(max(k, 1)), worst)
		}
	}
}
