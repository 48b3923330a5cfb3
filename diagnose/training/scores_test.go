package training

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/faultmodel"
)

// TestScores: what is written is read back; what is cut short at the end is a warning,
// any other mistake an error at its line.
func TestScores(t *testing.T) {
	want := []Score{
		{At: "2026-01-01T08:00:00Z", Circuit: "A", Fault: "open-H1", Seed: 1, Checks: 6, Needed: 3, Minutes: 20, NeededMinutes: 7, Wasted: 2, Right: true, Proved: true},
		{At: "2026-01-02T08:00:00Z", Drill: "string-9", Checks: 4, Needed: 4, Right: true},
		{At: "2026-01-03T08:00:00Z", Circuit: "B", Fault: "open-H2", Checks: 2, Needed: 3},
	}
	var text bytes.Buffer
	for _, s := range want {
		require.NoError(t, s.AppendTo(&text))
	}
	got, problems := ReadScores("s", text.Bytes())
	assert.Empty(t, problems)
	assert.Equal(t, want, got)
	assert.InDelta(t, 0.5, want[0].Share(), 1e-12)
	assert.InDelta(t, 1, want[1].Share(), 1e-12)
	assert.Zero(t, want[2].Share())
	assert.Equal(t, []faultmodel.ID{"open-H1"}, Had(got, "A"))

	got, problems = ReadScores("s", append(text.Bytes(), `{"at":"2026`...))
	assert.NoError(t, problems.Err())
	assert.Len(t, problems, 1)
	assert.Len(t, got, 3)
	for _, wrong := range []string{"{", "[]", `{"circuit":"A","drill":"B"}`, "{}", `{"drill":"a"} {}`} {
		_, problems := ReadScores("s", []byte("\n"+wrong+"\n"))
		if assert.Error(t, problems.Err(), wrong) {
			assert.Equal(t, 2, problems[0].Pos.Line)
		}
	}
}

// FuzzReadScores: no text makes it fail.
func FuzzReadScores(f *testing.F) {
	f.Add([]byte(`{"at":"2026-01-01T08:00:00Z","circuit":"A","fault":"open-H1","seed":1,"checks":6,"needed":3,"right":true}`))
	f.Add([]byte("{\n\n[1]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		scores, _ := ReadScores("s", text)
		for _, s := range scores {
			if x := s.Share(); x < 0 || x > 1 {
				t.Errorf("a share of %g", x)
			}
		}
	})
}
