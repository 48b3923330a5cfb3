package paper

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/checkout"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// outPart heads a part of the check-out.
type outPart struct{ title, how string }

// partWords say what is done for the checks of a part.
var partWords = map[checkout.Sort]outPart{
	checkout.Lifted: {"With a wire lifted",
		"For each check lift every wire off the terminal that is named; the leads go where the check says. Land it again at once, tight: the checks below prove that it is landed, but where it says to tug it. At a fuse or a breaker it does as well to pull or open it."},
	checkout.Plain: {"Nothing lifted, nothing held but what is named",
		"Every wire landed, fuses in, breakers closed."},
	checkout.Held: {"With operators held",
		"As before; one more person holds or sets what is named."},
}

// holding tells what is held for a check.
func (r *CheckOut) holding(c log.Check) string {
	step := max(0, r.Speak.Circuit.Step(c.Step))
	return r.Speak.Holding(step, guide.Standing{Step: -1, Locked: true, Held: -1})[0].Text
}

// Agreeing writes the readings that agree with a good circuit.
func Agreeing(c checkout.Check) string {
	switch {
	case c.High == log.OL:
		return "OL, or above " + talk.Amount(c.Low, log.Ohms)
	case c.Low == 0:
		return "below " + talk.Amount(c.High, log.Ohms)
	}
	return talk.QuantityOf(c.Low, log.Ohms).To(talk.QuantityOf(c.High, log.Ohms))
}

// endOf names where a lead of a check goes: device, terminal, place, and the core that lands there.
func endOf(e checkout.End) string {
	_, terminal := e.Terminal.Split()
	text := fmt.Sprintf("%s %s:%s (%s", e.Device.Type.Called(), e.Device.Name, terminal, e.Device.Place)
	for _, c := range e.Cores {
		text += ", " + c.Cable
		if c.Core != "" {
			text += " core " + c.Core
		}
	}
	return text + ")"
}

// at heads the checks that are made at one place, and of one cable.
func (r *CheckOut) at(c checkout.Check) string {
	var places []string
	for _, d := range r.Speak.Circuit.Devices {
		if r.Model.Book().AreaOf(d.Place) == c.Area && !slices.Contains(places, d.Place) {
			places = append(places, d.Place)
		}
	}
	text := "At: " + talk.Joined(places, " and ")
	if cable := c.Cable(); cable != "" {
		text += "; cable " + cable
	}
	return text
}

// Where writes the leads of a check, and what lies between.
func Where(c checkout.Check) string {
	text := fmt.Sprintf("%s to %s", endOf(c.Ends[0]), endOf(c.Ends[1]))
	var lifted []string
	for _, e := range c.Lifted {
		off := string(e.Terminal)
		if p := e.Device.Place; p != c.Ends[0].Device.Place && p != c.Ends[1].Device.Place {
			off += " (" + p + ")"
		}
		lifted = append(lifted, off)
	}
	if len(lifted) > 0 {
		text += ", wires lifted off " + talk.Joined(lifted, " and ")
	}
	if len(c.Through) > 0 {
		text += ", through " + listedNames(c.Through)
	}
	if len(c.Tug) > 0 {
		text += "; tug every wire on " + talk.Joined(c.Tug,
			" and ") + " once it is landed again, for no later check proves it"
	}
	return text
}

