package main

import (
	"fmt"
	"strings"

	"deadrung/diagnose"
)

// outPart heads a part of the check-out.
type outPart struct{ title, how string }

// partWords say what is done for the checks of a part.
var partWords = map[diagnose.CheckOutSort]outPart{
	diagnose.LiftedOut: {"With a wire lifted",
		"For each check lift every wire off the terminal that is named; the leads go where the check says. Land it again at once, tight: the checks below prove that it is landed, but where it says to tug it. At a fuse or a breaker it does as well to pull or open it."},
	diagnose.PlainOut: {"Nothing lifted, nothing held but what is named",
		"Every wire landed, fuses in, breakers closed."},
	diagnose.HeldOut: {"With operators held",
		"As before; one more person holds or sets what is named."},
}

// holding tells what is held for a check.
func (r *checkOutResult) holding(c diagnose.Check) string {
	step := max(0, r.speak.circuit.Step(c.Step))
	return r.speak.holding(step, standing{step: -1, locked: true, held: -1})[0]
}

// agreeing writes the readings that agree with a good circuit.
func agreeing(c diagnose.OutCheck) string {
	switch {
	case c.High == diagnose.OL:
		return "OL, or above " + amount(c.Low, diagnose.Ohms)
	case c.Low == 0:
		return "below " + amount(c.High, diagnose.Ohms)
	}
	low, unit, _ := strings.Cut(amount(c.Low, diagnose.Ohms), " ")
	high := amount(c.High, diagnose.Ohms)
	if !strings.HasSuffix(high, " "+unit) {
		low += " " + unit
	}
	return low + " to " + high
}

