package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"time"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/plan"
	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/training"
)

// wiringOptions are those of the exercise in wiring.
type wiringOptions struct {
	wiring bool
	plan   string // a CSV to judge
	save   string // the plan is kept here, and gone on with
}

// checkWiring tells what is wrong with the options of the exercise beside the others.
func (o *practiceOptions) checkWiring() error {
	w := o.wiringOptions
	switch {
	case !w.wiring && o.lesson != "" && o.course == nil: // the lesson may be in wiring
		return nil
	case !w.wiring && (w.plan != "" || w.save != ""):
		return usagef("--plan and --save go with --wiring")
	case !w.wiring:
		return nil
	case o.kind != "" || o.difficulty != "" || o.fresh || o.log != "" || o.picture != "" || o.seeded:
		return usagef("--wiring hides no fault: it goes without --kind, --difficulty, --fresh, --seed, --log and --picture")
	case o.published != "" || o.drill != "" || o.lesson != "" && o.course == nil || o.list || o.history:
		return usagef("--wiring goes with a circuit")
	case w.plan != "" && w.save != "":
		return usagef("--plan judges a plan that is there, --save keeps one that is typed: give one")
	}
	return nil
}

// planner is somebody who plans the wires of a circuit.
type planner struct {
	o       practiceOptions
	circuit *circuits.Circuit
	ladder  *drawing.Drawing
	rungs   []wirelist.Rung
	wires   []plan.Wire
	hints   int // times that the coach was asked
	ask     talk.Asker
	out     *talk.Page
	book    *scoreBook
	streams
}

// runWiring runs the exercise in wiring: a plan that is there is judged, else one is asked for.
func runWiring(o practiceOptions, s streams, out *talk.Page, ask talk.Asker, book *scoreBook) error {
	if o.circuit == "" {
		var err error
		if o.circuit, err = chooseCircuit(ask, out); err != nil {
			return closing(err, "", nil)
		}
	}
	panel, _, err := load(o.circuit, s)
	if err != nil {
		return err
	}
	p := &planner{o: o, circuit: panel.Circuit, ladder: drawing.New(panel.Circuit), ask: ask, out: out,
		book: book, streams: s}
	p.rungs = wirelist.Of(p.ladder).ByRung()
	if o.plan != "" {
		text, err := readInput(o.plan, s)
		if err != nil {
			return fmt.Errorf("cannot read the plan: %w", err)
		}
		if err := p.read(o.plan, text); err != nil {
			return err
		}
		return p.close(true)
	}
	if o.save != "" {
		if err := p.goOn(); err != nil {
			return err
		}
	}
	out.Notice(talk.Caution)
	if o.course != nil {
		o.course.tell(out)
	}
	p.greet()
	if o.sheet != "" {
		if err := s.files.Write(o.sheet, func(w io.Writer) error { return paper.WritePlanForm(w, p.ladder, "") }); err != nil {
			return saved(err, o.sheet)
		}
		out.Parf("", "The form is in %s; a plan that was written on it is judged with --plan FILE.", o.sheet)
	}
	err = p.run()
	if err != nil && failed(err) {
		return err
	}
	if closed := p.close(err == nil); closed != nil {
		return closed
	}
	if errors.Is(err, talk.ErrInterrupted) && o.save != "" {
		return fmt.Errorf("interrupted; the plan is safe in %s", o.save)
	}
	return closing(err, "", nil)
}

// read takes the wires of a list.
func (p *planner) read(file string, text []byte) error {
	if file == "-" {
		file = "standard input"
	}
	rows, problems := wirelist.ReadPlan(file, text, nil)
	if problems.Err() != nil {
		return inputError{problems}
	}
	p.wires = wirelist.PlanOf(p.circuit, rows)
	return nil
}

