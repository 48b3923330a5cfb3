package main

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// The report of a proved repair, reviewed by reading the golden file.
func TestReport(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	i, err := faultmodel.Find(m.Faults(), "open-F1")
	require.NoError(t, err)
	out, _ := sheet(80)
	ask := &truthful{rig: newRig(m, i, rand.New(rand.NewPCG(1, 2))), left: 100, extra: func(_ *dialogue, q question) (string, bool) {
		w := words(q.choices)
		switch {
		case strings.Contains(w, "repaired"):
			return "repaired", true
		case strings.Contains(w, "right"):
			return "right", true
		}
		return "", false
	}}
	d := newDialogue(m, ask, out, diagnose.ByMinutes, noon)
	ask.d = d
	require.NoError(t, d.run())
	text := d.report(findOptions{circuit: "cold-store-alarm", log: "door.log"})
	golden(t, "find/report.md", text)
	assert.Less(t, strings.Count(text, "\n"), 62, "one page")
}

func TestReportBeforeTheVerdict(t *testing.T) {
	d, _ := typed(t, "cold-store-alarm", "none")
	_ = d.run()
	text := d.report(findOptions{circuit: "panels/a_b|c.yaml"})
	assert.Contains(t, text, "None was given.")
	assert.Contains(t, text, "Not found yet. Still possible: 70 faults")
	assert.Contains(t, text, "- Circuit file: panels/a\\_b\\|c.yaml", "nothing is taken for Markdown")
}
