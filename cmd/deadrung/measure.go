package main

import (
	"context"
	"errors"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
	"deadrung/diagnose/measure"
)

type measureOptions struct {
	circuit string
	output  string
	write   bool
	each    bool
	read    []string
	plain   bool
	json    bool
}

func newMeasure(s streams) *cobra.Command {
	var o measureOptions
	c := &cobra.Command{
		Use:   "measure CIRCUIT",
		Short: "Read the coils and lamps of a panel in order, and keep their ohms in its circuit file",
		Long: `Measure asks for the few ohms readings that are worth having of a panel while it is in
order: of each kind of coil, lamp and winding whose ohms the circuit file does not give.
It writes them into the file. Ohms that nobody gave are known only within half to twice,
and decide little when the panel fails one day; what was measured decides.

  deadrung measure panel.yaml --write
  deadrung measure panel.yaml -o measured.yaml
  deadrung measure panel.yaml --read CR1=2410 --read H1=OL -o measured.yaml

Parts of one type for the same volts are twins: one is measured for all of them, unless
--each asks for every one. --json prints the readings and measures nothing.

` + talk.Caution.Plain(),
		Args: oneCircuit,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.circuit = args[0]
			ctx, stop := talk.Interruptible(cmd.Context())
			defer stop()
			return runMeasure(ctx, o, s)
		},
	}
	f := c.Flags()
	outputFlag(f, &o.output, "write the circuit file with its ohms here")
	f.BoolVar(&o.write, "write", false, "write the ohms into the circuit file itself")
	f.BoolVar(&o.each, "each", false, "measure every part, twins as well")
	f.StringArrayVar(&o.read, "read", nil,
		"a reading, as CR1=2410 or H1=OL; nothing is asked then; may be given more than once")
	f.BoolVar(&o.plain, "plain", false, "ask with numbered lines, on a terminal as well")
	f.BoolVar(&o.json, "json", false, "print the readings worth having in their machine form")
	return c
}

func runMeasure(ctx context.Context, o measureOptions, s streams) error {
	switch _, builtin := circuits.BuiltinText(o.circuit); {
	case o.write && o.output != "":
		return usagef("--write writes the circuit file itself, -o another one; give one of them")
	case o.write && builtin:
		return usagef("%s is built in: name another file with -o", o.circuit)
	}
	loading := loadText
	if o.write {
		loading = loadRenewed
	}
	file, text, err := loading(o.circuit, s)
	if err != nil {
		return err
	}
	p, err := assemble(file, text, s)
	if err != nil {
		return err
	}
	readings, left := measure.Plan(p, o.each)
	if o.json {
		return printJSON(s.out, measureForm(readings, left))
	}
	tell := s
	if o.output == "" || o.output == "-" {
		tell.out = s.err // the circuit file goes to standard output
	}
	found, err := measured(ctx, o, p, readings, left, tell)
	if err != nil {
		return err
	}
	if len(found) == 0 {
		return errors.New("nothing was measured; no file is written")
	}
	out, err := measure.Write(file, text, found)
	if err != nil {
		return err
	}
	to := o.output
	if o.write {
		to = o.circuit
	}
	return output(to, s, func(w io.Writer) error {
		_, err := w.Write(out)
		return err
	})
}

// measured gives what was measured by device, from --read or by asking.
func measured(ctx context.Context, o measureOptions, p *work.Panel, readings []measure.Reading,
	left []measure.Left, s streams) (map[string]measure.Found, error) {
	found := make(map[string]measure.Found)
	if len(o.read) > 0 {
		return found, readGiven(o.read, readings, found)
	}
	out := talk.NewPage(s.out)
	if len(readings) == 0 {
		out.Para("", "The circuit file gives the ohms of every part that can be measured.")
		return found, nil
	}
	ask := newAsker(ctx, o.plain, s, out)
	out.Notice(talk.CautionOf(p))
	out.Notice(talk.LockOutOf(p, talk.BeforeCheck))
	for _, l := range left {
		out.Parf("", "%s is not measured: %s.", talk.SentenceStart(l.Device.Called()), l.Why)
	}
	for i, r := range readings {
		out.Blank()
		out.Para("", talk.MeasureTitle(r, i+1, len(readings)))
		for _, point := range talk.MeasurePoints(r) {
			out.Point(point)
		}
		f, ok, err := askReading(ask, out, r)
		switch {
		case errors.Is(err, io.EOF):
			return found, nil
		case err != nil:
			return nil, err
		case ok:
			keep(r, f, found)
		}
		if len(r.Check.Lifted) > 0 {
			out.Parf("", "Land the wires on %s again.", talk.Joined(r.Check.Lifted, " and "))
		}
	}
	return found, nil
}

