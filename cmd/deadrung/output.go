package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/talk"
)

// printJSON writes a result in its machine form.
func printJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// outputFlag adds -o to a command.
func outputFlag(f *pflag.FlagSet, path *string, usage string) {
	f.StringVarP(path, "output", "o", "", usage)
	written(f, "output")
}

// named tells whether the name of a file ends in one that stands for a form, as ".svg".
func named(file, ending string) bool { return strings.EqualFold(filepath.Ext(file), ending) }

// resultUsage is what -o says where a result is printed else.
const resultUsage = "write the result to this file"

// writtenMark marks a flag that names a file which the command writes.
const writtenMark = "written"

// written marks flags that name files which the command writes. A name that stands for none is
// "none".
func written(f *pflag.FlagSet, names ...string) {
	for _, name := range names {
		f.Lookup(name).Annotations = map[string][]string{writtenMark: nil}
	}
}

// claimOutputs claims the files that a command will write, before it reads any.
func claimOutputs(cmd *cobra.Command, s streams) error {
	var err error
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if _, ok := f.Annotations[writtenMark]; !ok || f.Value.String() == "none" {
			return
		}
		what := "--" + f.Name
		if f.Shorthand != "" {
			what = "-" + f.Shorthand
		}
		if f.Name == "output" && named(f.Value.String(), ".pdf") && cmd.Flags().Lookup("pdf") == nil {
			err = errors.Join(err, usagef("%s makes no PDF: give %s a name that does not end in .pdf", cmd.Name(), what))
			return
		}
		err = errors.Join(err, s.files.Claim(what, f.Value.String()))
	})
	if err != nil {
		return err
	}
	return s.files.Stream(talk.FileOf(s.in), "standard input")
}

// output is standard output, or the file of -o, which is written whole or not at all.
func output(path string, s streams, write func(io.Writer) error) error {
	if path == "" || path == "-" || sameStream(path, s.out) {
		return write(s.out)
	}
	return saved(s.files.Write(path, write), "the result")
}

// saved says of what could not be written what it was.
func saved(err error, what string) error {
	var failed *os.PathError
	if errors.As(err, &failed) || errors.As(err, new(*os.LinkError)) {
		return fmt.Errorf("cannot write %s: %w", what, err)
	}
	return err
}

// sameStream tells whether a path, as /dev/stdout, is of an open stream.
func sameStream(path string, stream io.Writer) bool {
	f := talk.FileOf(stream)
	if f == nil {
		return false
	}
	a, errA := f.Stat()
	b, errB := os.Stat(path)
	return errA == nil && errB == nil && os.SameFile(a, b)
}

// canWrite sees that a file can be written, before any work is done for it.
func canWrite(path string) error {
	if path == "" || path == "-" {
		return nil
	}
	if err := disk.MayWrite(path); err != nil {
		return fmt.Errorf("cannot write %s: %w", path, err)
	}
	return nil
}
