package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"deadrung/cmd/deadrung/talk"
)

// printJSON writes a result in its machine form.
func printJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// output is standard output, or the file of -o.
func output(path string, s streams, write func(io.Writer) error) error {
	if path == "" || path == "-" {
		return write(s.out)
	}
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("cannot write the result: %w", err)
	}
	out := &talk.Result{To: f}
	err = write(out)
	if err == nil {
		err = out.Err
	}
	if closed := f.Close(); closed != nil && err == nil {
		err = fmt.Errorf("cannot write the result: %w", closed)
	}
	return err
}

// canWrite sees that a file can be written, before any work is done for it.
func canWrite(path string) error {
	if path == "" || path == "-" {
		return nil
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE, 0o644)
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", path, err)
	}
	return f.Close()
}

// sameFile tells whether two paths are of one file, however they are written.
func sameFile(a, b string) bool {
	if a == "" || b == "" {
		return false
	}
	if filepath.Clean(a) == filepath.Clean(b) {
		return true
	}
	infoA, errA := os.Stat(a)
	infoB, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(infoA, infoB)
}
