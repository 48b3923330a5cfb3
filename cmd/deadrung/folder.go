package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"sync"

	"github.com/spf13/cobra"

	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/chart"
	"deadrung/diagnose/checkout"
)

type folderOptions struct {
	circuit string
	output  string
	into    bool
	by      string
	iec     bool
	pdf     bool
	given
	size chartSize
}

func newFolder(s streams) *cobra.Command {
	var o folderOptions
	c := &cobra.Command{
		Use:   "folder CIRCUIT -o DIR",
		Short: "A field folder to leave in the panel door: drawing, wire list, readings, chart",
		Long: `Folder writes the sheets of a circuit into a directory: ladder, connections, wire list, check-out
before first power, operation, expected readings, fault-finding charts, testability, and an
index to them. Each is one HTML file that needs no network, reads on a phone and prints on
paper. Both drawings are there as sheets to sign too, in ladder.pdf and connections.pdf, and with
--pdf so is every other sheet, in a PDF of its own;
after --iec the ladder has the symbols and current paths of IEC 60617, on the screen and in the PDF.

` + talk.Caution.Plain(),
		Args: oneCircuit,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runFolder(cmd.Context(), o, s)
		},
	}
	f := c.Flags()
	f.StringVarP(&o.output, "output", "o", "", "the directory; it is made where there is none (needed)")
	f.BoolVar(&o.into, "into", false, "write into a directory that holds other things; files of the same names are replaced")
	f.StringVar(&o.by, "by", "minutes", "what the charts keep small: minutes or checks")
	f.BoolVar(&o.iec, "iec", false, "ladder and its PDF with the symbols of IEC 60617, and current paths that run down")
	f.BoolVar(&o.pdf, "pdf", false, "every sheet as a PDF to sign as well, not the drawings alone")
	o.size.flags(f)
	o.faultFlags(f)
	o.meterFlags(f)
	return c
}

func runFolder(ctx context.Context, o folderOptions, s streams) error {
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
	p, text, err := loadToWork(o.circuit, o.large, s)
	if err != nil {
		return err
	}
	drawings := sync.OnceValue(func() signed { return toSign(p, text, o.drawn()) })
	go drawings() // while the rest is worked out
	m, err := modelOf(ctx, p, text, o.given, s)
	if err != nil {
		return err
	}
	var files map[string][]byte
	var names []string
	var tables signed
	talk.Patiently(s.err, func() {
		var sheets folderSheets
		sheets, err = folderFiles(m, o.given, o.size.options(m, by), by,
			o.drawn(), func() []string { return slices.Sorted(maps.Keys(drawings().made)) })
		names, files = sheets.names, sheets.files
		if err == nil && o.pdf {
			tables = sheets.toSign(p, text, by)
		}
	})
	if err != nil {
		return err
	}
	sheets := len(names)
	for _, made := range []signed{drawings(), tables} {
		if made.err != nil {
			return made.err
		}
		for _, missing := range made.missing {
			fmt.Fprintln(s.err, missing)
		}
		for _, name := range slices.Sorted(maps.Keys(made.made)) {
			names = append(names, name)
			files[name] = made.made[name]
		}
	}
	names = append(names, circuitCopy)
	if !disk.Same(o.circuit, filepath.Join(o.output, circuitCopy)) { // else the copy is there
		files[circuitCopy] = text
	}
	for _, name := range append(slices.Clone(earlier), names...) {
		if name == circuitCopy && files[name] == nil {
			continue
		}
		if err := s.files.Over("-o", filepath.Join(o.output, name)); err != nil {
			return err
		}
	}
	if err := writeFolder(o.output, names, files, earlier); err != nil {
		return fmt.Errorf("cannot write the folder: %w", err)
	}
	fmt.Fprintf(s.err, "%s: %d sheets. Open %s.\n", o.output, sheets, filepath.Join(o.output, paper.IndexSheet))
	return nil
}

// drawn is how the ladder is drawn, on the screen and to sign alike.
func (o folderOptions) drawn() drawing.Options {
	if o.iec {
		return drawing.Options{Symbols: drawing.IEC, Upright: true}
	}
	return drawing.Options{}
}

