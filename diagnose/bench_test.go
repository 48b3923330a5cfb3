package diagnose

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits/generate"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// regular gives the panel of n regular rungs.
func regular(b testing.TB, n int) *work.Panel {
	b.Helper()
	c, problems := read.Read("rungs.yaml", []byte(generate.Rungs(n)))
	require.NoError(b, problems.Err())
	return work.Assemble(c)
}

// The good circuit, worked through its 17 steps.
func BenchmarkWork100(b *testing.B) {
	p := regular(b, 100)
	good := &work.Overlay{}
	for b.Loop() {
		steps := 0
		p.Work(good, func(int, *work.End) bool {
			steps++
			return true
		})
		require.Equal(b, len(p.Circuit.Steps), steps)
	}
}

// All faults worked through and all checks foretold.
func BenchmarkModel(b *testing.B) {
	for _, n := range []int{10, 30, 100, 300} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			p := regular(b, n)
			faults := faultmodel.List(p, faultmodel.Options{})
			for b.Loop() {
				made(p, faults, Options{})
			}
			b.ReportMetric(float64(len(faults)), "faults")
		})
	}
}

// What a log leaves possible and what to check next: at the start, and after the first
// two answers.
func BenchmarkTurn(b *testing.B) {
	for _, n := range []int{10, 100} {
		p := regular(b, n)
		m := made(p, faultmodel.List(p, faultmodel.Options{}), Options{})
		meter := m.Meter(len(m.faults) / 2)
		for _, by := range []By{ByMinutes, ByChecks} {
			var history log.Log
			for answers := range 3 {
				b.Run(fmt.Sprintf("%d rungs, %v, %d answers", n, map[By]string{ByMinutes: "minutes", ByChecks: "checks"}[by], answers), func(b *testing.B) {
					for b.Loop() {
						m.Turn(history, Choosing{By: by})
					}
				})
				next := m.Turn(history, Choosing{By: by}).Next
				if next == nil {
					break
				}
				r, err := meter.Read(next.Check)
				require.NoError(b, err)
				e, err := m.book.NewEntry(next.Check, &r)
				require.NoError(b, err)
				history.Entries = append(history.Entries, e)
			}
		}
	}
}
