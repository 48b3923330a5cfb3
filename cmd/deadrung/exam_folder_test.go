//go:build unix

package main

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/talk"
)

// An exam's folder is there whole or not at all, in a place of its own or in an empty folder.
func TestNewExamFolder(t *testing.T) {
	fill := func(dir string) error {
		for _, name := range []string{packetsDir, answersDir} {
			require.NoError(t, os.Mkdir(filepath.Join(dir, name), 0o755))
		}
		require.NoError(t, disk.PutNew(filepath.Join(dir, keyFile), []byte("key"), disk.Private))
		require.NoError(t,
			disk.PutNew(filepath.Join(dir, packetsDir, "001.packet"), []byte("packet"), disk.Private))
		return disk.PutNew(filepath.Join(dir, examFile), []byte("exam"), disk.Private)
	}
	names := func(dir string) (out []string) {
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		for _, e := range entries {
			out = append(out, e.Name())
		}
		return out
	}
	whole := []string{answersDir, examFile, keyFile, packetsDir}
	above := t.TempDir()
	require.NoError(t, newExamFolder(filepath.Join(above, "new"), fill))
	assert.Equal(t, whole, names(filepath.Join(above, "new")))

	require.NoError(t, os.Mkdir(filepath.Join(above, "empty"), 0o755))
	require.NoError(t, newExamFolder(filepath.Join(above, "empty"), fill))
	assert.Equal(t, whole, names(filepath.Join(above, "empty")))

	halfWay := func(dir string) error { return errors.Join(fill(dir), talk.ErrInterrupted) }
	assert.ErrorIs(t, newExamFolder(filepath.Join(above, "stopped"), halfWay), talk.ErrInterrupted)
	assert.Equal(t, []string{"empty", "new"}, names(above), "nothing is left behind")
}

// What names a fault, or could be made to, is for its owner's eyes: the folder of an exam,
// every file in it, the answers and the marks.
func TestExamFilesAreTheOwnersAlone(t *testing.T) {
	dir := examIn(t, "two-lamp", "--count", "2")
	t.Setenv(passphraseVariable, testPhrase)
	answers := filepath.Join(t.TempDir(), "answers")
	out, status := sits(t, filepath.Join(dir, packetsDir, "001-candidate-1"+packetEnd), answers, "",
		"work 1\nlook H1\nstop\n")
	require.Equal(t, exitDone, status, out)
	require.Equal(t, exitDone, run([]string{"exam", "mark", dir, "--answers", answers, "-o", os.DevNull},
		streams{out: os.Stdout, err: os.Stderr}))
	files := 0
	for _, top := range []string{dir, answers} {
		require.NoError(t, filepath.WalkDir(top, func(name string, d os.DirEntry, err error) error {
			require.NoError(t, err)
			info, err := d.Info()
			require.NoError(t, err)
			assert.Zero(t, info.Mode().Perm()&0o077, "%s is %v", name, info.Mode())
			files++
			return nil
		}))
	}
	assert.Greater(t, files, 10)
}
