package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
)

// A panel that nobody would wait for is told before the work begins, by every command that works
// its faults through; with --large it is begun.
func TestTooBigIsToldAtOnce(t *testing.T) {
	const lamps = 21_000
	var devices, hot, ret strings.Builder
	for i := range lamps {
		fmt.Fprintf(&devices, "  H%d: {type: lamp, va: 0.001}\n", i)
		fmt.Fprintf(&hot, ", H%d:1", i)
		fmt.Fprintf(&ret, ", H%d:2", i)
	}
	file := filepath.Join(t.TempDir(), "lamps.yaml")
	text := "circuit: Lamps\ndevices:\n  T1: {type: control-transformer, volts: 120}\n" + devices.String() +
		"wires:\n  1: [T1:X1" + hot.String() + "]\n  2: [T1:X2" + ret.String() + "]\noperation:\n  - step: at rest\n"
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	require.Greater(t, 2*lamps, diagnose.MostTerminals)
	for _, command := range [][]string{
		{"next"}, {"faults"}, {"testability"}, {"chart"}, {"find"}, {"practice"},
		{"wirelist", "--check-out"}, {"folder", "-o", filepath.Join(t.TempDir(), "folder")},
		{"page", "-o", filepath.Join(t.TempDir(), "page.html")}, {"exam", "set", "--count", "1", "-o", filepath.Join(t.TempDir(), "exam")},
	} {
		var out, err bytes.Buffer
		require.Equal(t, exitFailed, run(append(command, file), streams{in: strings.NewReader(""), out: &out, err: &err}),
			"%v: %s", command, err.String())
		for _, told := range []string{"is too big", "42004 terminals on 21001 devices", "42000 wires", "1 step", " GB of memory", "--large"} {
			require.Contains(t, err.String(), told, "%v", command)
		}
	}
}

// The panels that figures are measured on are not too big at 1000 rungs.
func TestFiguresAreNotTooBig(t *testing.T) {
	s := diagnose.Size{Terminals: 25_000, Steps: 17}
	require.False(t, s.TooBig())
	s.Terminals = 50_000
	require.True(t, s.TooBig())
}
