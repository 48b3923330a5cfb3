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
	return output(path, s, inForm(asJSON, result, print))
}

// outputSecretOf is as outputOf, for a result that names faults: a new file is its owner's
// alone.
func outputSecretOf(path string, asJSON bool, result any, s streams, print func(*talk.Page)) error {
	return outputSecret(path, s, inForm(asJSON, result, print))
}

func inForm(asJSON bool, result any, print func(*talk.Page)) func(io.Writer) error {
	return func(w io.Writer) error {
		if asJSON {
			return printJSON(w, result)
		}
		print(talk.NewPage(w))
		return nil
	}
}

// outputSecret is as output, for a result that names faults.
func outputSecret(path string, s streams, write func(io.Writer) error) error {
	if path == "" || path == "-" || sameStream(path, s.out) {
		return write(s.out)
	}
	return saved(s.files.WritePrivate(path, write), "the result")
}
