package wirelist

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/read"
)

// Write writes the draft as a circuit file. What no answer told is marked where it stands.
func (d Draft) Write(w io.Writer, title string) error {
	var s strings.Builder
	fmt.Fprintf(&s, "circuit: %s\n", read.Scalar(title))
	if open := d.open(); open > 0 {
		fmt.Fprintf(&s, "# Made from a wire list. Lines marked NOT TOLD hold what the list does not "+
			"tell (%d): look\n# them over.\n", open)
	} else {
		s.WriteString("# Made from a wire list.\n")
	}
	if slices.ContainsFunc(d.Devices, func(dev Guessed) bool { return !dev.told }) {
		s.WriteString("# No wire list tells ohms and VA of coils, amps of fuses and which lamps are LED: " +
			"add what\n# is known.\n")
	}
	s.WriteString("\n")
	if places := d.places(); len(places) > 0 {
		fmt.Fprintf(&s, "places: {%s}  # minutes to get a lead onto a terminal there; NOT TOLD, taken "+
			"as 4\n\n", strings.Join(places, ", "))
	}
	s.WriteString("devices:\n")
	for _, dev := range d.Devices {
		parts := []string{"type: " + dev.Type}
		if dev.Place != "panel" {
			parts = append(parts, "place: "+read.Scalar(dev.Place))
		}
		fmt.Fprintf(&s, "  %s: {%s}%s\n", read.Scalar(dev.Name),
			strings.Join(append(parts, dev.Keys...), ", "), d.untold(dev))
	}
	s.WriteString("\n")
	s.WriteString(wiresText(d.Rows))
	s.WriteString("\noperation:  # say what a good circuit does in each step, as expect: {H1: on, " +
		"CR1: off}\n  - step: at rest\n")
	for _, dev := range d.Devices {
		for i := 1; i <= len(dev.positions); i++ {
			to := dev.positions[i%len(dev.positions)]
			fmt.Fprintf(&s, "  - step: %s\n    set: {%s: %s}\n", read.Scalar(dev.Name+" "+to),
				read.Scalar(dev.Name), read.Scalar(to))
		}
	}
	_, err := io.WriteString(w, s.String())
	return err
}

// open counts the questions without an answer.
func (d Draft) open() int {
	n := 0
	for _, q := range d.Questions {
		if !q.Answered {
			n++
		}
	}
	return n
}

// untold marks what was taken without an answer.
func (d Draft) untold(dev Guessed) string {
	var parts []string
	for _, q := range d.Questions {
		if !slices.Contains(dev.Untold, q.ID) {
			continue
		}
		what := strings.TrimPrefix(q.ID, dev.Name+".")
		taken := "taken as " + q.Taken
		if q.Taken == "" {
			taken = "land its wire"
		}
		if others := slices.DeleteFunc(slices.Clone(q.Choices),
			func(c string) bool { return c == q.Taken }); len(others) > 0 && len(others) < 5 {
			taken += ", may be " + strings.Join(others, ", ")
		}
		parts = append(parts, what+": "+taken)
	}
	if len(parts) == 0 {
		return ""
	}
	return "  # NOT TOLD " + strings.Join(parts, "; ")
}

// places are those that the format does not know, with minutes.
func (d Draft) places() []string {
	var out []string
	for _, dev := range d.Devices {
		if p := dev.Place; p != "panel" && p != "door" && p != "field" &&
			!slices.Contains(out, read.Scalar(p)+": 4") {
			out = append(out, read.Scalar(p)+": 4")
		}
	}
	return out
}

// wiresText writes rows as the wires section of a circuit file: one run for wires that
// follow one another, in their order. Bridges are left out: they belong to the devices.
func wiresText(rows []Row) string {
	var numbers []circuits.Number
	at := make(map[string]int)
	for _, r := range rows {
		if r.Bridge {
			continue
		}
		i, there := at[r.Number]
		if !there {
			i = len(numbers)
			at[r.Number] = i
			numbers = append(numbers, circuits.Number{Name: r.Number})
		}
		numbers[i].Wires = append(numbers[i].Wires, circuits.Wire{From: r.From, To: r.To})
	}
	return "wires:\n" + read.WireLines(numbers)
}

// JoinTo gives the text of a circuit file with its wires replaced by those of a list; all
// else stays as it was written. Of a file with rungs it is the file with wires in their
// place. The error says why it cannot be done.
func JoinTo(file string, text []byte, rows []Row) ([]byte, error) {
	if c, _ := read.Read(file, text); c != nil && len(c.Rungs) > 0 {
		text = read.Wired(text, c, nil)
	}
	lines := strings.SplitAfter(string(text), "\n")
	from := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "wires:") })
	if from < 0 {
		return nil, fmt.Errorf("%s has no line that begins with wires: to put the wires there", file)
	}
	to := from + 1
	for to < len(lines) && (strings.TrimSpace(lines[to]) == "" ||
		strings.ContainsAny(lines[to][:1], " \t#-")) {
		to++
	}
	for to > from+1 && (strings.TrimSpace(lines[to-1]) == "" || lines[to-1][0] == '#') {
		to-- // what stands before the next section belongs to it
	}
	out := strings.Join(lines[:from], "") + wiresText(rows) + strings.Join(lines[to:], "")
	return []byte(out), nil
}

// OtherBridges gives the bridges of a list that a circuit does not have.
func OtherBridges(rows []Row, c *circuits.Circuit) []Row {
	var other []Row
	for _, r := range rows {
		name, a := r.From.Split()
		_, b := r.To.Split()
		d := c.Device(name)
		if r.Bridge && (d == nil || !slices.Contains(d.Bridges, [2]string{a, b}) &&
			!slices.Contains(d.Bridges, [2]string{b, a})) {
			other = append(other, r)
		}
	}
	return other
}