// folderSheets are the sheets of a folder as files, their names in the order of the index, and what
// they are made of.
type folderSheets struct {
	names    []string
	files    map[string][]byte
	book     *paper.Book
	checkOut func() *paper.CheckOut
}

// folderFiles makes the sheets.
func folderFiles(m *diagnose.Model, given given, size chart.Options, by diagnose.By, how drawing.Options, signed func() []string) (folderSheets, error) {
	checkOut := sync.OnceValue(func() *paper.CheckOut {
		r := paper.NewCheckOut(circuitCopy, m.Panel(), m.Book().Rules())
		r.Choose(checkout.Options{})
		return r
	})
	go checkOut()
	logs, err := complaints(m, []string{"each"})
	if err != nil {
		return folderSheets{}, err
	}
	f := folderSheets{files: make(map[string][]byte), checkOut: checkOut,
		book: paper.NewBook(m, circuitCopy, given.find(circuitCopy), logs, size)}
	sheets := paper.Folder(f.book, checkOut, by, how, signed)
	written := make([][]byte, len(sheets))
	errs := make([]error, len(sheets))
	var writing sync.WaitGroup
	for i, sh := range sheets {
		writing.Go(func() { written[i], errs[i] = sh.Write() })
	}
	writing.Wait()
	for i, sh := range sheets {
		f.names = append(f.names, sh.File())
		f.files[sh.File()] = written[i]
	}
	return f, errors.Join(errs...)
}

// toSign makes the sheets other than drawings as PDF.
func (f *folderSheets) toSign(p *work.Panel, text []byte, by diagnose.By) signed {
	setting := plot.Setting{File: text, Caution: talk.CautionOf(p).Line()}
	writers := make(map[string]func(io.Writer) error)
	for _, sh := range f.book.Signed(f.checkOut, by) {
		writers[sh.File] = func(out io.Writer) error {
			sections, err := sh.Sections()
			if err == nil {
				_, _, err = plot.Tables(out, p.Circuit, sh.Title, sections, setting)
			}
			return err
		}
	}
	return allSigned(writers)
}

// signed are sheets to sign.
type signed struct {
	made    map[string][]byte // as PDF, by the name of the file
	missing []string          // what is told of those that go on no paper
	err     error
}

// toSign makes the drawings as PDF, both at once.
func toSign(p *work.Panel, text []byte, how drawing.Options) signed {
	setting := plot.Setting{File: text, Caution: talk.CautionOf(p).Line()}
	writers := map[string]func(io.Writer) error{
		paper.LadderSheet: func(out io.Writer) error {
			_, _, err := plot.Ladder(out, drawing.New(p.Circuit), how, setting)
			return err
		},
		paper.ConnectionsSheet: func(out io.Writer) error {
			_, _, err := plot.Connections(out, connections.New(p.Circuit), connections.Options{}, setting)
			return err
		},
	}
	return allSigned(writers)
}

// allSigned makes sheets as PDF, all at once, by the names of their files.
func allSigned(writers map[string]func(io.Writer) error) signed {
	names := slices.Sorted(maps.Keys(writers))
	outs := make([]bytes.Buffer, len(names))
	errs := make([]error, len(names))
	var writing sync.WaitGroup
	for i, name := range names {
		writing.Go(func() { errs[i] = writers[name](&outs[i]) })
	}
	writing.Wait()
	all := signed{made: make(map[string][]byte)}
	for i, name := range names {
		var small *plot.TooSmall
		var room *plot.NoRoom
		switch err := errs[i]; {
		case errors.As(err, &small), errors.As(err, &room):
			all.missing = append(all.missing, fmt.Sprintf("There is no %s: %v.", name, err))
		case err != nil:
			all.err = errors.Join(all.err, err)
		default:
			all.made[name] = outs[i].Bytes()
		}
	}
	return all
}

const (
	circuitCopy = "circuit.yaml"
	// folderMark names the file that lists what the program wrote into a directory.
	folderMark = "folder.json"
)
