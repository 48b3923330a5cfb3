package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/log"
)

const header = `{"circuit":"Cold-store alarm","deadrung":1}` + "\n"

func TestOpenLog(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	var begun strings.Builder
	require.NoError(t, m.Book().WriteHeader(&begun))
	begin := begun.String()
	const look = `{"look":"H1","step":"door left open","saw":"off"}`
	const volts = `{"volts":["CR1:22","T1:X2"],"step":"door left open","read":118.9}`
	for _, c := range []struct {
		name, text string
		entries    int
		warnings   int
		want       string // the file, fit to be appended to
	}{
		{"no file", "", 0, 0, begin},
		{"only the header", header, 0, 0, header},
		{"answers", header + look + "\n" + volts + "\n", 2, 0, header + look + "\n" + volts + "\n"},
		{"no header", look + "\n", 1, 0, look + "\n"},
		{"taken back", header + look + "\n" + `{"undo":true}` + "\n", 0, 0, header + look + "\n" + `{"undo":true}` + "\n"},
		{"a byte-order mark", "\uFEFF" + header + look + "\n", 1, 0, "\uFEFF" + header + look + "\n"},
		{"last line without its end", header + look, 1, 0, header + look + "\n"},
		{"last line cut short", header + look + "\n" + volts[:30], 1, 1, header + look + "\n"},
		{"header cut short", header[:20], 0, 1, begin},
	} {
		t.Run(c.name, func(t *testing.T) {
			name := filepath.Join(t.TempDir(), "a.log")
			if c.text != "" {
				require.NoError(t, os.WriteFile(name, []byte(c.text), 0o644))
			}
			file, history, problems, err := openLog(name, m, nil)
			require.NoError(t, err)
			assert.Len(t, history.Entries, c.entries)
			assert.Len(t, problems.Warnings(), c.warnings)
			got, err := os.ReadFile(name)
			require.NoError(t, err)
			assert.Equal(t, c.want, string(got))

			e, err := m.Book().NewEntry(log.Check{Look: "B1", Step: "door left open"},
				&log.Reading{Kind: log.Look, On: true, Firm: true})
			require.NoError(t, err)
			require.NoError(t, file.append(e.AppendTo))
			require.NoError(t, file.Close())
			got, err = os.ReadFile(name)
			require.NoError(t, err)
			assert.Equal(t, c.want+`{"look":"B1","step":"door left open","saw":"on"}`+"\n", string(got))
		})
	}
}

func TestOpenLogRefuses(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	dir := t.TempDir()
	for _, c := range []struct{ name, text, says string }{
		{"other.log", `{"circuit":"Grain-dryer fan","deadrung":1}` + "\n", `other.log:1:13: the log is of the circuit "Grain-dryer fan", and this is "Cold-store alarm"`},
		{"marked.log", "\uFEFF" + `{"circuit":"Grain-dryer fan","deadrung":1}` + "\n", `marked.log:1:13: the log is of the circuit "Grain-dryer fan", and this is "Cold-store alarm"`},
		{"version.log", `{"circuit":"Cold-store alarm"}` + "\n", "version.log:1:1: the first line does not say which version the log is of"},
		{"word.log", header + "hello\n" + `{"look":"H1"}` + "\n", "word.log:2:1: "},
		{"device.log", header + `{"look":"H7","step":"door left open","saw":"off"}` + "\n", `device.log:2:10: no lamp, horn, solenoid, motor or relay is called "H7"`},
		{"undo.log", `{"undo":true}` + "\n", "undo.log:1:1: there is nothing left to take back"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Chdir(dir)
			require.NoError(t, os.WriteFile(c.name, []byte(c.text), 0o644))
			_, _, _, err := openLog(c.name, m, nil)
			var input inputError
			require.ErrorAs(t, err, &input)
			assert.Contains(t, err.Error(), c.says)
			got, err := os.ReadFile(c.name)
			require.NoError(t, err)
			assert.Equal(t, c.text, string(got), "a wrong log is left alone")
		})
	}
	for _, name := range []string{dir, filepath.Join(dir, "missing", "a.log")} {
		_, _, _, err := openLog(name, m, nil)
		require.Error(t, err)
		assert.Contains(t, err.Error(), "cannot write the log")
		assert.False(t, errors.As(err, new(inputError)))
	}
}
