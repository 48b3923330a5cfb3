package disk

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// small is a file on a disk with little room. It may refuse to be cut, and to be synced.
type small struct {
	*os.File
	room            int
	uncut, unsynced bool
}

var errNoRoom = errors.New("no space left")

func (s *small) Write(b []byte) (int, error) {
	n, err := s.File.Write(b[:min(len(b), s.room)])
	s.room -= n
	if err == nil && n < len(b) {
		err = errNoRoom
	}
	return n, err
}

func (s *small) Truncate(size int64) error {
	if s.uncut {
		return errNoRoom
	}
	return s.File.Truncate(size)
}

func (s *small) Sync() error {
	if s.unsynced {
		return errNoRoom
	}
	return s.File.Sync()
}

func opened(t *testing.T, name string) *Journal {
	t.Helper()
	j, err := OpenJournal(name, Private)
	require.NoError(t, err)
	t.Cleanup(func() { j.Close() })
	return j
}

func TestJournal(t *testing.T) {
	t.Chdir(t.TempDir())
	j := opened(t, "log")
	require.NoError(t, j.Append([]byte("one\n")))
	require.NoError(t, j.Append([]byte("two\n")))
	assert.Equal(t, "one\ntwo\n", content(t, "log"))
	require.NoError(t, j.Close())
	again := opened(t, "log")
	assert.Equal(t, "one\ntwo\n", string(again.Text()))
	require.NoError(t, again.Cut(6))
	assert.Equal(t, "one\ntw", content(t, "log"))
	require.NoError(t, again.Append([]byte("o\n")))
	assert.Equal(t, "one\ntwo\n", content(t, "log"))
	_, err := OpenJournal(".", Private)
	require.Error(t, err)
	_, err = OpenJournal("none/log", Private)
	require.Error(t, err)
}

// Two programs never write one journal.
func TestJournalInUse(t *testing.T) {
	t.Chdir(t.TempDir())
	j := opened(t, "log")
	require.NoError(t, os.Symlink("log", "soft"))
	require.NoError(t, os.Link("log", "hard"))
	for _, name := range []string{"log", "soft", "hard"} {
		_, err := OpenJournal(name, Private)
		assert.ErrorIs(t, err, ErrInUse, name)
	}
	require.NoError(t, j.Close())
	opened(t, "hard")
}

// A full disk, at every byte of a line: nothing of the line stays, and the next line stands
// alone once there is room. So it is where the half line cannot even be cut off at once.
func TestJournalFullDisk(t *testing.T) {
	t.Chdir(t.TempDir())
	const line = "{\"look\":\"H1\",\"saw\":\"off\"}\n"
	for room := range len(line) {
		for _, uncut := range []bool{false, true} {
			name := fmt.Sprint("log", room, uncut)
			j := opened(t, name)
			require.NoError(t, j.Append([]byte("first\n")))
			disk := &small{File: j.f.(*os.File), room: room, uncut: uncut}
			j.f = disk
			var failed *Failed
			require.ErrorAs(t, j.Append([]byte(line)), &failed)
			assert.ErrorIs(t, failed, errNoRoom)
			if !uncut {
				assert.Equal(t, "first\n", content(t, name))
			}
			require.Error(t, j.Append([]byte(line)), "still no room")
			disk.room, disk.uncut = 1000, false
			require.NoError(t, j.Append([]byte(line)))
			assert.Equal(t, "first\n"+line, content(t, name))
		}
	}
	j := opened(t, "synced")
	disk := &small{File: j.f.(*os.File), room: 1000, unsynced: true}
	j.f = disk
	require.Error(t, j.Append([]byte(line)))
	assert.Empty(t, content(t, "synced"), "what may not be on the disk is not kept")
	disk.unsynced = false
	require.NoError(t, j.Append([]byte(line)))
	assert.Equal(t, line, content(t, "synced"))
}

// Whatever else touches the file is found before a line is added, and nothing is added to it.
func TestJournalChanged(t *testing.T) {
	for _, c := range []struct {
		name  string
		touch func(t *testing.T)
		want  string
	}{
		{"saved by an editor", func(t *testing.T) {
			require.NoError(t, os.WriteFile("new", []byte("one\ntwo\n"), 0o600))
			require.NoError(t, os.Rename("new", "log"))
		}, "the file log was replaced by another file while this session was going on"},
		{"taken away", func(t *testing.T) { require.NoError(t, os.Remove("log")) }, "the file log was taken away while this session was going on"},
		{"a line more", func(t *testing.T) {
			require.NoError(t, os.WriteFile("log", []byte("one\ntwo\nthree\n"), 0o600))
		}, "the file log was changed by something else while this session was going on"},
		{"a line less", func(t *testing.T) { require.NoError(t, os.Truncate("log", 4)) }, "the file log was changed by something else while this session was going on"},
		{"another line", func(t *testing.T) {
			require.NoError(t, os.WriteFile("log", []byte("one\nTWO\n"), 0o600))
		}, "the file log was changed by something else while this session was going on"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			j := opened(t, "log")
			require.NoError(t, j.Append([]byte("one\n")))
			require.NoError(t, j.Append([]byte("two\n")))
			c.touch(t)
			there, _ := os.ReadFile("log")
			var changed *Changed
			err := j.Append([]byte("more\n"))
			require.ErrorAs(t, err, &changed)
			assert.Equal(t, c.want, err.Error())
			now, _ := os.ReadFile("log")
			assert.Equal(t, string(there), string(now), "nothing is added to it")

			aside, err := j.PutBack([]byte("more\n"))
			require.NoError(t, err)
			assert.Equal(t, "one\ntwo\nmore\n", content(t, "log"))
			if there != nil {
				assert.Equal(t, string(there), content(t, aside), "nor is it thrown away")
			} else {
				assert.Empty(t, aside)
			}
			require.NoError(t, j.Append([]byte("last\n")))
			assert.Equal(t, "one\ntwo\nmore\nlast\n", content(t, "log"))
			_, err = OpenJournal("log", Private)
			assert.ErrorIs(t, err, ErrInUse)
		})
	}
}

// A session goes on with another file, which then holds everything.
func TestJournalMoves(t *testing.T) {
	t.Chdir(t.TempDir())
	j := opened(t, "log")
	require.NoError(t, j.Append([]byte("one\n")))
	require.NoError(t, os.WriteFile("there", []byte("mine"), 0o600))
	require.ErrorIs(t, j.MoveTo("there", []byte("two\n")), fs.ErrExist)
	assert.Equal(t, "mine", content(t, "there"))
	require.Error(t, j.MoveTo("none/log", []byte("two\n")))
	require.NoError(t, j.MoveTo("other", []byte("two\n")))
	assert.Equal(t, "other", j.Name())
	require.NoError(t, j.Append([]byte("three\n")))
	assert.Equal(t, "one\ntwo\nthree\n", content(t, "other"))
	assert.Equal(t, "one\n", content(t, "log"))
	opened(t, "log") // which is free
}

// A journal as long as a long day is compared at its end alone, and still found changed there.
func TestJournalLong(t *testing.T) {
	t.Chdir(t.TempDir())
	long := strings.Repeat("a line of the log\n", 2*compared/18)
	require.NoError(t, os.WriteFile("log", []byte(long), 0o600))
	j := opened(t, "log")
	require.NoError(t, j.Append([]byte("one\n")))
	require.NoError(t, os.WriteFile("log", []byte(long+"two\n"), 0o600))
	var changed *Changed
	assert.ErrorAs(t, j.Append([]byte("more\n")), &changed)
}
