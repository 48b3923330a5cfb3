package paper

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/chart"
	"deadrung/diagnose/log"
)

// On sheets to sign a chart has every check of the chart on paper, and where an answer leads to a
// check, that is there.
func TestChartSections(t *testing.T) {
	m := builtinModel(t, "two-lamp")
	book := NewBook(m, "two-lamp", "deadrung find two-lamp", []log.Log{{}}, chart.Options{By: diagnose.ByMinutes})
	checks, leads := make(map[string]bool), 0
	for _, s := range book.Sections() {
		for _, r := range s.Rows {
			if r[0] != "" {
				checks["→ "+r[0]] = true
			}
		}
	}
	require.Len(t, checks, len(book.Flows[0].sheet().Entries))
	for _, s := range book.Sections() {
		for _, r := range s.Rows {
			assert.NotEmpty(t, r[3], r[2])
			if at := strings.Index(r[3], "→"); at >= 0 {
				leads++
				assert.True(t, checks[r[3][at:]], "%q leads to %q", r[2], r[3])
			}
		}
	}
	assert.GreaterOrEqual(t, leads, len(checks)-1)
}

// On sheets to sign every step has what every output does.
func TestOperationSections(t *testing.T) {
	p := builtinModel(t, "two-pumps").Panel()
	steps := WorkAll(p, &work.Overlay{}, nil)
	seen := make(map[string]int)
	for _, s := range OperationSections(p, steps, "")[1:] {
		for _, r := range s.Rows {
			for i, cell := range r[1:] {
				var step int
				_, err := fmt.Sscan(r[0], &step)
				require.NoError(t, err)
				name := s.Heads[i+1]
				seen[name]++
				assert.Equal(t, steps[step-1].Outputs[name].Saw, strings.Trim(cell, "?*"), "%s in step %d", name, step)
			}
		}
	}
	require.Len(t, seen, len(p.Visible()))
	for name, n := range seen {
		assert.Equal(t, len(steps), n, name)
	}
}
