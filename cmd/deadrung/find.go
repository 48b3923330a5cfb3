package main

import (
	"context"
	"errors"
	"fmt"
	"html/template"
	"io"
	"math/rand/v2"
	"os"
	"runtime"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"deadrung/circuits"
	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

type findOptions struct {
	circuit string
	log     string
	noLog   bool
	report  string
	// ownLogged is set where the log is one in the user's state directory.
	ownLogged bool

	dropChanged bool

	complaints []string

	follow string
	// connect has --follow keep the connection diagram.
	connect bool
	plain   bool
	ascii   bool
	by      string
	given

	simulate string
	seed     uint64
	seeded   bool // --seed is given
	json     bool
	output   string

	now    func() time.Time
	random func() uint64 // a seed, where none is given
}

func newFind(s streams) *cobra.Command {
	o := findOptions{now: time.Now, random: func() uint64 { return rand.Uint64N(1e6) }}
	c := &cobra.Command{
		Use:   "find [CIRCUIT]",
		Short: "Guided fault finding on a real circuit",
		Long: `Find leads from the complaint to the proved repair: it proposes the check that best
splits what is still possible, takes the answer, and goes on until one fault is left.

Without a CIRCUIT it offers the built-in ones. Every answer is written at once to a
log in your state directory, or to that of --log FILE, and a session that was stopped
is gone on with; --no-log keeps none. On a terminal it asks with menus, and each choice
has a key; --plain asks with numbered lines, as in a pipe.

No panel at hand? "deadrung find CIRCUIT --simulate any" lets a simulated panel with a
hidden fault answer.

` + talk.Caution.Plain(),
		Args: oneCircuitAtMost,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				o.circuit = args[0]
			}
			o.seeded = cmd.Flags().Changed("seed")
			if o.connect && o.follow == "" {
				return usagef("--connections says what --follow FILE draws; \"deadrung draw --connections\" draws it at once")
			}
			if o.simulate != "" && len(o.complaints) > 0 {
				return usagef("--complaint is of a real panel: a simulated one begins with nothing known")
			}
			if o.simulate != "" {
				return runSimulate(cmd.Context(), o, s)
			}
			ctx, stop := talk.Interruptible(cmd.Context())
			defer stop()
			return runFind(ctx, o, s)
		},
	}
	f := c.Flags()
	f.StringVar(&o.log, "log", "", "keep the answers in this file, and go on with it if it is there")
	f.BoolVar(&o.noLog, "no-log", false, "keep no log; without --log one is kept in the user's state directory")
	complaintsFlag(f, &o.complaints)
	dropChangedFlag(f, &o.dropChanged)
	f.StringVar(&o.report, "report", "", "write a one-page report to this file, in Markdown, or as a page to print if its name ends in .html")
	f.StringVar(&o.follow, "follow", "", "keep a drawing in this SVG file, with the leads of the check that is asked for")
	f.BoolVar(&o.connect, "connections", false, "with --follow: the connection diagram, which shows the screws that the leads go on")
	asciiFlag(f, &o.ascii)
	f.BoolVar(&o.plain, "plain", false, "ask with numbered lines, on a terminal as well")
	f.StringVar(&o.by, "by", "minutes", "what to keep small: minutes or checks")
	o.faultFlags(f)
	o.meterFlags(f)
	f.StringVar(&o.simulate, "simulate", "", "let a simulated panel with this fault answer, or with any")
	f.Uint64Var(&o.seed, "seed", 0, "with --simulate: the same seed gives the same run; without it, one at random that is printed")
	f.BoolVar(&o.json, "json", false, "with --simulate: the result in its machine form")
	outputFlag(f, &o.output, "with --json: write the result to this file")
	written(f, "log", "report", "follow")
	return c
}