// where writes the leads of a check, and what lies between.
func where(c diagnose.OutCheck) string {
	text := fmt.Sprintf("%s to %s", c.Check.Ohms[0], c.Check.Ohms[1])
	if len(c.Check.Lifted) > 0 {
		text += ", wires lifted off " + joined(c.Check.Lifted, " and ")
	}
	if len(c.Through) > 0 {
		text += ", through " + listedNames(c.Through)
	}
	if len(c.Tug) > 0 {
		text += "; tug every wire on " + joined(c.Tug, " and ") + " once it is landed again, for no later check proves it"
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

// summary says what the checks are worth.
func (r *checkOutResult) summary() []string {
	n, exact, bound := 0, true, 0
	for _, p := range r.out.Parts {
		n += len(p.Checks)
		bound += p.Bound
		exact = exact && p.Fewest()
	}
	few := fmt.Sprintf("They are the fewest found; %d at the least are needed.", bound)
	if exact {
		few = "No fewer checks of these kinds do."
	}
	lines := []string{fmt.Sprintf("%s that read otherwise for %s, each by itself: a wire open or on another terminal of its device, wires exchanged, any two wire numbers touching, a number to ground. %s",
		count(n, "ohms check"), count(r.out.Faults-len(r.out.Unseen), "wiring fault"), few)}
	if len(r.out.Unseen) > 0 {
		lines = append(lines, fmt.Sprintf("None of them shows for certain %s; the first energising has to:", count(len(r.out.Unseen), "more fault")))
	}
	if r.out.Ungrounded {
		lines = append(lines, "The circuit file has no ground, so nothing here is proved against the metalwork.")
	}
	return lines
}

// unseen lists the faults that no check shows, the first of many.
func (r *checkOutResult) unseen() []string {
	const most = 12
	var lines []string
	for i, u := range r.out.Unseen {
		if i == most {
			return append(lines, fmt.Sprintf("and %d more; --json has them all", len(r.out.Unseen)-most))
		}
		text := u.Text
		if u.Near {
			text += " (seen where coils are near their rated ohms)"
		}
		lines = append(lines, text)
	}
	return lines
}

// rules tell how to go about the checks. Common practice, no source.
func (r *checkOutResult) rules() []string {
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
func (r *checkOutResult) afterWrong() string {
	return fmt.Sprintf(`A reading that does not agree: "deadrung wirelist %s --check-out --log FILE --wrong N=READING", and then "%s".`, r.name, goOn(r.name, "FILE"))
}

// usualOhms lists the parts whose ohms are not those of the file: by their ohms, in the
// order of the file.
func (r *checkOutResult) usualOhms() string {
	var kinds []string
	on := make(map[string][]string)
	note := func(name string, ohms float64) {
		kind := amount(ohms, diagnose.Ohms)
		if ohms >= diagnose.OpenFrom {
			kind = "OL"
		}
		if on[kind] == nil {
			kinds = append(kinds, kind)
		}
		on[kind] = append(on[kind], name)
	}
	p := r.m.Panel()
	for _, d := range r.speak.circuit.Devices {
		switch {
		case d.Ohms > 0:
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

// energising gives the stages before the operation, in words. Common practice, no source.
func (r *checkOutResult) energising() []string {
	operators := r.speak.rest()
	if operators != "every operator at rest" {
		operators = "operators: " + operators
	}
	lines := []string{
		"All checks above agree. Every lifted wire is landed, meter and tools are out.",
		"Every fuse out, every breaker open. " + sentence(operators),
		"A fuse that opens, smoke, or a thing that moves before its step: off at once, lock out, and find the fault before the next try.",
		"People clear and told, covers on. Take off locks and tags, each by the person who put it there.",
	}
	for _, f := range r.feeds {
		do := "Put in " + called(f.Device)
		switch {
		case r.m.Panel().Source(f.Device) != 0 && r.m.Panel().PrimaryWired(f.Device):
			do = "Measure " + called(f.Device)
		case r.m.Panel().Source(f.Device) != 0:
			do = "Switch on " + called(f.Device)
		case f.Device.Type.Name == "breaker":
			do = "Close " + called(f.Device)
		}
		if f.Check.Kind() == 0 {
			lines = append(lines, do+".")
			continue
		}
		when := ""
		if step := r.speak.circuit.Step(f.Check.Step); step > 0 {
			when = fmt.Sprintf("; from %s on", r.speak.stepName(step))
		}
		lines = append(lines, fmt.Sprintf("%s. %s to %s: %s to %s%s.", do, f.Check.Volts[0], f.Check.Volts[1],
			strings.TrimSuffix(amount(f.Low, diagnose.Volts), " V"), amount(f.High, diagnose.Volts), when))
	}
	return lines
}

// stepLines give each step of the operation with what must happen in it.
func (r *checkOutResult) stepLines() (do, must []string) {
	c := r.speak.circuit
	was := make(map[string]bool)
	for i, st := range c.Steps {
		var changed, stays []string
		for _, d := range r.m.Panel().Visible() {
			u, err := r.m.Usual(diagnose.Check{Look: d.Name, Step: st.Name})
			if err != nil || !u.Firm {
				continue
			}
			text := d.Name + " " + showing(d, u.On)
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
		do = append(do, strings.TrimPrefix(r.speak.stepLine(i), fmt.Sprintf("%d. ", i+1)))
		must = append(must, sentence(text))
	}
	return do, must
}

// print prints the check-out for people.
func (r *checkOutResult) print(out *page) {
	out.parf("", "%s: check-out before first power", r.speak.circuit.Title)
	out.blank()
	out.notice(caution)
	out.notice(lockOut)
	for _, line := range r.summary() {
		out.para("", line)
	}
	for _, line := range r.unseen() {
		out.hang("  - ", line)
	}
	out.blank()
	for _, rule := range append(r.rules(), r.afterWrong()) {
		out.hang("  - ", rule)
	}
	n := 0
	for _, p := range r.out.Parts {
		words := partWords[p.Sort]
		out.blank()
		out.parf("", "%s: %s", strings.ToUpper(words.title), count(len(p.Checks), "check"))
		out.para("", words.how)
		held, rung := "", -1
		for _, c := range p.Checks {
			n++
			if h := r.holding(c.Check); h != held {
				held, rung = h, -1
				out.blank()
				out.para("", held)
			}
			if c.Rung != rung {
				rung = c.Rung
				out.para("", rungTitle(rung))
			}
			out.hang(fmt.Sprintf("  %s %3d  ", tickBox, n), where(c))
			out.hang("           ", agreeing(c)+"   read: ________")
		}
	}
	out.blank()
	out.para("", "FIRST ENERGISING, step by step (common practice)")
	for _, line := range r.energising() {
		out.hang("  "+tickBox+"  ", line)
	}
	do, must := r.stepLines()
	for i := range do {
		out.hang(fmt.Sprintf("  %s %2d. ", tickBox, i+1), do[i])
		out.hang("           ", must[i])
	}
}
