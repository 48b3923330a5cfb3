package drawing

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
)

// word is a piece of what is written beside a rung.
type word struct {
	text string
	nc   bool // the rung of a normally closed contact
	bold bool
}

// besideLetters is how many characters there is room for beside a rung of an SVG.
const besideLetters = 23

// mostTitle is how many lines beside a rung its title has at most, and its note.
const mostTitle = 4

// hardSpace keeps a number and its unit on one line.
const hardSpace = "\u00a0"

// besideRoom is how many characters there is room for beside a rung of an SVG, less where a
// ground is drawn to the right of the rail.
func (r *Rung) besideRoom() int {
	if last := r.Parts[len(r.Parts)-1]; last.slot >= r.section.columns {
		return max(besideLetters-6-len(last.Name()), 5)
	}
	return besideLetters
}

// beside gives the lines beside a rung: its title and note, what its loads are for, and on which rungs the
// contacts of its coils are, where no table says it: so many letters to a line, and at most so many
// lines of words for each.
func (d *Drawing) beside(r *Rung, o Options, letters, most int) [][]word {
	var lines [][]word
	loads := 0
	for _, title := range r.Titles {
		for _, line := range besideText(title, letters, mostTitle) {
			line[0].bold = true
			lines = append(lines, line)
		}
	}
	for _, note := range r.Notes {
		lines = append(lines, besideText(note, letters, mostTitle)...)
	}
	for _, p := range r.Parts {
		loads += b2i(loadLike(p) || p.Kind == Source)
	}
	for _, p := range r.Parts {
		switch p.Kind {
		case Source:
			lines = append(lines, besideText(rating(p.Device, p.Index), letters, most)...)
			continue
		case Primary:
			side := "secondary"
			if p.Device.Rectifier() {
				side = "dc side"
			}
			lines = append(lines, besideText(fmt.Sprintf("%s %s: %s %s", p.Device.Name, side, o.line(),
				d.numbered(d.source(p.Device))), letters, most+1)...)
			continue
		case Load:
		default:
			continue
		}
		note := p.Device.Note
		another := func(x *Part) bool { return x.Kind == Load && x.Device == p.Device }
		if slices.Contains(r.Titles, note) || p.Device.Type.Inputs() && d.first(another) != p {
			note = ""
		}
		if l := p.Device.Interlock; l != nil {
			if note != "" {
				note += ", "
			}
			note += "interlocked with " + l.Name
		}
		if p.Device.Timer() {
			if note != "" {
				note += ", "
			}
			note += delay(p.Device)
		}
		if loads > 1 && note != "" {
			note = p.Device.Name + " " + note
		}
		lines = append(lines, besideText(note, letters, most)...)
		if p.Device.Type.Kind != circuits.RelayKind || o.Upright {
			continue
		}
		var line []word
		length := 0
		if loads > 1 {
			line, length = []word{{text: p.Device.Name + ":"}}, len(p.Device.Name)+2
		}
		for _, x := range d.CrossReferences(p.Device) {
			if x.Rung == 0 {
				continue
			}
			w := word{text: d.numbered(x.Rung), nc: x.NC, bold: true}
			if length+len(w.text)+1+b2i(w.nc) > letters {
				lines = append(lines, line)
				line, length = nil, 0
			}
			line = append(line, w)
			length += len(w.text) + 1 + b2i(w.nc)
		}
		if len(line) > 0 {
			lines = append(lines, line)
		}
	}
	return lines
}

// source gives the rung that a source is on.
func (d *Drawing) source(dev *circuits.Device) int {
	return d.find(func(p *Part) bool { return p.Kind == Source && p.Device == dev })
}

// rating is what a source gives.
func rating(dev *circuits.Device, source int) string {
	kind := "ac"
	if dev.DC {
		kind = "dc"
	}
	text := fmt.Sprintf("%g"+hardSpace+"V %s", dev.SourceVolts(source), kind)
	if dev.Type.Phases {
		text += " from line to line"
	}
	if dev.HasPrimary() && dev.PrimaryVolts > 0 {
		text = fmt.Sprintf("%g"+hardSpace+"V to %g"+hardSpace+"V %s", dev.PrimaryVolts, dev.SourceVolts(source), kind)
	}
	if dev.Note != "" {
		text += ", " + dev.Note
	}
	return text
}

// besideText breaks a text into lines, and cuts it where there are too many.
func besideText(text string, letters, most int) [][]word {
	if text == "" {
		return nil
	}
	var lines [][]word
	line := ""
	for _, w := range strings.Split(text, " ") {
		w = strings.ReplaceAll(w, hardSpace, " ")
		if line != "" && len([]rune(line+" "+w)) > letters {
			lines = append(lines, []word{{text: line}})
			line = ""
		}
		if r := []rune(w); len(r) > letters {
			w = string(r[:letters-1]) + "…"
		}
		line = strings.TrimSpace(line + " " + w)
	}
	lines = append(lines, []word{{text: line}})
	if len(lines) > most {
		last := []rune(lines[most-1][0].text)
		if len(last) > letters-2 {
			last = last[:letters-2]
		}
		lines = append(lines[:most-1], []word{{text: string(last) + " …"}})
	}
	return lines
}

// delay is when a timer's timed contacts move.
func delay(dev *circuits.Device) string {
	kind := "on delay"
	switch dev.Type.Times {
	case circuits.ByDelay, circuits.OffDelay:
		if dev.OffDelay {
			kind = "off delay"
		}
	case circuits.Interval:
		kind = "interval"
	case circuits.Pulses:
		kind = "pulse"
	case circuits.Repeats:
		if dev.OffSeconds != dev.Seconds {
			return fmt.Sprintf("on %g"+hardSpace+"s, off %g"+hardSpace+"s", dev.Seconds, dev.OffSeconds)
		}
		kind = "on and off each"
	}
	return fmt.Sprintf("%s %g"+hardSpace+"s", kind, dev.Seconds)
}

// emergency tells whether a note says that a button is an emergency stop.
func emergency(note string) bool {
	note = strings.ToLower(note)
	return strings.Contains(note, "emergency stop") || strings.Contains(note, "e-stop")
}

// colourLetter is the letter of a pilot light, from a note that begins with its colour; none
// where it does not. Source: NFPA 79 names the colours; the letters are those in use on
// ladder drawings, from memory.
func colourLetter(note string) string {
	return map[string]string{"red": "R", "green": "G", "amber": "A", "yellow": "Y", "white": "W",
		"blue": "B"}[colour(note)]
}

// colourCode is the code of a lamp's colour by IEC 60757, from memory. Amber is the yellow of
// IEC 60073.
func colourCode(note string) string {
	return map[string]string{"red": "RD", "green": "GN", "amber": "YE", "yellow": "YE", "white": "WH",
		"blue": "BU"}[colour(note)]
}

// colour is the word that a note begins with.
func colour(note string) string {
	first, _, _ := strings.Cut(strings.ToLower(note), ",")
	first, _, _ = strings.Cut(first, " ")
	return first
}
