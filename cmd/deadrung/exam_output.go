package main

import (
	"io"

	"deadrung/cmd/deadrung/talk"
)

// readInput reads a file, or standard input where it is called -.
func readInput(name string, s streams) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(s.in)
	}
	return s.files.Read(name)
}

// outputOf writes a result for people, or in its machine form.
func outputOf(path string, asJSON bool, result any, s streams, print func(*talk.Page)) error {
	return output(path, s, func(w io.Writer) error {
		if asJSON {
			return printJSON(w, result)
		}
		print(talk.NewPage(w))
		return nil
	})
}
