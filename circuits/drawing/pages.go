package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Page is the room on a sheet of paper inside its frame, in the units of the drawing.
type Page struct {
	Width, Height float64
	Least         float64 // size of the smallest text
}

// Measures of a drawing on pages.
const (
	pageHead  = 24.0 // of the line above the rungs
	levelStep = 11.0 // from one line of references to the next
	// pathMargin is before the first and after the last path that runs down.
	pathMargin = 14.0
	// noteWidth is the width of a character of a sentence in its size. Common practice, no
	// source: small letters are narrower than the capitals and digits of letterWidth.
	noteWidth = 0.5
)

// pageSheet is what stands on one sheet.
type pageSheet struct {
	rungs         []Rung
	notes         []string // lines below the rungs
	before, after []crossing
}

// crossing is a conductor that goes on upon another sheet.
type crossing struct {
	gr   *group
	at   joint
	rung int // the nearest rung there that it meets
}

// Needs is how wide and how high a page like that of the options must be for the drawing.
func (d *Drawing) Needs(o Options) (width, height float64) {
	_, length := d.columns(o, 0, 0)
	if !o.Upright {
		return leftMargin + length + rightMargin, 0
	}
	for i := range d.Rungs {
		left, right := d.reachUpright(&d.Rungs[i], o)
		width = max(width, 2*pathMargin+d.railRoom(d.Rungs[i].section, o)+left+right+
			d.joinRoom(i, i, i+1, o)+d.joinRoom(i+1, i, i+1, o))
	}
	return width, pageHead + pathHead + length + d.below(d.Rungs, o) + d.legendHeight(o)
}

// legendHeight is the room that the legend takes on a page.
func (d *Drawing) legendHeight(o Options) float64 {
	lines := 0
	for _, l := range d.legend(o) {
		lines += len(o.Page.wrapped(l))
	}
	return footGap + footStep*float64(lines)
}

// Pages is how many sheets the drawing takes on pages like that of the options.
func (d *Drawing) Pages(o Options) int { return len(d.pages(o)) }

// pages lays the drawing out on sheets. A sheet ends where a group does, unless that leaves it half
// empty. The notes stand below the last rungs, or on sheets of their own where there is no room:
// first of them on which sheet each rung is.
func (d *Drawing) pages(o Options) []pageSheet {
	high := o.Page.Height - pageHead - d.legendHeight(o)
	room := high
	if o.Upright {
		room = o.Page.Width - 2*pathMargin
	}
	var sheets []pageSheet
	for start := 0; start < len(d.Rungs); {
		end := start + 1
		for end < len(d.Rungs) && d.pageLength(start, end+1, o) <= room {
			end++
		}
		if whole := d.groupEnd(start, end); 2*(whole-start) >= end-start {
			end = whole
		}
		sheets = append(sheets, pageSheet{rungs: d.Rungs[start:end], before: d.crossings(start, start, end),
			after: d.crossings(end, start, end)})
		start = end
	}
	left := high
	if n := len(sheets); n > 0 {
		rungs := sheets[n-1].rungs
		left -= d.pageHeight(len(d.Rungs)-len(rungs), len(d.Rungs), o)
	} else {
		sheets = []pageSheet{{}}
	}
	for _, note := range append([]string{index(sheets, o)}, d.pageNotes(o)...) {
		for _, line := range o.Page.wrapped(note) {
			if left < footStep {
				sheets = append(sheets, pageSheet{})
				left = high
			}
			left -= footStep
			last := &sheets[len(sheets)-1]
			last.notes = append(last.notes, line)
		}
	}
	return sheets
}

// groupEnd is the last end of a group within some rungs; the first of them where there is none.
func (d *Drawing) groupEnd(start, end int) int {
	for end > start && end < len(d.Rungs) && d.Rungs[end].group == d.Rungs[end-1].group {
		end--
	}
	return end
}

// pageHeight is how far down a page rungs go.
func (d *Drawing) pageHeight(start, end int, o Options) float64 {
	if !o.Upright {
		return d.pageLength(start, end, o)
	}
	return pathHead + d.pathLength(d.Rungs[start:end], o) + d.below(d.Rungs[start:end], o)
}

// pathLength is from rail to rail on a sheet of paths that run down: longer than they need where
// that leaves room for the notes.
func (d *Drawing) pathLength(rungs []Rung, o Options) float64 {
	_, least := d.columns(o, 0, 0)
	room := o.Page.Height - pageHead - d.legendHeight(o) - pathHead - d.below(rungs, o) - footStep
	for _, note := range d.pageNotes(o) {
		room -= footStep * float64(len(o.Page.wrapped(note)))
	}
	return math.Max(least, math.Min(room, mostStretch*least))
}

