// Package disk is how a command reads and writes files, so that none destroys what it read.
//
// Before a command runs, it claims the files that it will write ([Files.Claim]). Every file
// that it then reads is held against them ([Files.Read]): an output that is one of the inputs,
// by another path or by a link, is a [Clash], and nothing is written after it. A result is
// written beside its place and put there whole ([Files.Write]): a full disk leaves what was
// there. What grows line by line is a [Journal].
package disk

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
)

// Files are those of one run of a command. The zero value has claimed nothing; nil does, too.
type Files struct {
	claims []claim
	inputs []place
	clash  error
}

// claim is a file that is to be written.
type claim struct {
	place
	what string // as it was asked for, as -o or --report
}

// Clash is an output that is an input of the same command, or another output of it.
type Clash struct {
	Output string // by what it was asked for, as -o
	Path   string // of the output
	In     string // the path of the input, or by what the other output was asked for
	both   bool
}

func (c *Clash) Error() string {
	if c.both {
		return fmt.Sprintf("%s and %s need a file each", c.Output, c.In)
	}
	if c.Path == c.In {
		return fmt.Sprintf("%s %s would write over what this command reads; name another file", c.Output, c.Path)
	}
	return fmt.Sprintf("%s %s would write over %s, which this command reads; name another file",
		c.Output, c.Path, c.In)
}

// Claim tells that a file will be written, and by what it was asked for, as -o. Nothing is
// claimed by an empty path or by -, which is standard output.
//
// What is claimed may be read all the same by [Files.ReadKept], to be added to or renewed.
func (f *Files) Claim(what, path string) error {
	if f == nil || path == "" || path == "-" {
		return nil
	}
	c := claim{place: at(path), what: what}
	for _, other := range f.claims {
		if other.same(c.place) && c.replaced() {
			return f.clashed(&Clash{Output: other.what, In: c.what, both: true})
		}
	}
	for _, in := range f.inputs {
		if in.same(c.place) && c.replaced() {
			return f.clashed(&Clash{Output: c.what, Path: c.path, In: in.path})
		}
	}
	f.claims = append(f.claims, c)
	return nil
}

// Over is as Claim for a file of many, which may be claimed twice.
func (f *Files) Over(what, path string) error {
	p := at(path)
	if f != nil && slices.ContainsFunc(f.claims, func(c claim) bool { return c.what == what && c.same(p) }) {
		return nil
	}
	return f.Claim(what, path)
}

func (f *Files) clashed(c *Clash) error {
	f.clash = c
	return c
}

// Input tells that a file is read, however that is done. The error is a [Clash] where it is
// to be written as well.
func (f *Files) Input(path string) error { return f.input(at(path), false) }

func (f *Files) input(in place, kept bool) error {
	if f == nil {
		return nil
	}
	f.inputs = append(f.inputs, in)
	for _, c := range f.claims {
		own := kept && filepath.Clean(c.path) == filepath.Clean(in.path)
		if !own && c.same(in) && c.replaced() {
			return f.clashed(&Clash{Output: c.what, Path: c.path, In: in.path})
		}
	}
	return nil
}

// Read reads a file, if no output of the command is the same one.
func (f *Files) Read(path string) ([]byte, error) {
	if err := f.input(at(path), false); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
}

// Kept tells that a file is read which the command adds to. No other output may be that file.
func (f *Files) Kept(path string) error { return f.input(at(path), true) }

// ReadKept reads a file that the command adds to or renews, as its user knows. No other
// output may be that file.
func (f *Files) ReadKept(path string) ([]byte, error) {
	if err := f.input(at(path), true); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
}

// Stream tells that a stream is read, which may be a file by redirection. Its name is for the
// error.
func (f *Files) Stream(in io.Reader, name string) error {
	file, ok := in.(*os.File)
	if !ok {
		return nil
	}
	info, err := file.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return nil
	}
	return f.input(place{path: name, info: info}, false)
}

// Err is the first clash that there was, however the command took it.
func (f *Files) Err() error {
	if f == nil {
		return nil
	}
	return f.clash
}

// place is where a file is, or would be.
type place struct {
	path  string
	whole string      // the path without links, as far as it is there
	info  os.FileInfo // nil where nothing is there
}

// at finds a place.
func at(path string) place {
	p := place{path: path}
	if path == "" || path == "-" {
		return p
	}
	p.info, _ = os.Stat(path)
	p.whole = resolved(path)
	return p
}

// same tells whether two places are of one file.
func (p place) same(o place) bool {
	if p.info != nil && o.info != nil {
		return os.SameFile(p.info, o.info)
	}
	return p.whole != "" && p.whole == o.whole
}

// replaced tells whether writing takes away what was there: not of a terminal or a pipe.
func (p place) replaced() bool { return p.info == nil || p.info.Mode().IsRegular() }

// resolved is a path without links, also where the file itself is not there yet.
func resolved(path string) string {
	whole, err := filepath.Abs(path)
	if err != nil {
		return filepath.Clean(path)
	}
	for range 40 { // links that lead to nothing
		if real, err := filepath.EvalSymlinks(whole); err == nil {
			return real
		}
		to, err := os.Readlink(whole)
		if err != nil {
			break
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(whole), to)
		}
		whole = to
	}
	if dir, err := filepath.EvalSymlinks(filepath.Dir(whole)); err == nil {
		return filepath.Join(dir, filepath.Base(whole))
	}
	return whole
}

// Within tells whether a file is in a folder or below it, or will be, however they are written.
func Within(file, folder string) bool {
	way, err := filepath.Rel(resolved(folder), resolved(file))
	return err == nil && filepath.IsLocal(way)
}

// Same tells whether two paths are of one file, however they are written.
func Same(a, b string) bool {
	return a != "" && b != "" && at(a).same(at(b))
}
