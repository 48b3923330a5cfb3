package drawing_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
)

func builtin(t testing.TB, name string) *circuits.Circuit {
	t.Helper()
	text, ok := circuits.BuiltinText(name)
	require.True(t, ok)
	c, problems := read.Read(name+".yaml", text)
	require.NoError(t, problems.Err())
	return c
}

// The rungs of a three-wire start and stop are those that a person would draw.
func TestRungsOfAStarter(t *testing.T) {
	d := drawing.New(builtin(t, "start-stop"))
	var rungs []string
	for _, r := range d.Rungs {
		line := ""
		for _, p := range r.Parts {
			line += p.Name() + " "
		}
		rungs = append(rungs, line)
	}
	require.Contains(t, rungs, "PB1 PB2 M1 OL1 ")
	require.Contains(t, rungs, "M1 H2 ")
	require.Equal(t, d.Of("PB1:11"), d.Of("OL1:96"))
}
