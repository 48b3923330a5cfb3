package drawing

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
)

// Notes are lines about the drawing: the titles and notes of rungs, what devices are for, and contacts that are spare.
func (d *Drawing) Notes() []string {
	notes := d.titles()
	notes = append(notes, d.deviceNotes()...)
	if spare := d.spareNote(); spare != "" {
		notes = append(notes, spare)
	}
	return notes
}

// titles are the titles and notes of rungs with their numbers.
func (d *Drawing) titles() []string {
	var lines []string
	for _, r := range d.Rungs {
		if text := strings.Join(slices.Concat(r.Titles, r.Notes), "; "); text != "" {
			lines = append(lines, fmt.Sprintf("Rung %d: %s", r.Number, text))
		}
	}
	return lines
}

// deviceNotes are lines about what devices are for.
func (d *Drawing) deviceNotes() []string {
	var notes []string
	for _, dev := range d.Circuit.Devices {
		if dev.Note == "" {
			continue
		}
		place := ""
		if dev.Place != "panel" {
			place = " (" + dev.Place + ")"
		}
		notes = append(notes, fmt.Sprintf("%s%s: %s", dev.Name, place, dev.Note))
	}
	return notes
}

// spareNote lists the contacts, windings, pins and terminals without a wire; nothing if there are none.
func (d *Drawing) spareNote() string {
	var spare []string
	for _, p := range d.Spare {
		switch p.Kind {
		case Contact:
			c := p.Device.Contacts[p.Index]
			spare = append(spare, fmt.Sprintf("%s %s-%s", p.Device.Name, c.A, c.B))
		case Load:
			_, a := p.Left.Split()
			_, b := p.Right.Split()
			spare = append(spare, fmt.Sprintf("%s %s-%s", p.Device.Name, a, b))
		default:
			spare = append(spare, p.Name())
		}
	}
	if len(spare) == 0 {
		return ""
	}
	return "Spare, not wired: " + strings.Join(spare, ", ")
}

// Legend explains the marks of the text drawing.
func (d *Drawing) Legend(o Options) []string {
	m := boxMarks
	if o.ASCII {
		m = asciiMarks
	}
	contact := func(inner string) string { return m.bar + inner + m.endBar }
	lines := []string{
		"Numbers at the left are rungs; beside a coil are the rungs of its contacts, NC ones after a slash.",
		fmt.Sprintf("%s NO, %s NC, %s timed; o o NO, o/o NC of a button or switch; (CR) coil, <H> load, "+
			"{T} source; [=] fuse, [x] breaker; >> connector pin, o terminal of a block.",
			contact(" "), contact("/"), contact("t ")),
	}
	if passive := d.passiveMarks(); passive != "" {
		lines = append(lines, passive+".")
	}
	if d.faultContacts() {
		lines = append(lines, contact("f ")+" contact of a fault relay, in while nothing is wrong.")
	}
	if inputs := d.inputMarks(); inputs != "" {
		lines = append(lines, inputs)
	}
	if o.State != nil {
		lines = append(lines, fmt.Sprintf("%s %s energised, %s %s not. * operated or working. Contacts "+
			"stand as in this step: %s NO, now closed; %s NC, now open.",
			m.hotAcross, m.hotDown, m.across, m.down, contact(m.filled), contact("'")))
	}
	if len(o.Doubts) > 0 {
		lines = append(lines, doubtLegend)
	}
	return lines
}

// passiveMarks explains the marks of the types that are only in the way of the current, as far as the
// drawing has them.
func (d *Drawing) passiveMarks() string {
	var marks []string
	for _, dev := range d.Circuit.Devices {
		t := dev.Type
		if mark := t.Symbols.Text + " " + t.Called(); t.Kind == circuits.PassiveKind && !slices.Contains(marks, mark) {
			marks = append(marks, mark)
		}
	}
	return strings.Join(marks, ", ")
}

// faultContacts tells whether a contact of the drawing follows a fault relay.
func (d *Drawing) faultContacts() bool {
	return slices.ContainsFunc(d.Circuit.Devices, func(dev *circuits.Device) bool {
		return dev.Type.Armature.FaultRelay() &&
			slices.ContainsFunc(dev.Contacts, func(c circuits.Contact) bool { return c.Timed })
	})
}

// inputMarks explains the letters in the boxes of inputs, as far as the drawing has them: "SR1: +
// supply, 1 channel-1".
func (d *Drawing) inputMarks() string {
	var all []string
	for _, dev := range d.Circuit.Devices {
		if !dev.Type.Inputs() {
			continue
		}
		var marks []string
		for _, coil := range dev.Type.Coils {
			if letter, ok := strings.CutSuffix(strings.TrimPrefix(coil.Symbols.Text, "("), ": )"); ok {
				marks = append(marks, letter+" "+strings.ReplaceAll(coil.Name, "-", " "))
			}
		}
		if of := "inputs of a " + dev.Type.Called() + ": " + strings.Join(marks, ", "); len(marks) > 0 && !slices.Contains(all, of) {
			all = append(all, of)
		}
	}
	if len(all) == 0 {
		return ""
	}
	text := strings.Join(all, "; ")
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// legend explains the marks of the SVG.
func (d *Drawing) legend(o Options) []string {
	lines := []string{"Numbers at the left are rungs; beside a coil are the rungs of its contacts, " +
		"NC ones underlined."}
	if o.Upright {
		lines = []string{"Numbers at the top are current paths; the table below a coil has the path of " +
			"each of its contacts, \u2013 where it is spare, t where it is timed."}
	}
	if d.faultContacts() {
		lines = append(lines, "A contact with an f follows a fault relay, which is in while nothing is wrong.")
	}
	if inputs := d.inputMarks(); inputs != "" {
		lines = append(lines, inputs)
	}
	if o.State != nil {
		lines = append(lines, "Thick: energised. Dashed: not energised. * operated or working; contacts "+
			"are drawn as they stand in this step.")
	}
	if len(o.Doubts) > 0 {
		lines = append(lines, doubtLegend)
	}
	return lines
}

// Measures of the lines below the rungs.
const (
	footSize = 8.5
	footStep = 12.0
	footGap  = 8.0
)

// foot writes the notes and the legend below the rungs, and gives the height of the sheet.
func (sc *scene) foot(y float64) float64 {
	letters := int((sc.width - 2*leftMargin) / (letterWidth * footSize))
	write := func(text string) {
		line := ""
		for _, w := range strings.Fields(text) {
			if line != "" && len([]rune(line))+1+len([]rune(w)) > letters {
				sc.text(label{x: leftMargin, y: y, size: footSize, text: line, kind: "foot"})
				y += footStep
				line = "   "
			}
			line += " " + w
		}
		sc.text(label{x: leftMargin, y: y, size: footSize, text: strings.TrimSpace(line), kind: "foot"})
		y += footStep
	}
	y += footGap
	for _, l := range sc.d.legend(sc.o) {
		write(l)
	}
	if sc.o.Sheet <= 1 && len(sc.o.Rungs) == 0 {
		spare := sc.d.spareNote()
		if sc.o.Unnumbered {
			spare = "" // which contacts are taken is not said
		}
		for _, note := range []string{strings.Join(sc.d.deviceNotes(), "; "), spare} {
			if note != "" {
				write(note + ".")
			}
		}
		if !sc.o.Unnumbered {
			for _, note := range sc.d.tapNotes() {
				write(note)
			}
		}
	}
	for _, l := range sc.o.Foot {
		write(l)
	}
	return y + 4
}
