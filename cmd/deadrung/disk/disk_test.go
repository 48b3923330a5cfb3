package disk

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}

func content(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	return string(b)
}

func names(t *testing.T, dir string) (all []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		all = append(all, e.Name())
	}
	return all
}

// A file is replaced at once, through a link, with its mode, and nothing is left beside it.
func TestWrite(t *testing.T) {
	t.Chdir(t.TempDir())
	var f Files
	require.NoError(t, f.Write("a", text("one")))
	require.NoError(t, os.Chmod("a", 0o640))
	require.NoError(t, os.Symlink("a", "b"))
	require.NoError(t, f.Write("b", text("two")))
	assert.Equal(t, "two", content(t, "a"))
	info, err := os.Lstat("a")
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode())
	require.NoError(t, os.Symlink("later", "c"))
	require.NoError(t, f.Write("c", text("three")))
	assert.Equal(t, "three", content(t, "later"), "a link to nothing yet")
	assert.Equal(t, []string{"a", "b", "c", "later"}, names(t, "."))
	require.Error(t, f.Write("none/a", text("x")))
	require.Error(t, f.Write(".", text("x")))
	require.NoError(t, (*Files)(nil).Write("d", text("four")))

	failed := errors.New("half way")
	err = f.Write("a", func(w io.Writer) error {
		_, _ = io.WriteString(w, "half")
		return failed
	})
	assert.ErrorIs(t, err, failed)
	assert.Equal(t, "two", content(t, "a"), "what is not whole changes nothing")
}

// What is no ordinary file is written to as it is.
func TestWriteStraight(t *testing.T) {
	var f Files
	require.NoError(t, f.Write(os.DevNull, text("nothing")))
	info, err := os.Stat(os.DevNull)
	require.NoError(t, err)
	assert.False(t, info.Mode().IsRegular(), "it is still the device")
	require.NoError(t, MayWrite(os.DevNull))
}

func TestMayWrite(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, MayWrite("a"))
	assert.Empty(t, names(t, "."), "to look leaves nothing")
	require.NoError(t, os.WriteFile("a", []byte("x"), 0o644))
	require.NoError(t, MayWrite("a"))
	assert.Equal(t, "x", content(t, "a"))
	require.Error(t, MayWrite("none/a"))
	require.Error(t, MayWrite("."))
}

// An output that is an input is refused whichever comes first, and nothing is written then.
func TestClash(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	require.NoError(t, os.WriteFile("in", []byte("x"), 0o644))
	require.NoError(t, os.Symlink("in", "soft"))
	require.NoError(t, os.Link("in", "hard"))
	require.NoError(t, os.Mkdir("sub", 0o755))
	require.NoError(t, os.Symlink(dir, "sub/up"))
	var clash *Clash
	for _, name := range []string{"in", "./in", filepath.Join(dir, "in"), "soft", "hard", "sub/../in",
		"sub/up/in", "sub/up/hard"} {
		first := new(Files)
		require.NoError(t, first.Claim("-o", name))
		_, err := first.Read("in")
		require.ErrorAs(t, err, &clash, name)
		if name == "in" {
			assert.EqualError(t, err, "-o in would write over what this command reads; name another file")
		} else {
			assert.EqualError(t, err, "-o "+name+" would write over in, which this command reads; name another file")
		}
		assert.ErrorAs(t, first.Err(), &clash)
		assert.ErrorAs(t, first.Write("elsewhere", text("y")), &clash, "nothing is written any more")

		last := new(Files)
		_, err = last.Read("in")
		require.NoError(t, err)
		assert.ErrorAs(t, last.Claim("-o", name), &clash, name)

		never := new(Files)
		_, err = never.Read("in")
		require.NoError(t, err)
		assert.ErrorAs(t, never.Write(name, text("y")), &clash, name)

		kept := new(Files)
		require.NoError(t, kept.Claim("--log", "in"))
		_, err = kept.ReadKept("in")
		require.NoError(t, err, "a file that is added to is read for that")
		assert.ErrorAs(t, kept.Claim("--report", name), &clash, name)
	}
	assert.Equal(t, "x", content(t, "in"))
	assert.NoFileExists(t, "elsewhere")

	both := new(Files)
	require.NoError(t, both.Claim("--log", "new"))
	assert.EqualError(t, both.Claim("--report", "./new"), "--log and --report need a file each",
		"though none is there yet")
	free := new(Files)
	require.NoError(t, free.Claim("--log", os.DevNull))
	require.NoError(t, free.Claim("--report", os.DevNull), "a device takes all")
	require.NoError(t, free.Claim("-o", "-"))
	require.NoError(t, free.Claim("-o", ""))

	stdin, err := os.Open("hard")
	require.NoError(t, err)
	defer stdin.Close()
	piped := new(Files)
	require.NoError(t, piped.Claim("-o", "in"))
	assert.ErrorAs(t, piped.Stream(stdin, "standard input"), &clash)
}

func TestPutNew(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, PutNew("a", []byte("one"), Private))
	require.ErrorIs(t, PutNew("a", []byte("two"), Public), os.ErrExist)
	assert.Equal(t, "one", content(t, "a"))
}

func TestWithin(t *testing.T) {
	dir := t.TempDir()
	logs := filepath.Join(dir, "logs")
	require.NoError(t, os.Mkdir(logs, 0o700))
	link := filepath.Join(dir, "link")
	require.NoError(t, os.Symlink(logs, link))
	for file, want := range map[string]bool{
		filepath.Join(logs, "board.html"):             true,
		filepath.Join(logs, "deeper", "board.html"):   true,
		filepath.Join(link, "board.html"):             true,
		logs:                                          true,
		filepath.Join(dir, "board.html"):              false,
		filepath.Join(logs, "..", "board.html"):       false,
		filepath.Join(dir, "logs-of-may", "new.html"): false,
	} {
		assert.Equal(t, want, Within(file, logs), file)
		assert.Equal(t, want, Within(file, link), file)
	}
}