// pageLength is the room that rungs take on a page, one after the other, with the references to
// other sheets.
func (d *Drawing) pageLength(start, end int, o Options) float64 {
	y := d.joinRoom(start, start, end, o) + d.joinRoom(end, start, end, o)
	for i := start; i < end; i++ {
		other := i > start && d.Rungs[i].section != d.Rungs[i-1].section
		if other {
			y += sectionGap
		}
		if other || i == start {
			y += d.railRoom(d.Rungs[i].section, o)
		}
		above, below := d.reach(&d.Rungs[i], o)
		y += above + below
	}
	return y
}

// joinRoom is the room for references where a sheet begins or ends in the middle of a section.
func (d *Drawing) joinRoom(cut, start, end int, o Options) float64 {
	if cut == 0 || cut == len(d.Rungs) || d.Rungs[cut].section != d.Rungs[cut-1].section {
		return 0
	}
	if o.Upright {
		return textWidth("from sheet 10", o.size(noteSize)) + 2*wordGap
	}
	return levelStep*float64(len(d.crossings(cut, start, end))+1) + 4
}

// crossings are the conductors of a group, but for the rails, that go from a sheet of rungs over
// one of its ends, from the right: so none passes the reference of another.
func (d *Drawing) crossings(cut, start, end int) []crossing {
	if cut == 0 || cut == len(d.Rungs) || d.Rungs[cut].group != d.Rungs[cut-1].group {
		return nil
	}
	r := &d.Rungs[cut]
	var found []crossing
	for j, parts := range r.group.linked {
		if j == r.section.left || j == r.section.right {
			continue
		}
		here, there := false, 0
		for _, p := range parts {
			switch {
			case p.Rung > start && p.Rung <= end:
				here = true
			case (p.Rung > cut) == (cut == end) && (there == 0 || near(p.Rung, there, cut)):
				there = p.Rung
			}
		}
		if here && there > 0 {
			found = append(found, crossing{r.group, j, there})
		}
	}
	slices.SortFunc(found, func(a, b crossing) int {
		return cmp.Or(r.group.column[b.at]-r.group.column[a.at], r.group.track[b.at]-r.group.track[a.at])
	})
	return found
}

// near tells whether one rung is nearer to a cut than another on the same side of it.
func near(a, b, cut int) bool {
	return math.Abs(float64(a-cut)-0.5) < math.Abs(float64(b-cut)-0.5)
}

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
	first, last := rungs[0].Number, rungs[len(rungs)-1].Number
	if first == last {
		return fmt.Sprint(first)
	}
	return fmt.Sprintf("%d\u2013%d", first, last)
}