func runFind(ctx context.Context, o findOptions, s streams) error {
	by, err := parseBy(o.by)
	switch {
	case err != nil:
		return err
	case o.output != "" && !o.json:
		return usagef("-o is for the result of --json")
	case o.noLog && o.log != "":
		return usagef("--log keeps a log and --no-log keeps none: give one of them")
	case o.json:
		return usagef("--json goes with --simulate; \"deadrung next\" gives one turn in its machine form")
	case o.seeded:
		return usagef("--seed goes with --simulate")
	}
	out := talk.NewPage(s.out)
	ask := newAsker(ctx, o.plain, s, out)
	out.Notice(talk.Caution)
	if o.circuit == "" {
		if o.circuit, err = chooseCircuit(ask, out); err != nil {
			return closing(err, "", nil)
		}
	}
	m, err := loadModel(ctx, o.circuit, o.given, s)
	if err != nil {
		return closing(err, o.circuit, nil)
	}
	complaints, err := complaintsOf(m, o.complaints)
	if err != nil {
		return err
	}
	if err := o.ownLog(m, ask, out, s); err != nil {
		return closing(err, o.circuit, nil)
	}
	d := newLogged(guide.New(m, guide.Finding(by), log.Log{}), ask, out, o.now)
	if err := d.open(o, s); err != nil {
		return err
	}
	d.greet(o.ownLogged)
	if len(complaints) == 0 || len(d.Log().Entries) > 0 {
		d.Opening(d.logName())
	}
	if err = d.Begin(); err == nil {
		err = d.known(complaints)
	}
	if err == nil {
		err = d.Run()
	}
	return d.close(o, err)
}

// known takes down what the flags say is known to be wrong.
func (d *logged) known(complaints []log.Entry) error {
	if len(complaints) == 0 {
		return nil
	}
	if q := d.Guide.Ask(); q.Ask != guide.Complaint && q.Has("complaint") {
		if err := d.Take(guide.Take("complaint")); err != nil {
			return err
		}
	}
	for _, e := range complaints {
		d.Out.Parf("  ", "Known: %s.", d.Speak.Entry(e))
		if err := d.Take(guide.Answer{Check: &e.Check, Reading: e.Answer}); err != nil {
			return err
		}
	}
	return d.Take(guide.Take("none"))
}

// close ends a session in whatever way it ended: it tells where the work stands,
// writes the report and closes the log.
func (d *logged) close(o findOptions, err error) error {
	if err != nil && !failed(err) {
		d.ending(o.again(o.circuit), err)
	}
	if reportErr := d.writeReport(o); reportErr != nil && (err == nil || !failed(err)) {
		err = reportErr
	}
	if d.file != nil && o.ownLogged && (d.Guide.Finished() || d.Log().Empty()) {
		if closeErr := d.closeOwn(); closeErr != nil && err == nil {
			err = closeErr
		}
	} else if d.file != nil {
		if closeErr := d.file.Close(); closeErr != nil && err == nil {
			err = fmt.Errorf("cannot close the log: %w", closeErr)
		}
	}
	return closing(err, o.again(o.circuit), d.file)
}

// newAsker takes menus where a person sits at a terminal that can show them, numbered
// lines anywhere else.
func newAsker(ctx context.Context, plain bool, s streams, out *talk.Page) talk.Asker {
	keys := talk.NewKeyboard(ctx, s.in)
	in := terminal(s.in)
	if !plain && in && terminal(s.out) && talk.FileOf(s.in) == os.Stdin && talk.FileOf(s.out) == os.Stdout && menusShow() {
		keys.ObeysCtrlC = true
		return &talk.Menus{Keys: keys, Out: out}
	}
	return &talk.Lines{Keys: keys, Out: out, Echo: !in}
}

// menusShow tells whether the terminal is of a kind that can show menus: one that does not say
// its kind is plain, but on a system whose terminals never say it.
func menusShow() bool {
	kind := os.Getenv("TERM")
	return kind != "dumb" && (kind != "" || runtime.GOOS == "windows")
}

func terminal(stream any) bool {
	f := talk.FileOf(stream)
	return f != nil && term.IsTerminal(int(f.Fd()))
}

// chooseCircuit offers the built-in circuits, and a file; a path that leads to none is asked
// for again.
func chooseCircuit(ask talk.Asker, out *talk.Page) (string, error) {
	q := talk.Question{
		Text:    "Which circuit?",
		Choices: []talk.Choice{{Word: "file", Text: "a circuit file of your own"}},
		Help:    "The built-in circuits are for learning. For a panel of your own write a circuit file, and take the first answer.",
	}
	names := circuits.Builtin()
	for _, name := range names {
		text := name
		if raw, err := builtinText(name); err == nil {
			if c, _ := read.Read(name, raw); c != nil {
				text = name + ": " + c.Title
			}
		}
		q.Choices = append(q.Choices, talk.Choice{Also: []string{name}, Text: text})
	}
	i, err := ask.Choose(q)
	if err != nil {
		return "", err
	}
	if i > 0 {
		return names[i-1], nil
	}
	for {
		typed, _, err := ask.Line(talk.Question{Text: "The path of the file:", Typed: "type the path", Help: "As panels/dryer.yaml."})
		if err != nil {
			return "", err
		}
		if _, _, err = loadText(typed, streams{}); err == nil {
			return typed, nil
		}
		out.Para("  ", talk.Sentence(err.Error()))
	}
}

