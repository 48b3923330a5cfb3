package log

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/faultmodel"
)

// What people answer comes back from the log as it was written.
func TestAnswersOfPeople(t *testing.T) {
	panel := coldStore(t).Panel()
	b := NewBook(panel, faultmodel.List(panel, faultmodel.Options{}))
	lines := []string{
		`{"look":"H1","step":"door left open","saw":"dim"}`,
		`{"look":"CR1","step":"door left open","saw":"chatters","note":"since the rain"}`,
		`{"seen":"H1","text":"burnt"}`,
		`{"look":"H1","step":"store warm","saw":"flashing","sure":false}`,
		`{"look":"B1","step":"store warm","saw":"unknown"}`,
		`{"volts":["CR1:22","T1:X2"],"step":"door left open","read":118.9,"sure":false}`,
		`{"seen":"CR1:22","text":"loose"}`,
	}
	history := readLog(t, b, lines...)
	require.Len(t, history.Entries, 5)
	assert.Equal(t, Dim, history.Entries[0].Answer.Seems)
	assert.True(t, history.Entries[2].Answer.Unsure)
	assert.Equal(t, []int{2, 5}, []int{history.Seen[0].Before, history.Seen[1].Before})
	var out bytes.Buffer
	require.NoError(t, b.WriteTo(&out, history))
	_, written, _ := strings.Cut(out.String(), "\n")
	assert.Equal(t, strings.Join(lines, "\n")+"\n", written)

	undone := readLog(t, b, append(lines, undo, undo)...)
	assert.Len(t, undone.Seen, 1, "the last line first")
	assert.Len(t, undone.Entries, 4)

	for line, why := range map[string]string{
		`{"seen":"Z9","text":"burnt"}`: "nothing is known that can be wrong at",
		`{"text":"burnt"}`:             `"text" belongs to a line with "seen"`,
		`{"seen":"H1","look":"H1","step":"door left open","saw":"off"}`: "has nothing else",
		`{"sure":false,"cannot":{"look":"H1","step":"door left open"}}`: "stands beside an answer",
		`{"look":"H1","step":"door left open","saw":"purple"}`:          "or with",
		`{"seen":"H1","text":"burnt","undo":true}`:                      "has nothing else",
	} {
		_, problems := b.ReadLog("a.log", []byte(line+"\n"))
		require.Error(t, problems.Err(), line)
		assert.Contains(t, problems.Err().Error(), why, line)
	}
}
