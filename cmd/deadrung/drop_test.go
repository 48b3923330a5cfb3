package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
)

// kept is a dialogue on the cold-store alarm that keeps a log, with these answers in it.
func kept(t *testing.T, entries ...log.Entry) (d *dialogue, shown *bytes.Buffer, name string) {
	t.Helper()
	d, shown = typed(t, "cold-store-alarm")
	name = filepath.Join(t.TempDir(), "kept.log")
	require.NoError(t, d.open(findOptions{circuit: "cold-store-alarm", log: name, now: noon}, streams{err: new(bytes.Buffer)}))
	t.Cleanup(func() { d.file.close() })
	for _, e := range entries {
		require.NoError(t, d.enter(e.Check, e.Answer, e.Note))
	}
	return d, shown, name
}

// lookedOff is a look at a device that was off.
func lookedOff(device, step, note string) log.Entry {
	return log.Entry{Check: log.Check{Look: device, Step: step}, Answer: &log.Reading{Kind: log.Look, Firm: true}, Note: note}
}

// An answer that is dropped is out of the session and out of its file, wherever it stood;
// the others are as they were.
func TestLeaveOut(t *testing.T) {
	entries := []log.Entry{
		lookedOff("B1", "door left open", talk.ComplaintNote), lookedOff("CR1", "mute pressed", ""),
		lookedOff("H1", "store warm", talk.RepairedNote), lookedOff("TR1", "door just opened", ""),
	}
	for at := range entries {
		d, shown, name := kept(t, entries...)
		require.NoError(t, d.leaveOut(at))
		assert.Contains(t, shown.String(), "Dropped: look at ")
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		history, problems := d.m.Book().ReadLog(name, text)
		require.Empty(t, problems)
		require.Len(t, history.Entries, len(entries)-1)
		require.Len(t, d.log.Entries, len(entries)-1)
		for i, e := range history.Entries {
			was := i
			if i >= at {
				was++
			}
			assert.Equal(t, entries[was].Check, e.Check)
			assert.Equal(t, entries[was].Note, e.Note)
			assert.Equal(t, "2031-05-06T12:00:00Z", e.At)
			assert.Equal(t, e.Repaired, d.log.Entries[i].Repaired)
		}
		want := 2
		if at < 2 {
			want = 1
		}
		assert.Equal(t, want, history.Since(), "what was before the repair stays so")
	}
}

// What was read before a repair no longer counts after it, in the session as in its file.
func TestRepairBeginsAnew(t *testing.T) {
	d, _, name := kept(t, lookedOff("B1", "door left open", ""), lookedOff("H1", "store warm", talk.RepairedNote))
	assert.Equal(t, 1, d.log.Since())
	fresh, _, _ := kept(t, lookedOff("H1", "store warm", ""))
	assert.Equal(t, fresh.turn.Left, d.turn.Left)
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Contains(t, string(text), `"note":"after the repair"`)
	assert.Equal(t, 1, strings.Count(string(text), `"repaired":true`))
	require.NoError(t, d.undo())
	assert.Zero(t, d.log.Since())
}

// Either of two readings that contradict each other can be dropped, and a session without
// any has nothing to drop.
func TestEitherCanBeDropped(t *testing.T) {
	lamp := log.Entry{Check: log.Check{Look: "H1", Step: "store warm"}, Answer: &log.Reading{Kind: log.Look, On: true, Firm: true}, Note: talk.ComplaintNote}
	dead := log.Entry{Check: log.Check{Volts: terms("H1:1", "H1:2"), Step: "store warm"}, Answer: &log.Reading{Kind: log.Volts, Value: 0.1, Firm: true}}
	stays := make(map[log.Kind]bool)
	for _, answer := range []string{"2", "3"} {
		d, shown, _ := kept(t, lamp)
		assert.False(t, d.doubts())
		require.NoError(t, d.enter(dead.Check, dead.Answer, ""))
		require.True(t, d.doubts())
		require.Len(t, d.turn.Contradicting, 1)
		assert.Contains(t, pointsText(d.speak.Doubts(&d.turn, d.log)),
			`What was known before in "store warm" and check 1 contradict each other: no single fault gives both`)
		d.ask = &talk.Lines{Keys: talk.NewKeyboard(t.Context(), strings.NewReader(answer+"\n")), Out: d.out, Echo: true}
		require.NoError(t, d.drop())
		assert.Contains(t, shown.String(), "Which reading is dropped?")
		require.Len(t, d.log.Entries, 1)
		assert.False(t, d.doubts(), "what is left contradicts nothing")
		stays[d.log.Entries[0].Check.Kind()] = true
	}
	assert.Len(t, stays, 2, "either of them")
}

// A fault's name behind "why" is no answer to the question, and other words take nothing
// behind them.
func TestWordWithAName(t *testing.T) {
	var about string
	choices := []talk.Choice{{Word: "why", Text: "why this check?", About: &about}, stopChoice}
	for typed, want := range map[string]int{"why": 0, "WHY  open-B1": 0, "why this check?": 0, "stop it": -1, "whyopen": -1, "stop": 1, "w": 0} {
		about = ""
		assert.Equal(t, want, talk.Matching(typed, choices), typed)
		if strings.Contains(typed, "B1") {
			assert.Equal(t, "open-b1", about)
		} else {
			assert.Empty(t, about, typed)
		}
	}
}
