package main

import (
	"context"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/talk"
)

// What ends the context of a command ends its work, and nothing is written.
func TestInterruptedAtWork(t *testing.T) {
	dir := t.TempDir()
	for _, command := range []string{
		"next start-stop --json",
		"faults start-stop",
		"testability start-stop",
		"chart start-stop",
		"folder start-stop -o " + dir + "/folder",
		"find start-stop --simulate any --seed 1",
		"exam set start-stop --count 2 --passphrase-file ../../LICENSE --work-factor 1 --dir " + dir + "/exam",
	} {
		t.Run(command, func(t *testing.T) {
			var out strings.Builder
			root := newRoot(streams{in: strings.NewReader(""), out: &out, err: io.Discard, files: new(disk.Files)})
			root.SetArgs(strings.Fields(command))
			ctx, end := context.WithCancel(t.Context())
			end()
			require.ErrorIs(t, root.ExecuteContext(ctx), talk.ErrInterrupted)
			require.Empty(t, out.String())
			require.NoDirExists(t, dir+"/folder")
			require.NoDirExists(t, dir+"/exam")
		})
	}
}
