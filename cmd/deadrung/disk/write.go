package disk

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Modes of a new file, before the system takes from it what it does.
const (
	Public  fs.FileMode = 0o666
	Private fs.FileMode = 0o600 // its owner's alone
)

// Write puts what is written into a file, whole: it is written beside its place, brought to
// the disk and renamed, so that whoever reads the file sees the old one or the new one. What
// is no ordinary file, as a pipe, is written to as it is.
func (f *Files) Write(path string, write func(io.Writer) error) error {
	return f.write(path, write, Public)
}

// WritePrivate is as Write, and a new file is its owner's alone.
func (f *Files) WritePrivate(path string, write func(io.Writer) error) error {
	return f.write(path, write, Private)
}

func (f *Files) write(path string, write func(io.Writer) error, fresh fs.FileMode) error {
	if err := f.Err(); err != nil {
		return err
	}
	if !f.claimed(path) {
		if err := f.Claim("the file", path); err != nil {
			return err
		}
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	return Put(path, b.Bytes(), fresh)
}

// claimed tells whether a file was claimed, and so was held against every input.
func (f *Files) claimed(path string) bool {
	p := at(path)
	return f != nil && slices.ContainsFunc(f.claims, func(c claim) bool { return c.same(p) })
}

// MayWrite tells why a file cannot be written, before any work is done for it. Nothing is
// left behind.
func MayWrite(path string) error {
	if straight(path) {
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		return f.Close()
	}
	path, mode, err := target(path)
	if err != nil {
		return err
	}
	f, err := beside(path, mode, Private)
	if err != nil {
		return err
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

// Put puts a text into a file as [Files.Write] does. A new file gets the mode.
func Put(path string, text []byte, fresh fs.FileMode) error {
	if straight(path) {
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
		if err != nil {
			return err
		}
		_, err = f.Write(text)
		return errors.Join(err, f.Close())
	}
	path, mode, err := target(path)
	if err != nil {
		return err
	}
	f, err := beside(path, mode, fresh)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
		return err
	}
	syncFolder(filepath.Dir(path))
	return nil
}

// PutNew makes a file that must not be there yet, and brings it to the disk. An error leaves
// none behind.
func PutNew(path string, text []byte, fresh fs.FileMode) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, fresh)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		os.Remove(path)
		return err
	}
	syncFolder(filepath.Dir(path))
	return nil
}

// straight tells whether a path is of something that cannot be renamed over: a device, a pipe,
// an open file by its number, as /dev/stdout is.
func straight(path string) bool {
	if whole, err := filepath.Abs(path); err == nil {
		for _, root := range []string{"/dev/", "/proc/"} {
			if strings.HasPrefix(whole, root) {
				_, err := os.Stat(path)
				return err == nil
			}
		}
	}
	info, err := os.Stat(path)
	return err == nil && !info.Mode().IsRegular() && !info.IsDir()
}

// target finds where a file lies that a path leads to, and its mode; a file that may not be
// written stays as it is.
func target(path string) (string, fs.FileMode, error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return resolved(path), 0, nil
	}
	if err != nil {
		return "", 0, err
	}
	if info.IsDir() {
		return "", 0, &fs.PathError{Op: "write", Path: path, Err: errors.New("is a directory")}
	}
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return "", 0, err
	}
	return resolved(path), info.Mode().Perm(), f.Close()
}

// beside makes a file beside another one, with its mode; where that is zero, with the mode of a
// new one.
func beside(path string, mode, fresh fs.FileMode) (*os.File, error) {
	dir, base := filepath.Split(path)
	if r := []rune(base); len(r) > 40 { // a name has its limits
		base = string(r[:40])
	}
	for range 100 {
		name := filepath.Join(dir, fmt.Sprintf(".%s-%08x.tmp", base, rand.Uint32()))
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, fresh)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err == nil && mode != 0 {
			if err = f.Chmod(mode); err != nil {
				f.Close()
				os.Remove(name)
			}
		}
		return f, err
	}
	return nil, fmt.Errorf("no name is free beside %s", path)
}

// syncFolder brings a new name to the disk, where the system can.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync() // some systems have no such thing
		d.Close()
	}
}
