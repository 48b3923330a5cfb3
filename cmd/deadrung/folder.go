package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

type folderOptions struct {
	circuit string
	output  string
	into    bool
	by      string
	given
	size chartSize
}

func newFolder(s streams) *cobra.Command {
	var o folderOptions
	c := &cobra.Command{
		Use:   "folder CIRCUIT -o DIR",
		Short: "A field folder to leave in the panel door: drawing, wire list, readings, chart",
		Long: `Folder writes the sheets of a circuit into a directory: drawing, wire list, check-out
before first power, operation, expected readings, fault-finding charts, testability, and an
index to them. Each is one HTML file that needs no network, reads on a phone and prints on
paper.

` + talk.Caution.Plain(),
		Args: oneCircuit,
		RunE: func(_ *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runFolder(o, s)
		},
	}
	f := c.Flags()
	f.StringVarP(&o.output, "output", "o", "", "the directory; it is made where there is none (needed)")
	f.BoolVar(&o.into, "into", false, "write into a directory that holds other things; files of the same names are replaced")
	f.StringVar(&o.by, "by", "minutes", "what the charts keep small: minutes or checks")
	o.size.flags(f)
	o.faultFlags(f)
	o.meterFlags(f)
	return c
}

func runFolder(o folderOptions, s streams) error {
	if o.output == "" {
		return usagef("folder needs a directory: -o DIR")
	}
	by, err := parseBy(o.by)
	if err != nil {
		return err
	}
	if err := o.size.check(); err != nil {
		return err
	}
	earlier, err := mayWrite(o.output, o.into)
	if err != nil {
		return err
	}
	p, text, err := load(o.circuit, s)
	if err != nil {
		return err
	}
	m, err := modelOf(p, text, o.given)
	if err != nil {
		return err
	}
	var files map[string][]byte
	var names []string
	talk.Patiently(s.err, m, func() { names, files, err = folderFiles(m, o.given, o.size.options(m, by), by) })
	if err != nil {
		return err
	}
	names, files[circuitCopy] = append(names, circuitCopy), text
	if err := writeFolder(o.output, names, files, earlier); err != nil {
		return fmt.Errorf("cannot write the folder: %w", err)
	}
	fmt.Fprintf(s.err, "%s: %d sheets. Open %s.\n", o.output, len(names)-1, filepath.Join(o.output, paper.IndexSheet))
	return nil
}

// folderFiles makes the sheets, and gives their names in the order of the index.
func folderFiles(m *diagnose.Model, given given, size diagnose.ChartOptions, by diagnose.By) (names []string, files map[string][]byte, err error) {
	checkOut := make(chan *paper.CheckOut, 1)
	go func() {
		r := paper.NewCheckOut(circuitCopy, m.Panel())
		r.Choose(diagnose.CheckOutOptions{})
		checkOut <- r
	}()
	logs, err := complaints(m, []string{"each"})
	if err != nil {
		return nil, nil, err
	}
	book := paper.NewBook(m, circuitCopy, given.find(circuitCopy), logs, size)
	files = make(map[string][]byte)
	for _, sh := range paper.Folder(book, func() *paper.CheckOut { return <-checkOut }, by) {
		if files[sh.File()], err = sh.Write(); err != nil {
			return nil, nil, err
		}
		names = append(names, sh.File())
	}
	return names, files, nil
}

const (
	circuitCopy = "circuit.yaml"
	// folderMark names the file that lists what the program wrote into a directory.
	folderMark = "folder.json"
)

// folderList is the file folderMark.
type folderList struct {
	Deadrung int      `json:"deadrung"` // version of the form
	Files    []string `json:"files"`
}

// mayWrite tells whether a directory may be written into: it is not there, or empty, or
// holds nothing but an earlier folder; anything else only where that was said. It gives
// the files of the earlier folder.
func mayWrite(dir string, into bool) (earlier []string, err error) {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, fmt.Errorf("cannot write the folder: %w", err)
	}
	if text, err := os.ReadFile(filepath.Join(dir, folderMark)); err == nil {
		var list folderList
		if json.Unmarshal(text, &list) == nil && list.Deadrung == log.Version {
			for _, name := range list.Files {
				if name == filepath.Base(name) && name != ".." && name != "." { // never outside
					earlier = append(earlier, name)
				}
			}
		}
	}
	for _, e := range entries {
		if name := e.Name(); !into && name != folderMark && !slices.Contains(earlier, name) {
			return nil, fmt.Errorf("the directory %s holds other things, as %s: name an empty one, or say --into", dir, name)
		}
	}
	return earlier, nil
}

// writeFolder writes the files of a folder. They are written elsewhere first, so that a
// folder is never half new: a new directory appears whole, and in one that is there each
// file is replaced at once, the index last. Files of an earlier folder that are no longer
// part of it go.
func writeFolder(dir string, names []string, files map[string][]byte, earlier []string) error {
	dir = filepath.Clean(dir)
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		return err
	}
	stage, err := os.MkdirTemp(filepath.Dir(dir), ".folder-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(stage)
	list, err := json.Marshal(folderList{Deadrung: log.Version, Files: names})
	if err != nil {
		return err
	}
	for _, name := range names {
		if err := os.WriteFile(filepath.Join(stage, name), files[name], 0o644); err != nil {
			return err
		}
	}
	if err := os.WriteFile(filepath.Join(stage, folderMark), append(list, '\n'), 0o644); err != nil {
		return err
	}
	if _, err := os.Stat(dir); errors.Is(err, os.ErrNotExist) {
		if err := os.Chmod(stage, 0o755); err != nil {
			return err
		}
		return os.Rename(stage, dir)
	}
	for _, name := range append(slices.DeleteFunc(slices.Clone(names), func(n string) bool { return n == paper.IndexSheet }), folderMark, paper.IndexSheet) {
		if err := os.Rename(filepath.Join(stage, name), filepath.Join(dir, name)); err != nil {
			return err
		}
	}
	for _, name := range earlier {
		if !slices.Contains(names, name) {
			if err := os.Remove(filepath.Join(dir, name)); err != nil && !errors.Is(err, os.ErrNotExist) {
				return err
			}
		}
	}
	return nil
}
