package main

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/paper"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// The checks that "find" makes for every fault, one after the other, are those on the way
// through the chart to that fault, down to the last proof, and so is the verdict.
func TestChartIsWhatFindFollows(t *testing.T) {
	for name, by := range map[string]string{"cold-store-alarm": "minutes", "two-lamp": "checks"} {
		var text bytes.Buffer
		s := streams{out: &text, err: io.Discard}
		require.NoError(t, runChart(t.Context(), chartOptions{circuit: name, by: by, json: true}, s))
		var form paper.ChartsForm
		require.NoError(t, json.Unmarshal(text.Bytes(), &form))
		m := builtinModel(t, name)
		for i, f := range m.Faults() {
			text.Reset()
			kept := filepath.Join(t.TempDir(), "kept.jsonl")
			o := findOptions{circuit: name, by: by, simulate: string(f.ID), seed: uint64(i), seeded: true,
				json: true, log: kept, now: noon}
			require.NoError(t, runSimulate(t.Context(), o, s))
			var session simulated
			require.NoError(t, json.Unmarshal(text.Bytes(), &session))
			at := form.Charts[0].Start
			for _, check := range madeIn(t, kept) {
				require.NotNil(t, at.Check, "%s: the chart ends before %s", f.ID, check.Check)
				require.Equal(t, *at.Check, check.Check, f.ID)
				to := check.leads(at)
				require.NotNil(t, to, "%s: no answer for %s", f.ID, check.Check)
				at = to
			}
			require.Nil(t, at.Check, "%s: the chart goes on", f.ID)
			require.Equal(t, session.Status, at.Status, f.ID)
			if session.Status != diagnose.Healthy {
				require.Len(t, at.Left, len(session.Verdict), f.ID)
			}
		}
	}
}

// madeIn gives the checks of a log in their order.
func madeIn(t *testing.T, path string) []madeCheck {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	var made []madeCheck
	for _, line := range lines[1:] {
		var check madeCheck
		require.NoError(t, json.Unmarshal([]byte(line), &check))
		made = append(made, check)
	}
	return made
}

// madeCheck is a check of a log.
type madeCheck struct {
	log.Check
	Saw  string          `json:"saw"`
	Read json.RawMessage `json:"read"`
}

// leads finds where the answer leads that a reading is; a stray one is the last resort.
func (c madeCheck) leads(at *paper.ForkForm) *paper.ForkForm {
	var stray *paper.ForkForm
	for _, a := range at.Answers {
		takes := false
		switch {
		case c.Saw != "":
			takes = a.Saw == c.Saw
		case string(c.Read) == `"OL"`:
			takes = a.Read == "OL"
		case a.Low != nil:
			x, _ := strconv.ParseFloat(string(c.Read), 64)
			takes = x >= *a.Low && (a.High == nil || x <= *a.High) // none: or more, or OL
		}
		switch {
		case takes && !a.Stray:
			return a.To
		case takes:
			stray = a.To
		}
	}
	return stray
}