// listedNames lists names, cut where they are many.
func listedNames(names []string) string {
	const most = 6
	if len(names) > most {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	return strings.Join(names, ", ")
}

// Summary says what the checks are worth.
func (r *CheckOut) Summary() []string {
	n, tried, exact, bound := 0, 0, true, 0
	for _, p := range r.Plan.Rounds {
		n += len(p.Checks)
		bound += p.Bound
		tried += p.Tried
		exact = exact && p.Fewest()
	}
	few := fmt.Sprintf("Of the %d checks to choose from, %d at the least are needed.", tried, bound)
	if exact {
		few = fmt.Sprintf("They are the fewest, proved, of the %d checks to choose from.", tried)
	}
	lines := []string{fmt.Sprintf("%s that read otherwise for %s, each by itself: a wire open or on another terminal of its device, wires exchanged, any two wire numbers touching, a number to ground. %s",
		talk.Count(n, "ohms check"), talk.Count(r.Plan.Faults-len(r.Plan.Unseen), "wiring fault"), few)}
	if len(r.Plan.Unseen) > 0 {
		lines = append(lines, fmt.Sprintf("None of them shows for certain %s; the first energising has to:", talk.Count(len(r.Plan.Unseen), "more fault")))
	}
	if r.Plan.Ungrounded {
		lines = append(lines, "The circuit file has no ground, so nothing here is proved against the metalwork.")
	}
	return lines
}

// Unseen lists the faults that no check shows, the first of many.
func (r *CheckOut) Unseen() []string {
	const most = 12
	var lines []string
	for i, u := range r.Plan.Unseen {
		if i == most {
			return append(lines, fmt.Sprintf("and %d more; --json has them all", len(r.Plan.Unseen)-most))
		}
		text := u.Text
		if u.Near {
			text += " (seen where coils are near their rated ohms)"
		}
		lines = append(lines, text)
	}
	return lines
}

// Rules tell how to go about the checks. Common practice, no source.
func (r *CheckOut) Rules() []string {
	rules := []string{
		"Touch the leads together first. Take what the meter then reads off every reading.",
		"Read the number, not the beep. Tick what agrees, write down what does not, and stop there.",
	}
	if usual := r.usualOhms(); usual != "" {
		rules = append(rules, "The circuit file does not give the ohms of these, so usual ones are taken: "+usual+". Measure one of each at the part before, and give its ohms in the file if it is another.")
	}
	return rules
}

// afterWrong tells what to do with a reading that does not agree.
func (r *CheckOut) afterWrong() string {
	return fmt.Sprintf(`A reading that does not agree: "deadrung wirelist %s --check-out --log FILE --wrong N=READING", and then "%s".`, r.name, GoOn(r.name, "FILE"))
}

// usualOhms lists the parts whose ohms are not those of the file: by their ohms, in the
// order of the file.
func (r *CheckOut) usualOhms() string {
	var kinds []string
	on := make(map[string][]string)
	note := func(name string, ohms float64) {
		kind := talk.Amount(ohms, log.Ohms)
		if ohms >= diagnose.OpenFrom {
			kind = "OL"
		}
		if on[kind] == nil {
			kinds = append(kinds, kind)
		}
		on[kind] = append(on[kind], name)
	}
	p := r.Model.Panel()
	for _, d := range r.Speak.Circuit.Devices {
		switch {
		case d.Ohms > 0 || d.Rectifier():
		case d.Transformer():
			note("winding of "+d.Name, p.Net.Source(p.Source(d)).WindingOhms)
		case p.Load(d) != 0:
			note(d.Name, p.Values(d).Ohms)
		}
	}
	var parts []string
	for _, k := range kinds {
		parts = append(parts, listedNames(on[k])+" "+k)
	}
	return strings.Join(parts, "; ")
}

// Energising gives the stages before the operation, in words. Common practice, no source.
func (r *CheckOut) Energising() []string {
	operators := r.Speak.Rest()
	if operators != "every operator at rest" {
		operators = "operators: " + operators
	}
	lines := []string{
		"All checks above agree. Every lifted wire is landed, meter and tools are out.",
		"Every fuse out, every breaker open. " + talk.Sentence(operators),
		"A fuse that opens, smoke, or a thing that moves before its step: off at once, lock out, and find the fault before the next try.",
		"People clear and told, covers on. Take off locks and tags, each by the person who put it there.",
	}
	for _, f := range r.feeds {
		do := f.Device.Type.SwitchOn + " " + talk.Called(f.Device)
		switch {
		case r.Model.Panel().PrimaryWired(f.Device): // what feeds it is in already
			do = "Measure " + talk.Called(f.Device)
		case f.Device.Type.Kind == circuits.LinkKind && !f.Device.Type.Isolates():
			do = "Switch off and lock, prove dead, put in " + talk.Called(f.Device) + ", switch on again"
		}
		if f.Check.Kind() == 0 {
			lines = append(lines, do+".")
			continue
		}
		when := ""
		if step := r.Speak.Circuit.Step(f.Check.Step); step > 0 {
			when = fmt.Sprintf("; from %s on", r.Speak.StepName(step))
		}
		lines = append(lines, fmt.Sprintf("%s. %s to %s: %s%s.", do, f.Check.Volts[0], f.Check.Volts[1],
			talk.QuantityOf(f.Low, log.Volts).To(talk.QuantityOf(f.High, log.Volts)), when))
	}
	return lines
}

// StepLines give each step of the operation with what must happen in it.
func (r *CheckOut) StepLines() (do, must []string) {
	c := r.Speak.Circuit
	was := make(map[string]bool)
	for i, st := range c.Steps {
		var changed, stays []string
		for _, d := range r.Model.Panel().Visible() {
			u, err := r.Model.Usual(log.Check{Look: d.Name, Step: st.Name})
			if err != nil || !u.Firm {
				continue
			}
			text := d.Name + " " + talk.Showing(d, u.On)
			if was[d.Name] != u.On || i == 0 && u.On {
				changed = append(changed, text)
			} else if u.On {
				stays = append(stays, text)
			}
			was[d.Name] = u.On
		}
		text := "nothing changes"
		if len(changed) > 0 {
			text = strings.Join(changed, ", ")
		}
		if len(stays) > 0 {
			text += "; still " + strings.Join(stays, ", ")
		}
		do = append(do, r.Speak.Step(i).Work())
		must = append(must, talk.Sentence(text))
	}
	return do, must
}

// Print prints the check-out for people.
func (r *CheckOut) Print(out *talk.Page) {
	out.Parf("", "%s: check-out before first power", r.Speak.Circuit.Title)
	out.Blank()
	out.Notice(talk.CautionOf(r.Speak.Model.Panel()))
	out.Notice(talk.LockOutOf(r.Speak.Model.Panel(), talk.BeforeCheck))
	for _, line := range r.Summary() {
		out.Para("", line)
	}
	for _, line := range r.Unseen() {
		out.Hang("  - ", line)
	}
	out.Blank()
	for _, rule := range append(r.Rules(), r.afterWrong()) {
		out.Hang("  - ", rule)
	}
	n := 0
	for _, p := range r.Plan.Rounds {
		words := partWords[p.Sort]
		out.Blank()
		out.Parf("", "%s: %s", strings.ToUpper(words.title), talk.Count(len(p.Checks), "check"))
		out.Para("", words.how)
		held, at, rung := "", "", -1
		for _, c := range p.Checks {
			n++
			if h := r.holding(c.Check); h != held {
				held, at, rung = h, "", -1
				out.Blank()
				out.Para("", held)
			}
			if a := r.at(c); a != at {
				at, rung = a, -1
				out.Para("", at)
			}
			if c.Rung != rung {
				rung = c.Rung
				out.Para("", rungTitle(rung))
			}
			out.Hang(fmt.Sprintf("  %s %3d  ", TickBox, n), Where(c))
			out.Hang("           ", Agreeing(c)+"   read: ________")
		}
	}
	out.Blank()
	out.Para("", "FIRST ENERGISING, step by step (common practice)")
	for _, line := range r.Energising() {
		out.Hang("  "+TickBox+"  ", line)
	}
	do, must := r.StepLines()
	for i := range do {
		out.Hang(fmt.Sprintf("  %s %2d. ", TickBox, i+1), do[i])
		out.Hang("           ", must[i])
	}
}

// CheckOut is a check-out with what puts it into words.
type CheckOut struct {
	name  string // of the circuit, as it was given
	Model *diagnose.Model
	Speak *talk.Speaker
	Plan  checkout.Plan
	feeds []checkout.Feed
}

// NewCheckOut gives the check-out of a panel under the rules of its site, for which the checks are yet to be chosen.
func NewCheckOut(name string, p *work.Panel, rules log.Rules) *CheckOut {
	m := diagnose.Bare(p, faultmodel.List(p, faultmodel.Options{WiringErrors: true}), rules)
	return &CheckOut{name: name, Model: m, Speak: talk.NewSpeaker(m)}
}

// Choose chooses the checks, to be made place by place, cable by cable, and in the order of the
// drawing's rungs.
func (r *CheckOut) Choose(o checkout.Options) {
	o.Rung = drawing.New(r.Model.Panel().Circuit).Of
	r.Plan, r.feeds = checkout.Of(r.Model, o), checkout.Energise(r.Model)
}

// GoOn is the command that goes on with the log.
func GoOn(circuit, log string) string {
	return fmt.Sprintf("deadrung find %s --wiring-errors --log %s", circuit, log)
}
