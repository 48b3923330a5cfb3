package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/talk"
)

// full takes so many bytes and no more, as a disk does.
type full struct{ room int }

var errFull = errors.New("no space left")

func (f *full) Write(b []byte) (int, error) {
	n := min(len(b), f.room)
	f.room -= n
	if n < len(b) {
		return n, errFull
	}
	return n, nil
}

// A result that cannot be written whole is a failure of every command, told once.
func TestResultCannotBeWritten(t *testing.T) {
	for _, args := range [][]string{
		{}, {"--help"}, {"help", "verify"}, {"verify", "--help"},
		{"verify", "two-lamp"}, {"verify", "two-lamp", "--json"},
		{"operate", "two-lamp"}, {"operate", "two-lamp", "--json"},
		{"faults", "two-lamp"}, {"faults", "two-lamp", "--json"}, {"faults", "two-lamp", "--weights"}, {"faults", "two-lamp", "--weights", "--json"},
		{"readings", "two-lamp"}, {"readings", "two-lamp", "--json"}, {"readings", "two-lamp", "--assumptions"}, {"readings", "two-lamp", "--assumptions", "--json"},
		{"next", "two-lamp"}, {"next", "two-lamp", "--json"},
		{"testability", "two-lamp", "--effort", "0"}, {"testability", "two-lamp", "--effort", "0", "--json"},
		{"circuits"}, {"circuits", "--json"}, {"circuits", "show", "two-lamp"},
		{"find", "two-lamp", "--simulate", "any", "--seed", "1"}, {"find", "two-lamp", "--simulate", "any", "--seed", "1", "--json"},
		{"find"}, {"find", "two-lamp"},
	} {
		t.Run(strings.Join(args, " "), func(t *testing.T) {
			typed := "none\nstop\n"
			var whole, errs bytes.Buffer
			require.Equal(t, exitDone,
				run(args, streams{in: strings.NewReader(typed), out: &whole, err: &errs}), errs.String())
			for _, room := range []int{0, whole.Len() / 2, whole.Len() - 1} {
				errs.Reset()
				status := run(args, streams{in: strings.NewReader(typed), out: &full{room}, err: &errs})
				assert.Equal(t, exitFailed, status, "with room for %d of %d bytes", room, whole.Len())
				assert.Equal(t, "deadrung: cannot write the result: no space left\n", errs.String())
			}
			assert.Equal(t, exitDone,
				run(args, streams{in: strings.NewReader(typed), out: &full{whole.Len()}, err: &errs}))
		})
	}
}

// A session whose questions nobody can see does not wait for answers.
func TestFindEndsWhereNothingIsSeen(t *testing.T) {
	in, typing := io.Pipe() // nobody types
	defer typing.Close()
	var errs bytes.Buffer
	assert.Equal(t, exitFailed, run([]string{"find", "two-lamp"}, streams{in: in, out: &full{100}, err: &errs}))
	assert.Equal(t, "deadrung: cannot write the result: no space left\n", errs.String())
}

// The file of -o as well.
func TestOutputFileCannotBeWritten(t *testing.T) {
	const device = "/dev/full"
	if _, err := os.Stat(device); err != nil {
		t.Skip("no device here that is always full")
	}
	for _, args := range [][]string{
		{"operate", "two-lamp"}, {"operate", "two-lamp", "--json"}, {"faults", "two-lamp"}, {"faults", "two-lamp", "--json"},
		{"readings", "two-lamp"}, {"next", "two-lamp"}, {"next", "two-lamp", "--json"}, {"testability", "two-lamp", "--effort", "0"},
	} {
		status, out, errs := runOn(t, append(args, "-o", device)...)
		assert.Equal(t, exitFailed, status, "%v", args)
		assert.Empty(t, out)
		assert.Regexp(t, "^deadrung: cannot write the result: .*\n$", errs, "%v", args)
	}
}

func TestResultWriter(t *testing.T) {
	r := &talk.Result{To: &full{3}}
	n, err := r.Write([]byte("ab"))
	require.NoError(t, err)
	assert.Equal(t, 2, n)
	n, err = r.Write([]byte("cd"))
	assert.Equal(t, 1, n)
	assert.ErrorIs(t, err, errFull)
	n, again := r.Write([]byte("e"))
	assert.Zero(t, n)
	assert.Equal(t, err, again, "the first failure stays")

	f, err := os.Create(filepath.Join(t.TempDir(), "a"))
	require.NoError(t, err)
	defer f.Close()
	assert.Equal(t, f, talk.FileOf(f))
	assert.Equal(t, f, talk.FileOf(&talk.Result{To: f}))
	assert.Nil(t, talk.FileOf(&bytes.Buffer{}))
	assert.Nil(t, talk.FileOf(&talk.Result{To: &bytes.Buffer{}}))
}
