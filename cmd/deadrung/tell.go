package main

import (
	"fmt"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// tell tells what came of an answer.
func (d *dialogue) tell(e guide.Event) {
	switch e.Kind {
	case guide.LockOut, guide.BackToPower, guide.Warn:
	default:
		d.acknowledged()
	}
	switch e.Kind {
	case guide.LockOut, guide.BackToPower:
		if e.Before == guide.BeforeCheck || e.Before == guide.BeforeProof {
			d.out.Blank()
		}
		d.notice(d.powerNotice(e))
	case guide.Warn:
		d.notice(d.speak.Warned(e.Caution))
	case guide.Instruct:
		if e.Anew && !e.Noticed {
			d.out.Blank()
		}
		d.instruct(e)
		if e.Anew {
			d.follow(e.Check)
		}
	case guide.Why:
		if e.Text != "" {
			d.whyFault(e.Text)
			return
		}
		for _, line := range append(d.speak.Reasons(e.Proposal, d.turn()), d.speak.RunnersUp(e.Proposal, d.turn())...) {
			d.out.Hang("  - ", line)
		}
	case guide.Draw:
		d.drawCheck(*e.Check)
	case guide.Possible:
		d.possible()
	case guide.Land:
		d.out.Parf("  ", "Land every wire on %s again, tight.", talk.Joined(e.Terminals, " and "))
	case guide.Contradicts:
		d.contradict()
		if d.turn().Next == nil {
			d.follow(nil)
		}
	case guide.Healthy:
		d.out.Blank()
		for _, line := range d.speak.Healthy() {
			d.out.Para("", line)
		}
		d.follow(nil)
	case guide.Verdict:
		d.verdict()
		d.follow(nil)
	case guide.ToProve:
		d.out.Blank()
		for _, l := range d.speak.Verdict(d.turn()) {
			d.out.Point(l)
		}
	case guide.ProofBegins:
		d.proofBegins()
	case guide.StepToWork:
		if e.Seen == nil {
			d.out.Blank()
		}
		d.out.Hang("  Step ", d.speak.StepLine(e.Step))
		if e.Seen != nil {
			d.out.Point(talk.Point{Label: "Seen", Text: sightWords(e.Seen)})
			return
		}
		d.out.Point(talk.Point{Label: "Must be", Text: d.speak.MustBe(e.Step)})
	case guide.MustBe:
		d.out.Point(talk.Point{Label: "Must be", Text: d.speak.MustBe(e.Step)})
	case guide.RepairProved:
		if d.guide.Rules().Proposes {
			d.out.Blank()
			d.out.Para("", "REPAIR PROVED: the whole operation worked right.")
			d.out.Para("", "Covers back, tools and leads out, tags off, and tell the people who run it.")
		}
	case guide.Refused:
		d.out.Para("  ", talk.Sentence(e.Text))
	default:
		if text := d.noteWords(e); text != "" {
			d.out.Para("  ", text)
			return
		}
		d.tellOfPanel(e)
	}
}

// noteWords says in a sentence what an answer has changed; nothing for what takes more.
func (d *dialogue) noteWords(e guide.Event) string {
	switch e.Kind {
	case guide.Noted:
		text := fmt.Sprintf("Noted: %s.", d.speak.Answer(e.Entry.Check, e.Entry.Answer))
		switch e.Entry.Answer.Seems {
		case log.Dim, log.Chatters:
			return text + " It gets a part of its volts: measure them at its terminals, live."
		case log.Flashing:
			return text + " Something comes and goes: a loose wire, a contact that chatters. " +
				"Move wires and plugs with a dry stick while you watch."
		case log.Unknown:
			return text + " It counts for nothing, and is not asked again."
		}
		if d.speak.Stray(e.Proposal, *e.Entry.Answer) {
			d.out.Para("  ", text)
			return "It may be a stray voltage: a wire that hangs free reads up to half the supply. To the grounded side, the low-impedance mode of the meter shows it as 0 V."
		}
		return text
	case guide.SeenNoted:
		return fmt.Sprintf("Noted: %s. That makes what can be wrong there likely; it is still to be proved.",
			talk.Found(*e.Found))
	case guide.UnsureNext:
		return "The answer that you give now counts by half."
	case guide.NoteKept:
		return "Noted. It goes into the log with the answer of this check."
	case guide.CannotBeMade:
		return "Noted: it cannot be made here. It and its equals are not proposed again."
	case guide.OneByOne:
		return "Once more from there, step by step."
	case guide.TakenBack:
		if e.Found != nil {
			return fmt.Sprintf("Taken back: %s.", talk.Found(*e.Found))
		}
		return fmt.Sprintf("Taken back: %s.", d.speak.Entry(*e.Entry))
	case guide.NothingToTake:
		return "There is nothing to take back."
	case guide.Dropped:
		return fmt.Sprintf("Dropped: %s.", d.speak.Entry(*e.Entry))
	case guide.LooksSound:
		return d.speak.SoundAfter(e.First, d.turn(), d.log())
	case guide.SpeaksAlone:
		return "No fault that fits the other readings gives this one. If a lead may have slipped, take the answer back and measure again."
	case guide.RulesOut:
		return fmt.Sprintf("That rules out %s. Still possible: %s.", talk.Count(e.Count, "fault"), talk.Remaining(d.turn()))
	case guide.PossibleNow:
		return fmt.Sprintf("Still possible now: %s.", talk.Remaining(d.turn()))
	case guide.RulesOutNone:
		return fmt.Sprintf("That rules out nothing new. Still possible: %s.", talk.Remaining(d.turn()))
	case guide.Changed:
		return d.speak.Changed(d.turn(), talk.ByCheck(d.log()))[e.Index]
	case guide.ProofAgrees:
		if e.Count > 0 {
			return "The proof agrees with the verdict. One wrong reading could still hide another fault: one more proof."
		}
		return "The proof agrees with the verdict."
	case guide.ProofDiffers:
		return "The proof does not agree with the verdict."
	}
	return ""
}

// notice shows a caution. On a terminal it stays until it is acknowledged; cautions that
// fit the screen together are acknowledged together.
func (d *dialogue) notice(n talk.Notice) {
	if menus, ok := d.ask.(*talk.Menus); ok && d.guide.Rules().Entered { // a simulated panel hurts nobody
		lines := d.out.Height(n)
		if d.unread > 0 && d.unread+lines > menus.Rows() {
			d.acknowledged()
		}
		d.unread += lines
	}
	d.out.Notice(n)
}

// acknowledged waits until the cautions on the screen are acknowledged.
func (d *dialogue) acknowledged() {
	if menus, ok := d.ask.(*talk.Menus); ok && d.unread > 0 {
		menus.Acknowledge()
	}
	d.unread = 0
}

// powerNotice is what comes before the power goes off or on.
func (d *dialogue) powerNotice(e guide.Event) talk.Notice {
	off := e.Kind == guide.LockOut
	switch {
	case off && e.Before == guide.BeforeRepair:
		return talk.LockOutOf(d.m.Panel(), talk.BeforeRepair)
	case off:
		return talk.LockOutOf(d.m.Panel(), talk.BeforeCheck)
	case e.Before == guide.BeforeProof:
		return talk.BackToPower(talk.ToProve)
	case e.Before == guide.BeforeWork:
		return talk.BackToPower("")
	case e.Before == guide.BeforeBench:
		return talk.BackToPowerAtOnce()
	}
	return talk.BackToPower(talk.BeforeCheck)
}

// waitLonger tells of the steps that are worked for a check where to wait until a timer has timed out.
func (d *dialogue) waitLonger(p *diagnose.Proposal, from guide.Standing) {
	c := d.m.Panel().Circuit
	to := c.Step(p.Check.Step)
	for i, s := range c.Steps[:to+1] {
		if more := p.Longer[s.Name]; more > 0 && (i > from.Step || from.Step > to) {
			d.out.Point(talk.Point{Label: "Wait", Text: fmt.Sprintf(
				"in step %d until the timer has timed out: up to %.1f s longer if it is slow", i+1, more)})
		}
	}
}

// instruct tells how to make a check, and its reason.
func (d *dialogue) instruct(e guide.Event) {
	p := e.Proposal
	d.out.Para("", d.speak.Title(p, e.Number, e.Again, e.Further))
	from := e.From
	if p.Anew {
		from = guide.AsFound // a timer has run on where it stands
	}
	for _, line := range d.speak.Instruction(p.Check, from) {
		d.out.Point(line)
	}
	d.waitLonger(p, from)
	if p.Within > 0 {
		d.out.Point(talk.Point{Label: "Soon", Text: fmt.Sprintf("within %.0f s of the end of that step: a timer runs on there", p.Within)})
	}
	reason := d.speak.Reason(p, d.turn())
	switch {
	case e.Again && len(p.Outcomes) > 0:
		reason = talk.AskedAgain(d.turn())
	case e.Again:
		reason = "the new reading takes the place of the old one"
	}
	d.out.Point(talk.Point{Label: "Why", Text: talk.Sentence(reason)})
}

// possible shows what is left and what each reading ruled out.
func (d *dialogue) possible() {
	d.out.Parf("", "Still possible: %s.", talk.Remaining(d.turn()))
	d.chances(10)
	history := d.log()
	for _, s := range history.Seen {
		d.out.Hang("  -  ", talk.Found(s)+".")
	}
	if len(history.Entries) == 0 {
		return
	}
	d.out.Para("", "What the readings ruled out:")
	numbers := guide.Numbers(history.Entries)
	for i, t := range d.speak.Tallies(history) {
		d.out.Hang(talk.NumberMark(numbers[i]), d.speak.Entry(t.Entry)+"; "+d.speak.RuledOut(t, 3)+".")
	}
}

// chances lists the likeliest groups that are left.
func (d *dialogue) chances(most int) {
	for _, g := range d.speak.Possible(d.turn(), most) {
		d.out.Hang(fmt.Sprintf("  %4s  ", g.Label), g.Text)
	}
}

// contradict tells which readings contradict each other, and what to do.
func (d *dialogue) contradict() {
	d.out.Blank()
	for _, p := range d.speak.Contradiction(d.turn(), d.log()) {
		d.out.Hang(p.Mark, p.Text)
	}
}

// verdict says what was found, where it sits and how it is put right.
func (d *dialogue) verdict() {
	d.out.Blank()
	t := d.turn()
	if t.Status == diagnose.GroupLeft {
		for _, line := range d.speak.GroupLeft(t, d.cannots()) {
			d.out.Para("", line)
		}
	}
	for _, l := range d.speak.Verdict(t) {
		d.out.Point(l)
	}
	if proof := talk.ProofWords(t); proof != "" {
		d.out.Point(talk.Point{Label: "Proof", Text: proof})
	}
	for i, text := range d.speak.Repair(t) {
		d.out.Point(talk.Point{Label: []string{"Repair", ""}[min(i, 1)], Text: text})
	}
	d.out.Blank()
}

// cannots counts the checks that were out of reach.
func (d *dialogue) cannots() int {
	n := 0
	for _, e := range d.log().Entries {
		if e.Answer == nil {
			n++
		}
	}
	return n
}

// proofBegins tells how the operation is proved.
func (d *dialogue) proofBegins() {
	if d.guide.Sitting() == nil {
		d.out.Para("", "PROOF OF OPERATION. Work every step; each must do what it says.")
	} else {
		d.out.Para("", "PROOF OF OPERATION. Every step is worked; say whether it works right.")
	}
	d.out.Hang("  ", d.speak.FromRest())
}

// sightWords list what is on and off.
func sightWords(s *guide.Sight) string {
	var parts []string
	for _, p := range []struct {
		what  string
		names []string
	}{{"on", s.On}, {"off", s.Off}, {"chatters or glimmers", s.Odd}} {
		if len(p.names) > 0 {
			parts = append(parts, p.what+": "+strings.Join(p.names, ", "))
		}
	}
	return strings.Join(parts, "; ") + "."
}

// whyFault tells which readings count for and against a fault that is named by its
// identity.
func (d *dialogue) whyFault(id string) {
	i, err := faultmodel.Find(d.m.Faults(), id)
	if err != nil {
		d.out.Para("  ", talk.Sentence(err.Error()))
		return
	}
	f, readings, name := d.m.Faults()[i], d.m.Evidence(d.log(), i), talk.ByCheck(d.log())
	d.out.Para("  ", talk.Sentence(f.Text+": "+talk.SummedUp(readings)))
	for _, r := range readings {
		entry := d.log().Entries[r.Index]
		d.out.Hang("  - ", fmt.Sprintf("%s, %s: %s; this fault shows %s.", talk.SentenceStart(talk.CountsWords(r)), name(r.Index, r.Line),
			d.speak.Entry(entry), d.speak.Foretold(entry.Check, r.Reading)))
	}
}