// goOn takes the wires that were kept before.
func (p *planner) goOn() error {
	text, err := p.files.ReadKept(p.o.save)
	switch {
	case errors.Is(err, fs.ErrNotExist) || err == nil && len(text) == 0:
		return nil
	case err != nil:
		return fmt.Errorf("cannot read the plan: %w", err)
	}
	return p.read(p.o.save, text)
}

// keep writes the plan where it is kept.
func (p *planner) keep() error {
	if p.o.save == "" {
		return nil
	}
	return saved(p.files.Write(p.o.save, func(w io.Writer) error { return wirelist.WritePlan(w, p.wires) }), p.o.save)
}

// greet says what there is to do, and shows the ladder.
func (p *planner) greet() {
	p.out.Parf("", "WIRING: %s. Number the conductors of the drawing, and plan wires from terminal to terminal, "+
		"no more than %d on a terminal (terminal blocks and the ground bar take more).", p.circuit.Title, plan.MostWires)
	p.out.Para("", "Any numbers will do, and any contact of the right kind, either way round.")
	p.out.Blank()
	p.draw()
	p.terminals()
	if n := len(p.wires); n > 0 {
		p.out.Parf("", "%s planned so far, from %s.", talk.Count(n, "wire"), p.o.save)
	}
}

// draw shows the ladder as it is handed out.
func (p *planner) draw() {
	how := drawing.Options{Columns: p.out.Columns(), Unnumbered: true, ASCII: !talk.UTF8(os.Getenv)}
	p.out.Raw(p.ladder.Text(how) + "\n")
	for _, line := range p.ladder.Legend(how) {
		p.out.Hang("", line)
	}
	p.out.Blank()
}

// terminals lists what there is to land on.
func (p *planner) terminals() {
	p.out.Para("", "Terminals:")
	for _, d := range p.circuit.Devices {
		p.out.Hang("  ", talk.DeviceTerminals(d))
	}
	p.out.Blank()
}

// close judges the plan and gives the result in its forms. What is not finished is judged only
// where it has been said to be done.
func (p *planner) close(done bool) error {
	if !done {
		p.out.Blank()
		p.out.Para("", "The plan is not done, so it is not judged.")
		if p.o.save != "" {
			what := p.o.circuit + " --wiring"
			if p.o.course != nil {
				what = "--lesson " + p.o.course.Name
			}
			p.out.Parf("", "Go on with: deadrung practice %s --save %s", what, p.o.save)
		} else if len(p.wires) > 0 {
			p.out.Para("", "It was not kept; --save FILE keeps one.")
		}
		return nil
	}
	result := paper.Planned(p.circuit, p.wires)
	if p.o.plan == "" || p.o.course != nil || p.o.scores != "" { // else it is somebody's
		p.book.keep(p.score(result), p.streams)
	}
	if p.o.sheet != "" && p.o.plan != "" {
		if err := p.files.Write(p.o.sheet, func(w io.Writer) error { return paper.WritePlanSheet(w, p.ladder, result) }); err != nil {
			return saved(err, p.o.sheet)
		}
	}
	if p.o.json {
		return output(p.o.output, p.streams, func(w io.Writer) error { return printJSON(w, result) })
	}
	paper.PrintPlan(p.out, result)
	return nil
}

// score is the line of a plan in the file of scores. It is proved where a panel wired so works as
// drawn.
func (p *planner) score(r paper.PlanResult) training.Score {
	lesson := ""
	if p.o.course != nil {
		lesson = p.o.course.Name
	}
	return training.Score{At: p.o.now().Format(time.RFC3339), Lesson: lesson, Circuit: r.Circuit, Hints: p.hints,
		Right: r.Right, Proved: r.Right && len(r.Energised) == 0,
		Wiring: &training.WiringScore{Conductors: r.Conductors, Whole: r.Whole, Mistakes: len(r.Mistakes)}}
}

// typedWire parts what is typed for a wire into number, from and to.
func typedWire(typed string) []string {
	return strings.FieldsFunc(typed, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\t' || r == '>' })
}