// keep notes what was measured of a part, for its twins too.
func keep(r measure.Reading, f measure.Found, found map[string]measure.Found) {
	for _, d := range r.Of {
		found[d.Name] = f
	}
}

// askReading asks for one reading; ok is false where there is nothing to write.
func askReading(ask talk.Asker, out *talk.Page, r measure.Reading) (f measure.Found, ok bool, err error) {
	for {
		typed, taken, err := ask.Line(talk.Question{
			Text: "What does the meter show?", Typed: "type the reading", Help: talk.MeasureHelp,
			Choices: []talk.Choice{{Word: "skip", Text: "leave this part as it is"}},
		})
		if err != nil || taken >= 0 {
			return f, false, err
		}
		saw, err := talk.ParseReading(log.Ohms, typed)
		if err != nil {
			out.Para("  ", talk.Sentence(err.Error()))
			continue
		}
		if no := talk.NotMeasured(r, saw.Value); no != "" {
			out.Para("  ", no)
			return f, false, nil
		}
		if odd := talk.Unusual(r, saw.Value); odd != "" {
			out.Para("  ", odd)
			i, err := ask.Choose(talk.Question{Text: talk.MeasureAgain, Help: talk.MeasureHelp,
				Choices: []talk.Choice{{Word: "yes", Text: "yes, write it"},
					{Word: "again", Text: "no, I read it again"}}})
			if err != nil {
				return f, false, err
			}
			if i == 1 {
				continue
			}
		}
		return r.Found(saw.Value), true, nil
	}
}

// readGiven takes the readings of --read.
func readGiven(given []string, readings []measure.Reading, found map[string]measure.Found) error {
	var names []string
	by := make(map[string]measure.Reading)
	for _, r := range readings {
		for _, d := range r.Of {
			names = append(names, d.Name)
			by[strings.ToLower(d.Name)] = r
		}
	}
	for _, g := range given {
		name, typed, ok := strings.Cut(g, "=")
		if !ok {
			return usagef("--read is of the form CR1=2410, not %q", g)
		}
		r, known := by[strings.ToLower(strings.TrimSpace(name))]
		if !known {
			return usagef("--read %s: there is nothing to measure of %q%s", g, name, circuits.Suggest(name, names))
		}
		saw, err := talk.ParseReading(log.Ohms, typed)
		if err != nil {
			return usagef("--read %s: %w", g, err)
		}
		if no := talk.NotMeasured(r, saw.Value); no != "" {
			return usagef("--read %s: %s", g, no)
		}
		keep(r, r.Found(saw.Value), found)
	}
	return nil
}

// measureJSON is the machine form of the readings worth having.
type measureJSON struct {
	Readings []readingJSON `json:"readings"`
	Left     []notMeasured `json:"left"`
}

type readingJSON struct {
	Check log.Check `json:"check"`
	Of    []string  `json:"of"`
	Low   float64   `json:"low"`
	High  *float64  `json:"high,omitempty"` // none where a good one may read open
}

type notMeasured struct {
	Device string `json:"device"`
	Why    string `json:"why"`
}

func measureForm(readings []measure.Reading, left []measure.Left) measureJSON {
	form := measureJSON{Readings: []readingJSON{}, Left: []notMeasured{}}
	for _, r := range readings {
		x := readingJSON{Check: r.Check, Low: talk.Hundredths(r.Low)}
		if r.Dark == "" {
			high := talk.Hundredths(r.High)
			x.High = &high
		}
		for _, d := range r.Of {
			x.Of = append(x.Of, d.Name)
		}
		form.Readings = append(form.Readings, x)
	}
	for _, l := range left {
		form.Left = append(form.Left, notMeasured{l.Device.Name, l.Why})
	}
	return form
}
