package disk

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Journal is a file that grows line by line, and is this program's alone while it is open. A
// line is on the disk when [Journal.Append] returns, or nothing of it is there. Before each
// line the file is held against what is known of it.
type Journal struct {
	name  string
	f     file
	text  []byte // what is in the file
	fresh fs.FileMode
	torn  bool // a failed line could not be cut off again
}

// file is what a journal needs of an open file.
type file interface {
	io.ReadWriteCloser
	io.ReaderAt
	Truncate(size int64) error
	Sync() error
	Stat() (fs.FileInfo, error)
}

// ErrInUse is a journal that another program has open.
var ErrInUse = errors.New("another session is using it")

// Failed is a line that could not be brought to the disk, and is not in the file.
type Failed struct {
	Name string
	Err  error
}

func (e *Failed) Error() string {
	return fmt.Sprintf("the file %s cannot be written: %v", e.Name, e.Err)
}
func (e *Failed) Unwrap() error { return e.Err }

// Changed is a journal that something else has changed, replaced or taken away meanwhile.
// Nothing was added to what is there now.
type Changed struct{ Name, How string }

func (e *Changed) Error() string {
	return fmt.Sprintf("the file %s %s while this session was going on", e.Name, e.How)
}

// Changed tells that something else has changed the file; for who does not know the type.
func (e *Changed) Changed() bool { return true }

// OpenJournal opens a journal and reads it, or begins a new one with the mode. It fails with
// [ErrInUse] where another program has it open.
func OpenJournal(name string, fresh fs.FileMode) (*Journal, error) {
	if info, err := os.Stat(name); err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is not an ordinary file", name)
	}
	for range 10 {
		f, err := os.OpenFile(name, os.O_RDWR|os.O_APPEND|os.O_CREATE, fresh)
		if err != nil {
			return nil, err
		}
		j := &Journal{name: name, f: f, fresh: fresh}
		if err = lock(f); err == nil {
			if !j.there() { // replaced between the two
				f.Close()
				continue
			}
			j.text, err = io.ReadAll(f)
		}
		if err != nil {
			f.Close()
			return nil, err
		}
		return j, nil
	}
	return nil, fmt.Errorf("%s is being replaced again and again", name)
}

// Name is the path of the file.
func (j *Journal) Name() string { return j.name }

// Text is what is in the file. It is not to be changed.
func (j *Journal) Text() []byte { return j.text }

// Cut takes off what stands behind so many bytes: a line that was cut short.
func (j *Journal) Cut(size int) error {
	if size >= len(j.text) {
		return nil
	}
	if err := errors.Join(j.f.Truncate(int64(size)), j.f.Sync()); err != nil {
		return &Failed{j.name, err}
	}
	j.text = j.text[:size:size]
	return nil
}

// Append adds lines and waits until they are on the disk. The error is a [Failed] or a
// [Changed]; the file then holds what it held before.
func (j *Journal) Append(lines []byte) error {
	if err := j.unchanged(); err != nil {
		return err
	}
	n, err := j.f.Write(lines)
	if err == nil {
		err = j.f.Sync()
	}
	if err != nil {
		if n > 0 {
			j.torn = true
			_ = j.mend() // tried again before the next line
		}
		return &Failed{j.name, err}
	}
	j.text = append(j.text, lines...)
	return nil
}

// mend cuts off what a failed line has left.
func (j *Journal) mend() error {
	if !j.torn {
		return nil
	}
	if err := j.f.Truncate(int64(len(j.text))); err != nil {
		return &Failed{j.name, err}
	}
	j.torn = false
	_ = j.f.Sync()
	return nil
}

// compared is how much of a journal's end is read again before each line.
const compared = 64 << 10

// unchanged sees that the file is what this program has made of it.
func (j *Journal) unchanged() error {
	now, err := os.Stat(j.name)
	if errors.Is(err, fs.ErrNotExist) {
		return &Changed{j.name, "was taken away"}
	}
	if err != nil {
		return &Failed{j.name, err}
	}
	own, err := j.f.Stat()
	if err != nil {
		return &Failed{j.name, err}
	}
	if !os.SameFile(now, own) {
		return &Changed{j.name, "was replaced by another file"}
	}
	if j.torn && own.Size() > int64(len(j.text)) {
		if err := j.mend(); err != nil {
			return err
		}
	} else if own.Size() != int64(len(j.text)) {
		return &Changed{j.name, "was changed by something else"}
	}
	end := j.text[max(0, len(j.text)-compared):]
	there := make([]byte, len(end))
	if n, err := j.f.ReadAt(there, int64(len(j.text)-len(end))); n < len(end) {
		return &Failed{j.name, err}
	}
	if !bytes.Equal(end, there) {
		return &Changed{j.name, "was changed by something else"}
	}
	return nil
}

// there tells whether the file still has its name.
func (j *Journal) there() bool {
	now, err := os.Stat(j.name)
	own, errOwn := j.f.Stat()
	return err == nil && errOwn == nil && os.SameFile(now, own)
}

// MoveTo goes on with another file, which must not be there yet: it gets all that is in this
// one, and the lines.
func (j *Journal) MoveTo(name string, lines []byte) error {
	f, err := os.OpenFile(name, os.O_RDWR|os.O_APPEND|os.O_CREATE|os.O_EXCL, j.fresh)
	if err != nil {
		return &Failed{name, err}
	}
	next := &Journal{name: name, f: f, fresh: j.fresh}
	if err = lock(f); err == nil {
		err = next.Append(append(bytes.Clone(j.text), lines...))
	}
	if err != nil {
		f.Close()
		os.Remove(name)
		return err
	}
	syncFolder(filepath.Dir(name))
	j.f.Close()
	*j = *next
	return nil
}

// PutBack writes the journal anew under its own name, with the lines. What stands there now is
// kept under another name, which is given back; it is empty where nothing was there.
func (j *Journal) PutBack(lines []byte) (aside string, err error) {
	dir, base := filepath.Split(j.name)
	for i := 1; ; i++ {
		aside = filepath.Join(dir, fmt.Sprintf(".%s.changed-%d", base, i))
		if _, err := os.Lstat(aside); errors.Is(err, fs.ErrNotExist) {
			break
		}
	}
	switch err := os.Rename(j.name, aside); {
	case errors.Is(err, fs.ErrNotExist):
		aside = ""
	case err != nil:
		return "", &Failed{j.name, err}
	}
	if err := j.MoveTo(j.name, lines); err != nil {
		if aside != "" {
			_ = os.Rename(aside, j.name) // it is there as it was
		}
		return "", err
	}
	return aside, nil
}

// Renew writes the journal anew with another text. What it was is kept under another name, which
// is given back.
func (j *Journal) Renew(text []byte) (aside string, err error) {
	if err := j.unchanged(); err != nil {
		return "", err
	}
	was := j.text
	j.text = nil
	if aside, err = j.PutBack(text); err != nil {
		j.text = was
	}
	return aside, err
}

// Close closes the journal, which another program may open then.
func (j *Journal) Close() error { return j.f.Close() }
