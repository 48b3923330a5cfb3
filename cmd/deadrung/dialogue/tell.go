package dialogue

import (
	"fmt"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// draws has the drawing show the check that is asked for, or none.
func (d *Dialogue) draws(c *log.Check) {
	if d.Follow != nil {
		d.Follow(c)
	}
}

// tell tells what came of an answer.
func (d *Dialogue) tell(e guide.Event) {
	switch e.Kind {
	case guide.LockOut, guide.BackToPower, guide.Warn:
	default:
		d.acknowledged()
	}
	switch e.Kind {
	case guide.LockOut, guide.BackToPower:
		if e.Before == guide.BeforeCheck || e.Before == guide.BeforeProof {
			d.Out.Blank()
		}
		d.Notice(d.powerNotice(e))
	case guide.Warn:
		if e.Caution == guide.ProveMeter {
			d.Out.Blank()
		}
		d.Notice(d.Speak.Warned(e.Caution))
	case guide.Instruct:
		if e.Anew && !e.Noticed {
			d.Out.Blank()
		}
		d.instruct(e)
		if e.Anew {
			d.draws(e.Check)
		}
	case guide.Why:
		if e.Text != "" {
			d.whyFault(e.Text)
			return
		}
		for _, line := range append(d.Speak.Reasons(e.Proposal, d.Turn()), d.Speak.RunnersUp(e.Proposal, d.Turn())...) {
			d.Out.Hang("  - ", line)
		}
	case guide.Draw:
		d.drawCheck(*e.Check)
	case guide.Possible:
		d.Possible()
	case guide.Land:
		d.Out.Parf("  ", "Land every wire on %s again, tight.", talk.Joined(e.Terminals, " and "))
	case guide.Contradicts:
		d.contradict()
		if d.Turn().Next == nil {
			d.draws(nil)
		}
	case guide.Healthy:
		d.Out.Blank()
		for _, line := range d.Speak.Healthy() {
			d.Out.Para("", line)
		}
		d.draws(nil)
	case guide.ItWorks:
		d.Out.Blank()
		for _, p := range d.Speak.ComesAndGoes(e.Check, e.From) {
			d.Out.Point(p)
		}
		d.draws(e.Check)
	case guide.Verdict:
		d.verdict()
		d.draws(nil)
	case guide.ToProve:
		d.Out.Blank()
		for _, l := range d.Speak.Verdict(d.Turn()) {
			d.Out.Point(l)
		}
	case guide.ProofBegins:
		d.proofBegins()
	case guide.StepToWork:
		if e.Seen == nil {
			d.Out.Blank()
		}
		d.Out.Hang("  Step ", d.Speak.StepLine(e.Step))
		if e.Seen != nil {
			d.Out.Point(talk.Point{Label: "Seen", Text: sightWords(e.Seen)})
			return
		}
		d.Out.Point(talk.Point{Label: "Must be", Text: d.Speak.MustBe(e.Step)})
	case guide.MustBe:
		d.Out.Point(talk.Point{Label: "Must be", Text: d.Speak.MustBe(e.Step)})
	case guide.RepairProved:
		if d.Guide.Rules().Proposes {
			d.Out.Blank()
			d.Out.Para("", "REPAIR PROVED: the whole operation worked right.")
			d.Out.Para("", "Covers back, tools and leads out, tags off, and tell the people who run it.")
		}
	case guide.Refused:
		d.Out.Para("  ", talk.Sentence(e.Text))
	default:
		if text := d.noteWords(e); text != "" {
			d.Out.Para("  ", text)
			return
		}
		d.tellOfPanel(e)
	}
}

// noteWords says in a sentence what an answer has changed; nothing for what takes more.
func (d *Dialogue) noteWords(e guide.Event) string {
	switch e.Kind {
	case guide.Noted:
		text := fmt.Sprintf("Noted: %s.", d.Speak.Answer(e.Entry.Check, e.Entry.Answer))
		switch e.Entry.Answer.Seems {
		case log.Dim, log.Chatters:
			return text + " It gets a part of its volts: measure them at its terminals, live."
		case log.Flashing:
			return text + " Something comes and goes: a loose wire, a contact that chatters. " +
				"Move wires and plugs with a dry stick while you watch. Works it at the moment? Take \"works\"."
		case log.Unknown:
			return text + " It counts for nothing, and is not asked again."
		}
		if d.Speak.Stray(e.Proposal, *e.Entry.Answer) {
			d.Out.Para("  ", text)
			return "It may be a stray voltage: a wire that hangs free reads up to half the supply. To the grounded side, the low-impedance mode of the meter shows it as 0 V."
		}
		return text
	case guide.SeenNoted:
		return fmt.Sprintf("Noted: %s. That makes what can be wrong there likely; it is still to be proved.",
			talk.Found(*e.Found))
	case guide.UnsureNext:
		return "The answer that you give now counts by half."
	case guide.FailsAgain:
		return "Noted, with the time. Leave everything as it stands, and make this check now."
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
		return fmt.Sprintf("Taken back: %s.", d.Speak.Entry(*e.Entry))
	case guide.NothingToTake:
		return "There is nothing to take back."
	case guide.Dropped:
		return fmt.Sprintf("Dropped: %s.", d.Speak.Entry(*e.Entry))
	case guide.LooksSound:
		return d.Speak.SoundAfter(e.First, d.Turn(), d.Log())
	case guide.SpeaksAlone:
		return "No fault that fits the other readings gives this one. If a lead may have slipped, take the answer back and measure again."
	case guide.RulesOut:
		return d.withKnown(fmt.Sprintf("That rules out %s. Still possible: %s.", talk.Count(e.Count, "fault"), talk.Remaining(d.Turn())))
	case guide.PossibleNow:
		return fmt.Sprintf("Still possible now: %s.", talk.Remaining(d.Turn()))
	case guide.RulesOutNone:
		return d.withKnown(fmt.Sprintf("That rules out nothing new. Still possible: %s.", talk.Remaining(d.Turn())))
	case guide.Changed:
		return d.Speak.Changed(d.Turn(), talk.ByCheck(d.Log()))[e.Index]
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

// withKnown adds to a sentence what is known to be good.
func (d *Dialogue) withKnown(text string) string {
	if known := talk.KnownGood(d.Model.KnownGood(d.Turn())); known != "" {
		return text + " " + known
	}
	return text
}

// Notice shows a caution. On a terminal it stays until it is acknowledged; cautions that
// fit the screen together are acknowledged together.
func (d *Dialogue) Notice(n talk.Notice) {
	if screen, ok := d.Ask.(talk.Acknowledger); ok && d.Guide.Rules().Entered { // a simulated panel hurts nobody
		lines := d.Out.Height(n)
		if d.unread > 0 && d.unread+lines > screen.Rows() {
			d.acknowledged()
		}
		d.unread += lines
	}
	d.Out.Notice(n)
}

// acknowledged waits until the cautions on the screen are acknowledged.
func (d *Dialogue) acknowledged() {
	if screen, ok := d.Ask.(talk.Acknowledger); ok && d.unread > 0 {
		screen.Acknowledge()
	}
	d.unread = 0
}

// powerNotice is what comes before the power goes off or on.
func (d *Dialogue) powerNotice(e guide.Event) talk.Notice {
	off := e.Kind == guide.LockOut
	switch {
	case off && e.Before == guide.BeforeRepair:
		return talk.LockOutOf(d.Model.Panel(), talk.BeforeRepair)
	case off:
		return talk.LockOutOf(d.Model.Panel(), talk.BeforeCheck)
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
func (d *Dialogue) waitLonger(p *diagnose.Proposal, from guide.Standing) {
	c := d.Model.Panel().Circuit
	to := c.Step(p.Check.Step)
	for i, s := range c.Steps[:to+1] {
		if more := p.Longer[s.Name]; more > 0 && (i > from.Step || from.Step > to) {
			d.Out.Point(talk.Point{Label: "Wait", Text: fmt.Sprintf(
				"in step %d until the timer has timed out: up to %.1f s longer if it is slow", i+1, more)})
		}
	}
}

// instruct tells how to make a check, and its reason.
func (d *Dialogue) instruct(e guide.Event) {
	p := e.Proposal
	d.Out.Para("", d.Speak.Title(p, e.Number, e.Again, e.Further))
	from := e.From
	if p.Anew {
		from = guide.AsFound // a timer has run on where it stands
	}
	for _, line := range d.Speak.Instruction(p.Check, from) {
		d.Out.Point(line)
	}
	d.waitLonger(p, from)
	if p.Within > 0 {
		d.Out.Point(talk.Point{Label: "Soon", Text: fmt.Sprintf("within %.0f s of the end of that step: a timer runs on there", p.Within)})
	}
	reason := d.Speak.Reason(p, d.Turn())
	switch {
	case e.Again && len(p.Outcomes) > 0:
		reason = talk.AskedAgain(d.Turn())
	case e.Again:
		reason = "the new reading takes the place of the old one"
	}
	d.Out.Point(talk.Point{Label: "Why", Text: talk.Sentence(reason)})
}

// Possible shows what is left and what each reading ruled out.
func (d *Dialogue) Possible() {
	d.Out.Parf("", "Still possible: %s.", talk.Remaining(d.Turn()))
	d.Chances(10)
	history := d.Log()
	for _, s := range history.Seen {
		d.Out.Hang("  -  ", talk.Found(s)+".")
	}
	if len(history.Entries) == 0 {
		return
	}
	d.Out.Para("", "What the readings ruled out:")
	numbers := guide.Numbers(history.Entries)
	for i, t := range d.Speak.Tallies(history) {
		d.Out.Hang(talk.NumberMark(numbers[i]), d.Speak.Entry(t.Entry)+"; "+d.Speak.RuledOut(t, 3)+".")
	}
}

// Chances lists the likeliest groups that are left.
func (d *Dialogue) Chances(most int) {
	for _, g := range d.Speak.Possible(d.Turn(), most) {
		d.Out.Hang(fmt.Sprintf("  %4s  ", g.Label), g.Text)
	}
}

// contradict tells which readings contradict each other, and what to do.
func (d *Dialogue) contradict() {
	d.Out.Blank()
	for _, p := range d.Speak.Contradiction(d.Turn(), d.Log()) {
		d.Out.Hang(p.Mark, p.Text)
	}
}

// verdict says what was found, where it sits and how it is put right.
func (d *Dialogue) verdict() {
	d.Out.Blank()
	t := d.Turn()
	if t.Status == diagnose.GroupLeft {
		for _, line := range d.Speak.GroupLeft(t, d.Cannots()) {
			d.Out.Para("", line)
		}
	}
	for _, l := range d.Speak.Verdict(t) {
		d.Out.Point(l)
	}
	if proof := talk.ProofWords(t); proof != "" {
		d.Out.Point(talk.Point{Label: "Proof", Text: proof})
	}
	for i, text := range d.Speak.Repair(t) {
		d.Out.Point(talk.Point{Label: []string{"Repair", ""}[min(i, 1)], Text: text})
	}
	d.Out.Blank()
}

// Cannots counts the checks that were out of reach.
func (d *Dialogue) Cannots() int {
	n := 0
	for _, e := range d.Log().Entries {
		if e.Answer == nil {
			n++
		}
	}
	return n
}

// proofBegins tells how the operation is proved.
func (d *Dialogue) proofBegins() {
	if d.Guide.Sitting() == nil {
		d.Out.Para("", "PROOF OF OPERATION. Work every step; each must do what it says.")
	} else {
		d.Out.Para("", "PROOF OF OPERATION. Every step is worked; say whether it works right.")
	}
	d.Out.Hang("  ", d.Speak.FromRest())
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
func (d *Dialogue) whyFault(id string) {
	i, err := faultmodel.Find(d.Model.Faults(), id)
	if err != nil {
		d.Out.Para("  ", talk.Sentence(err.Error()))
		return
	}
	f, readings, name := d.Model.Faults()[i], d.Model.Evidence(d.Log(), i), talk.ByCheck(d.Log())
	d.Out.Para("  ", talk.Sentence(f.Text+": "+talk.SummedUp(readings)))
	for _, r := range readings {
		entry := d.Log().Entries[r.Index]
		d.Out.Hang("  - ", fmt.Sprintf("%s, %s: %s; this fault shows %s.", talk.SentenceStart(talk.CountsWords(r)), name(r.Index, r.Line),
			d.Speak.Entry(entry), d.Speak.Foretold(entry.Check, r.Reading)))
	}
}
