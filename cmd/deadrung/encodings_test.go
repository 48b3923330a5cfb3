package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
)

// inUTF16 gives a text as some editors save it, with a mark of the byte order or without.
func inUTF16(text []byte, little, marked bool) []byte {
	units := utf16.Encode([]rune(string(text)))
	if marked {
		units = append([]uint16{0xFEFF}, units...)
	}
	var out []byte
	for _, u := range units {
		if little {
			out = append(out, byte(u), byte(u>>8))
		} else {
			out = append(out, byte(u>>8), byte(u))
		}
	}
	return out
}

// A file in UTF-16 is named as such wherever one is read, and read where it is a wire list, whichever way round its bytes are; a
// byte-order mark before UTF-8 changes nothing, and nor do the line ends of another system.
func TestEncodingsOfInputs(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	t.Setenv("XDG_DATA_HOME", filepath.Join(dir, "data"))
	makeInputs(t)
	require.NoError(t, os.WriteFile("scores.jsonl", nil, 0o644))
	for name, args := range map[string]string{
		"panel.yaml":                "verify @",
		"log.jsonl":                 "next panel.yaml --json --log @",
		"ex/packets/001-ada.packet": "exam sit @ --json --answers sat",
		"pass.txt":                  "exam key ex --json --passphrase-file @",
		"wires.csv":                 "import @ -o new.yaml",
		"rungs.yaml":                "wire @ --json",
	} {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		try := func(text []byte) (int, string) {
			require.NoError(t, os.WriteFile("tried", text, 0o644))
			var out, errs bytes.Buffer
			status := run(strings.Fields(strings.ReplaceAll(args, "@", "tried")),
				streams{in: strings.NewReader("stop\n"), out: &out, err: &errs})
			return status, errs.String()
		}
		for _, little := range []bool{true, false} {
			for _, marked := range []bool{true, false} {
				status, said := try(inUTF16(text, little, marked))
				if strings.HasPrefix(args, "import") { // spreadsheets save lists so
					assert.Zero(t, status, said)
					assert.Contains(t, said, "warning: the list is read as UTF-16", name)
					continue
				}
				assert.Equal(t, exitInput, status, "%s: %s", name, said)
				assert.Contains(t, said, "tried:1:1: the file is in UTF-16", name)
			}
		}
		want, _ := try(text)
		for _, other := range [][]byte{append([]byte(circuits.ByteOrderMark), text...), bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n"))} {
			status, said := try(other)
			assert.Equal(t, want, status, "%s: %s", name, said)
		}
	}
}
