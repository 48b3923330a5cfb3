package main

import (
	"fmt"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/plan"
	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
)

// run takes wires until the plan is done.
func (p *planner) run() error {
	about := ""
	const (
		done = iota
		check
		next
		list
		undo
		drop
		draw
		terminals
		stop
	)
	choices := []talk.Choice{
		done:      {Word: "done", Text: "the plan is done: judge it"},
		check:     {Word: "check", Text: "is it right so far?"},
		next:      {Word: "next", Text: "which conductor comes next, by the order of wiring?"},
		list:      {Word: "list", Text: "the wires so far"},
		undo:      {Word: "undo", Text: "take the last wire out"},
		drop:      {Word: "drop", Text: "take a wire out by its place in the list, as drop 3", About: &about},
		draw:      {Word: "draw", Text: "the drawing again"},
		terminals: {Word: "terminals", Text: "the terminals again"},
		stop:      dialogue.StopChoice,
	}
	if p.o.coach == coachAfter {
		choices[check].Text, choices[next].Text = "(not in this exercise)", "(not in this exercise)"
	}
	q := talk.Question{Text: "A wire? Its number and two terminals, as " + exampleWire + ".",
		Typed: "type a wire: number and two terminals", Choices: choices,
		Help: "Each conductor of the drawing gets one number, and wires from terminal to terminal in a chain. " +
			"\"check\" says what is wrong so far, \"done\" judges the whole plan."}
	for {
		typed, i, err := p.ask.Line(q)
		if err != nil {
			return err
		}
		switch {
		case i == stop:
			return dialogue.ErrStopped
		case i == done:
			return nil
		case (i == check || i == next) && p.o.coach == coachAfter:
			p.out.Para("  ", "The coach speaks after the plan is done.")
		case i == check:
			p.hints++
			p.coach()
		case i == next:
			p.hints++
			p.next()
		case i == list:
			paper.PrintPlannedWires(p.out, p.wires)
		case i == undo:
			err = p.drop(len(p.wires))
		case i == drop:
			n, _ := strconv.Atoi(strings.TrimSpace(about))
			err = p.drop(n)
		case i == draw:
			p.draw()
		case i == terminals:
			p.terminals()
		default:
			err = p.take(typed)
		}
		if err != nil {
			return err
		}
	}
}

// exampleWire shows how a wire is typed.
const exampleWire = "7 CR1:14 H1:1"

// take takes a wire as it is typed.
func (p *planner) take(typed string) error {
	parts := typedWire(typed)
	if len(parts) != 3 {
		p.out.Parf("  ", "%q is no wire: a wire number and two terminals, as %s.", talk.Shortened(typed), exampleWire)
		return nil
	}
	w := plan.Wire{Number: parts[0]}
	for i, end := range []*circuits.Terminal{&w.From, &w.To} {
		var ok bool
		if *end, ok = p.terminal(parts[1+i]); !ok {
			p.out.Parf("  ", "There is no terminal %s%s.", talk.Shortened(parts[1+i]), talk.NearTerminal(p.circuit, circuits.Terminal(parts[1+i])))
			return nil
		}
	}
	p.wires = append(p.wires, w)
	if err := p.keep(); err != nil {
		return err
	}
	p.out.Parf("  ", "%d. %s", len(p.wires), talk.Sentence(talk.PlannedWire(w)))
	if p.o.coach == coachAlways {
		p.said(plan.Judge(p.circuit, p.wires[:len(p.wires)-1]))
	}
	return nil
}

// terminal finds a terminal as it is typed; case does not matter.
func (p *planner) terminal(typed string) (circuits.Terminal, bool) {
	for _, d := range p.circuit.Devices {
		for _, name := range d.Terminals {
			if t := d.Terminal(name); strings.EqualFold(string(t), typed) {
				return t, true
			}
		}
	}
	return "", false
}

// drop takes a wire out by its place in the list.
func (p *planner) drop(n int) error {
	if n < 1 || n > len(p.wires) {
		p.out.Parf("  ", "There is no such wire; %s planned.", talk.Count(len(p.wires), "wire")+talk.Verb(len(p.wires), " is", " are"))
		return nil
	}
	p.out.Parf("  ", "Out: %s.", talk.PlannedWire(p.wires[n-1]))
	p.wires = append(p.wires[:n-1:n-1], p.wires[n:]...)
	return p.keep()
}

// coach says what is wrong so far, or that nothing is.
func (p *planner) coach() {
	j := plan.Judge(p.circuit, p.wires)
	if !p.wrong(j) {
		p.out.Parf("  ", "Right so far: %s.", talk.Wholes(j.Done(), len(j.Whole)))
	}
}

// wrong says what is wrong whatever is wired later; false where nothing is.
func (p *planner) wrong(j *plan.Judgement) bool {
	found := false
	for _, m := range j.Mistakes {
		if !m.Unfinished() {
			found = true
			p.out.Hang("  Coach: ", talk.Sentence(talk.PlanMistake(p.circuit, p.wires, m)))
		}
	}
	return found
}

// said is what the coach says of the last wire: what is wrong now, or what is whole by it.
func (p *planner) said(before *plan.Judgement) {
	j := plan.Judge(p.circuit, p.wires)
	if p.wrong(j) {
		return
	}
	for _, r := range p.rungs {
		if whole(r, j) && !whole(r, before) {
			p.out.Parf("  ", "Coach: %s is whole.", rungName(r))
		}
	}
}

// whole tells whether all conductors of a rung are.
func whole(r wirelist.Rung, j *plan.Judgement) bool {
	for _, n := range r.Conductors {
		if !j.Whole[n] {
			return false
		}
	}
	return true
}

func rungName(r wirelist.Rung) string {
	if r.Number == 0 {
		return "the feed to the rungs"
	}
	return fmt.Sprintf("rung %d", r.Number)
}

// next says which conductor comes next in the order of wiring, by what meets there.
func (p *planner) next() {
	j := plan.Judge(p.circuit, p.wires)
	for _, r := range p.rungs {
		for _, n := range r.Conductors {
			if !j.Whole[n] {
				p.out.Parf("  ", "Next, rung by rung: %s, the conductor where %s meet.", rungName(r), talk.Meeting(p.circuit.Numbers[n]))
				return
			}
		}
	}
	p.out.Para("  ", "Every conductor is whole.")
}
