package main

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/talk"
	"deadrung/faultmodel"
)

// The report of a proved repair, reviewed by reading the golden file.
func TestReport(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	i, err := faultmodel.Find(m.Faults(), "open-F1")
	require.NoError(t, err)
	out, _ := inMemory(80)
	ask := &truthful{rig: newRig(m, i, rand.New(rand.NewPCG(1, 2))), left: 100,
		extra: func(_ *logged, q talk.Question) (string, bool) {
			w := talk.Words(q.Choices)
			switch {
			case strings.Contains(w, "repaired"):
				return "repaired", true
			case strings.Contains(w, "right"):
				return "right", true
			}
			return "", false
		}}
	d := searching(m, ask, out)
	ask.d = d
	require.NoError(t, held(d))
	text := d.Report((&findOptions{circuit: "cold-store-alarm", log: "door.log"}).facts())
	golden(t, "find/report.md", text)
	assert.LessOrEqual(t, strings.Count(text, "\n"), 66, "one page of letter paper at six lines an inch")
}

// The report numbers the checks as the dialogue did, which counts neither what was known
// before nor what could not be made.
func TestReportNumbers(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	i, err := faultmodel.Find(m.Faults(), "open-CR1:22-B1:1")
	require.NoError(t, err)
	out, shown := inMemory(1000)
	told, refused := 0, false
	ask := &truthful{rig: newRig(m, i, rand.New(rand.NewPCG(1, 2))), left: 100,
		extra: func(_ *logged, q talk.Question) (string, bool) {
			switch w := talk.Words(q.Choices); {
			case strings.HasPrefix(q.Text, "In which step") && told == 0:
				told++
				return "door left open", true
			case strings.HasPrefix(q.Text, "What was wrong"):
				return "B1", true
			case strings.Contains(w, "cannot") && !refused:
				refused = true
				return "cannot", true
			}
			return "", false
		}}
	d := searching(m, ask, out)
	ask.d = d
	require.ErrorIs(t, held(d), dialogue.ErrStopped)
	require.True(t, refused)

	asked := make(map[string]string) // by number, as it was asked last
	for _, title := range regexp.MustCompile(`(?m)^.*\b(?i:check) (\d+): (.*?)(?:, live|, power locked off)?$`).FindAllStringSubmatch(shown.String(), -1) {
		asked[title[1]] = title[2]
	}
	rows := regexp.MustCompile(`(?m)^\| (-|\d+) \| (.*?) \| `).FindAllStringSubmatch(d.Report((&findOptions{}).facts()), -1)
	require.Len(t, rows, len(d.Log().Entries))
	numbered, dashes := 0, 0
	for _, row := range rows {
		if row[1] == "-" {
			dashes++
			continue
		}
		numbered++
		require.NotEmpty(t, asked[row[1]], "no check %s was asked for:\n%s", row[1], shown)
		assert.True(t, strings.HasPrefix(row[2], asked[row[1]]),
			"check %s is %q in the dialogue and %q in the report", row[1], asked[row[1]], row[2])
	}
	assert.Equal(t, 2, dashes, "the complaint, and what could not be made")
	assert.Equal(t, len(asked), numbered)
	assert.Greater(t, numbered, 2)

	shown.Reset()
	d.Possible()
	assert.Contains(t, shown.String(), "\n  -  look at horn B1 in \"door left open\": off (silent); ruled out ")
	assert.Contains(t, shown.String(), "\n  1. "+asked["1"])
}

func TestReportBeforeTheVerdict(t *testing.T) {
	d, _ := typed(t, "cold-store-alarm", "none")
	_ = held(d)
	text := d.Report((&findOptions{circuit: "panels/a_b|c.yaml"}).facts())
	assert.Contains(t, text, "None was given.")
	assert.Contains(t, text, "Not found yet. Still possible: 70 faults")
	assert.Contains(t, text, "- Circuit file: panels/a\\_b\\|c.yaml", "nothing is taken for Markdown")
}