// pageNotes are what stands below the last rungs, and the terminals of each tap whose name leaves
// some out.
func (d *Drawing) pageNotes(o Options) []string {
	var notes []string
	for _, note := range []string{strings.Join(d.deviceNotes(), "; "), d.spareNote()} {
		if note != "" {
			notes = append(notes, note+".")
		}
	}
	if bare := d.bare(); len(bare) > 0 {
		notes = append(notes, "No wire on "+strings.Join(bare, ", ")+".")
	}
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
	return append(notes, o.Foot...)
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

// pageScene works out every place on a sheet of a drawing on pages.
func (d *Drawing) pageScene(o Options) *scene {
	sheets := d.pages(o)
	number := max(o.Sheet, 1)
	sh := sheets[number-1]
	sc := &scene{d: d, o: o}
	y := pageHead
	sc.top = pageHead
	if o.Upright {
		sc.top = pathMargin
	}
	from, length := leftMargin, o.Page.Width-leftMargin-rightMargin
	if len(sh.rungs) > 0 {
		first := sh.rungs[0].Number - 1
		last := first + len(sh.rungs)
		sc.top += d.joinRoom(first, first, last, o)
		sc.bottom = sc.layRows(sh.rungs, sc.top)
		y = sc.bottom + d.joinRoom(last, first, last, o)
		if o.Upright {
			from, length = pageHead+pathHead, d.pathLength(sh.rungs, o)
			y = pageHead + d.pageHeight(first, last, o)
		}
	}
	sc.before, sc.after = sh.before, sh.after
	spaces, _ := d.columns(o, from, length)
	sc.width, sc.height = o.Page.Width, o.Page.Height
	sc.text(label{x: leftMargin, y: 14, size: numberSize, text: d.pageTitle(o, sh), kind: "title"})
	sc.lines(spaces)
	sc.goOn(sh, number, spaces)
	y += footGap
	var lines []string
	if len(sh.rungs) > 0 {
		for _, l := range d.legend(o) {
			lines = append(lines, o.Page.wrapped(l)...)
		}
	}
	for _, line := range append(lines, sh.notes...) {
		sc.text(label{x: leftMargin, y: y, size: footSize, text: line, kind: "foot"})
		y += footStep
	}
	return sc
}

// pageTitle is the line above the rungs of a sheet.
func (d *Drawing) pageTitle(o Options, sh pageSheet) string {
	switch len(sh.rungs) {
	case 0:
		return "Notes"
	case 1:
		return fmt.Sprintf("%s %s of %d, %s", capital(o.line()), fromTo(sh.rungs), len(d.Rungs), o.State.Title())
	}
	return fmt.Sprintf("%ss %s of %d, %s", capital(o.line()), fromTo(sh.rungs), len(d.Rungs), o.State.Title())
}

// capital begins a word with a capital.
func capital(word string) string { return strings.ToUpper(word[:1]) + word[1:] }

// goesOnUpright is the label of what leaves a sheet of paths that run down, at a height: past the
// last path, or before the first one.
func (sc *scene) goesOnUpright(y float64, last bool, text string) label {
	l := label{x: sc.bottom + wordGap, y: y + 3.5, size: noteSize, text: text, kind: "goes on"}
	if !last {
		l.x, l.anchor = sc.top-wordGap, AtEnd
	}
	return l
}

// goOn writes where rails and conductors go on that leave the sheet.
func (sc *scene) goOn(sh pageSheet, number int, spaces map[*section]sectionSpace) {
	if len(sh.rungs) == 0 {
		return
	}
	first, last := sh.rungs[0], sh.rungs[len(sh.rungs)-1]
	end := func(r Rung, y, step float64, text string, over []crossing) {
		sp := spaces[r.section]
		at := y + step - 2
		if step < 0 {
			at = y - 5 // above the wire number of a rail
		}
		for side, j := range []joint{r.section.left, r.section.right} {
			before, after := sc.elsewhere(r.section, j)
			if !slices.Contains(sc.railed, rail{r.section, j}) || step < 0 && !before || step > 0 && !after {
				continue
			}
			l := label{x: sp.x[0] - 8, y: at, size: noteSize, text: text, kind: "goes on"}
			switch {
			case sc.o.Upright:
				l = sc.goesOnUpright(sp.x[side*(len(sp.x)-1)], step > 0, text)
			case side == 1:
				l.x, l.anchor = sp.x[len(sp.x)-1]+8, AtEnd
			}
			sc.text(l)
		}
		for i, c := range over {
			if sc.o.Upright {
				sc.text(sc.goesOnUpright(sp.jointX(c.gr, r.section, c.at), step > 0, fmt.Sprintf("path %d", c.rung)))
				continue
			}
			sc.text(label{x: sp.jointX(c.gr, r.section, c.at) + 4, y: at + step*float64(i+1),
				size: noteSize, text: fmt.Sprintf("rung %d", c.rung), kind: "goes on"})
		}
	}
	if n := first.Number - 1; n > 0 && sc.d.Rungs[n-1].section == first.section {
		end(first, sc.top, -levelStep, fmt.Sprintf("from sheet %d", number-1), sh.before)
	}
	if n := last.Number; n < len(sc.d.Rungs) && sc.d.Rungs[n].section == last.section {
		end(last, sc.bottom, levelStep, fmt.Sprintf("to sheet %d", number+1), sh.after)
	}
}

// leaves gives how far up and down a conductor is drawn that goes on upon another sheet: beside
// the text that says where.
func (sc *scene) leaves(gr *group, j joint, top, bottom float64) (float64, float64) {
	for i, c := range sc.before {
		switch {
		case c.gr != gr || c.at != j:
		case sc.o.Upright:
			top = sc.top
		default:
			top = sc.top - levelStep*float64(i+1) - levelStep + 2
		}
	}
	for i, c := range sc.after {
		switch {
		case c.gr != gr || c.at != j:
		case sc.o.Upright:
			bottom = sc.bottom
		default:
			bottom = sc.bottom + levelStep*float64(i+2) - 2
		}
	}
	return top, bottom
}

// rail is a rail of a section.
type rail struct {
	s *section
	j joint
}

// elsewhere tells whether a rail of a section has rungs on the sheets before and after this one.
func (sc *scene) elsewhere(s *section, rail joint) (before, after bool) {
	if sc.o.Page == nil {
		return false, false
	}
	on := func(rungs []Rung) bool {
		return slices.ContainsFunc(rungs, func(r Rung) bool {
			return r.section == s && slices.ContainsFunc(r.Parts, func(p *Part) bool { return p.at[0] == rail || p.at[1] == rail })
		})
	}
	first, last := sc.rows[0].rung.Number, sc.rows[len(sc.rows)-1].rung.Number
	return on(sc.d.Rungs[:first-1]), on(sc.d.Rungs[last:])
}

// railSpan is from where to where a rail is drawn that has rungs on the sheet at some places; false
// where it is not on the sheet. It goes right through a sheet that lies between two that it is on.
func (sc *scene) railSpan(s *section, rail joint, at []float64) (start, end float64, ok bool) {
	before, after := sc.elsewhere(s, rail)
	if len(at) == 0 && !(before && after) {
		return 0, 0, false
	}
	start, end = sc.top+8, sc.bottom
	if sc.o.Upright {
		start = sc.top + sc.d.railRoom(s, sc.o)
	}
	if len(at) > 0 && !before {
		start = at[0] - 18
	}
	if len(at) > 0 && !after {
		end = at[len(at)-1] + 12
	}
	return start, end, true
}
