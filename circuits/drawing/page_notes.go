package drawing

import (
	"fmt"
	"slices"
	"strings"
)

// index says on which sheet each rung is; nothing where all are on one.
func index(sheets []pageSheet, o Options) string {
	var where []string
	for i, sh := range sheets {
		if len(sh.rungs) > 0 {
			where = append(where, fmt.Sprintf("%s on sheet%s%d", fromTo(sh.rungs), hardSpace, i+1))
		}
	}
	if len(where) < 2 {
		return ""
	}
	return capital(o.line()) + "s " + strings.Join(where, ", ") + "."
}

// fromTo names rungs that follow one another.
func fromTo(rungs []Rung) string {
	first, last := rungs[0].label, rungs[len(rungs)-1].label
	if first == last {
		return first
	}
	return first + "\u2013" + last
}

// pageNotes are what stands below the last rungs.
func (d *Drawing) pageNotes(o Options) []string {
	var notes []string
	spare := d.spareNote()
	if bare := d.bare(); len(bare) > 0 {
		if spare != "" {
			spare += ". "
		}
		spare += "No wire on " + strings.Join(bare, ", ")
	}
	for _, note := range []string{strings.Join(d.deviceNotes(), "; "), spare} {
		if note != "" {
			notes = append(notes, note+".")
		}
	}
	return slices.Concat(notes, d.tapNotes(), o.Foot)
}

// tapNotes are the terminals of each tap whose name leaves some out.
func (d *Drawing) tapNotes() []string {
	var notes []string
	for _, r := range d.Rungs {
		for _, p := range r.Parts {
			if p.Kind != Tap || len(p.Also) < 2 {
				continue
			}
			var names []string
			for _, t := range p.Terminals() {
				_, name := t.Split()
				names = append(names, name)
			}
			notes = append(notes, fmt.Sprintf("%s: terminals %s.", p.Name(), strings.Join(names, ", ")))
		}
	}
	return notes
}

// bare are the terminals that are neither on a rung nor part of what is spare: those of a primary
// that no wire feeds.
func (d *Drawing) bare() []string {
	var names []string
	for _, dev := range d.Circuit.Devices {
		for _, name := range dev.Terminals {
			t := dev.Terminal(name)
			if d.Of(t) == 0 && !slices.ContainsFunc(d.Spare,
				func(p *Part) bool { return slices.Contains(p.Terminals(), t) }) {
				names = append(names, string(t))
			}
		}
	}
	return names
}

// wrapped breaks a text into lines of a page.
func (p *Page) wrapped(text string) []string {
	letters := int((p.Width - 2*leftMargin) / (noteWidth * p.Least))
	var lines []string
	line := ""
	for _, w := range strings.Fields(text) {
		if line != "" && len([]rune(line))+1+len([]rune(w)) > letters {
			lines, line = append(lines, line), "  "
		}
		line = strings.TrimPrefix(line+" "+w, " ")
	}
	if strings.TrimSpace(line) != "" {
		lines = append(lines, line)
	}
	return lines
}

// legendHeight is the room that the legend takes on a page.
func (d *Drawing) legendHeight(o Options) float64 {
	return footGap + o.Page.high(d.legend(o))
}

// high is how high texts are on a page.
func (p *Page) high(texts []string) float64 {
	lines := 0
	for _, t := range texts {
		lines += len(p.wrapped(t))
	}
	return footStep * float64(lines)
}