// open opens the log and sees that the report can be written, before any work is done.
func (d *logged) open(o findOptions, s streams) error {
	d.files, d.ASCII = s.files, d.ASCII || o.ascii
	if o.log != "" {
		file, log, problems, err := openLog(o.log, d.Model, s.files)
		if err != nil {
			return err
		}
		was := changedLog{m: d.Model, file: file, ask: d.Ask, out: d.Out, streams: s}
		if log, err = was.dropStale(log, o.dropChanged); err != nil {
			file.Close()
			return err
		}
		printProblems(s, problems)
		d.keeps(file, file.append)
		d.own = o.ownLogged
		d.Guide = guide.New(d.Model, d.Guide.Rules(), log)
	}
	if o.connect {
		d.wired = connections.New(d.Speak.Circuit)
	}
	if o.follow != "" {
		if err := d.files.Write(o.follow, d.drawing(drawing.Options{Foot: footCaution})); err != nil {
			return saved(err, "the drawing")
		}
		d.following, d.Follow = o.follow, d.follow
	}
	if o.report != "" {
		if err := disk.MayWrite(o.report); err != nil {
			return fmt.Errorf("cannot write the report: %w", err)
		}
	}
	return nil
}

// greet says which circuit it is and how answers are kept.
func (d *logged) greet(own bool) {
	c := d.Speak.Circuit
	d.Out.Parf("", "%s: %s, %s.", c.Title, talk.Count(len(c.Steps), "step"), talk.Count(len(d.Model.Faults()), "possible fault"))
	if c.About != "" {
		d.Out.Para("  ", c.About)
	}
	switch {
	case d.file == nil:
		d.Out.Para("", "No log is kept. With --log FILE you can stop and go on later.")
	case own:
		d.Out.Para("", "Every answer is kept: you can stop and go on later. --no-log keeps none.")
	}
	d.Out.Blank()
}

// failed tells a failure of the work from the ways in which a session may end.
func failed(err error) bool {
	return !errors.Is(err, dialogue.ErrStopped) && !errors.Is(err, talk.ErrInterrupted) && !errors.Is(err, io.EOF)
}

// closing turns the end of a session into the error of the command: none where it was
// stopped or its input ended, one with the log's name where it was interrupted.
func closing(err error, circuit string, file *logFile) error {
	switch {
	case err == nil || errors.Is(err, dialogue.ErrStopped) || errors.Is(err, io.EOF):
		return nil
	case !errors.Is(err, talk.ErrInterrupted):
		return err
	case file == nil:
		return errors.New("interrupted; no log was kept")
	}
	return fmt.Errorf("interrupted; the log is safe in %s: go on with \"deadrung find %s --log %s\"", file.Name(), circuit, file.Name())
}

// writeReport writes the report where one is asked for.
func (d *logged) writeReport(o findOptions) error {
	if o.report == "" {
		return nil
	}
	if err := d.files.Write(o.report, func(w io.Writer) error {
		if named(o.report, ".html") {
			title, caution, body := d.ReportHTML(o.facts()...)
			return sheet.Page{Title: title, Cautions: []string{caution}, Body: template.HTML(body)}.Write(w)
		}
		_, err := io.WriteString(w, d.Report(o.facts()))
		return err
	}); err != nil {
		return saved(err, "the report")
	}
	d.Out.Parf("", "The report is in %s.", o.report)
	return nil
}

// facts are what a report has in its head beside the date.
func (o *findOptions) facts() []string {
	facts := []string{"Circuit file: " + o.circuit}
	if o.log != "" {
		facts = append(facts, "Log: "+o.log)
	}
	if o.simulate != "" {
		facts = append(facts, "Answered by a simulated panel.")
	}
	return facts
}
