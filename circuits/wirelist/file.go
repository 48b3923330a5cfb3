package wirelist

import (
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
)

// Write writes the draft as a circuit file. What no answer told is marked where it stands.
func (d Draft) Write(w io.Writer, title string) error {
	var s strings.Builder
	fmt.Fprintf(&s, "circuit: %s\n", quoted(title))
	if open := d.open(); open > 0 {
		fmt.Fprintf(&s, "# Made from a wire list. Lines marked NOT TOLD hold what the list does not tell (%d): look\n# them over.\n", open)
	} else {
		s.WriteString("# Made from a wire list.\n")
	}
	s.WriteString("# No wire list tells ohms and VA of coils, amps of fuses and which lamps are LED: add what\n# is known.\n\n")
	if places := d.places(); len(places) > 0 {
		fmt.Fprintf(&s, "places: {%s}  # minutes to get a lead onto a terminal there; NOT TOLD, taken as 4\n\n", strings.Join(places, ", "))
	}
	s.WriteString("devices:\n")
	for _, dev := range d.Devices {
		parts := []string{"type: " + dev.Type}
		if dev.Place != "panel" {
			parts = append(parts, "place: "+quoted(dev.Place))
		}
		fmt.Fprintf(&s, "  %s: {%s}%s\n", plain(dev.Name), strings.Join(append(parts, dev.Keys...), ", "), d.untold(dev))
	}
	s.WriteString("\n")
	s.WriteString(WiresText(d.Rows))
	s.WriteString("\noperation:  # say what a good circuit does in each step, as expect: {H1: on, CR1: off}\n  - step: at rest\n")
	for _, dev := range d.Devices {
		for i := 1; i <= len(dev.positions); i++ {
			to := dev.positions[i%len(dev.positions)]
			fmt.Fprintf(&s, "  - step: %s\n    set: {%s: %s}\n", quoted(dev.Name+" "+to), plain(dev.Name), quoted(to))
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
		if others := slices.DeleteFunc(slices.Clone(q.Choices), func(c string) bool { return c == q.Taken }); len(others) > 0 && len(others) < 5 {
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
		if p := dev.Place; p != "panel" && p != "door" && p != "field" && !slices.Contains(out, quoted(p)+": 4") {
			out = append(out, quoted(p)+": 4")
		}
	}
	return out
}

// WiresText writes rows as the wires section of a circuit file: one run for wires that
// follow one another, in their order. Bridges are left out: they belong to the devices.
func WiresText(rows []Row) string {
	var numbers []string
	runs := make(map[string][][]circuits.Terminal)
	for _, r := range rows {
		if r.Bridge {
			continue
		}
		own := runs[r.Number]
		if own == nil {
			numbers = append(numbers, r.Number)
		}
		if n := len(own); n > 0 && own[n-1][len(own[n-1])-1] == r.From {
			own[n-1] = append(own[n-1], r.To)
		} else {
			own = append(own, []circuits.Terminal{r.From, r.To})
		}
		runs[r.Number] = own
	}
	var s strings.Builder
	s.WriteString("wires:\n")
	for _, n := range numbers {
		if own := runs[n]; len(own) == 1 {
			fmt.Fprintf(&s, "  %s: %s\n", plain(n), run(own[0]))
			continue
		}
		fmt.Fprintf(&s, "  %s:\n", plain(n))
		for _, r := range runs[n] {
			fmt.Fprintf(&s, "    - %s\n", run(r))
		}
	}
	return s.String()
}

func run(terminals []circuits.Terminal) string {
	names := make([]string, len(terminals))
	for i, t := range terminals {
		names[i] = plain(string(t))
	}
	return "[" + strings.Join(names, ", ") + "]"
}

func list(names ...string) string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = plain(n)
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// A name that YAML takes as it stands, in a list as well.
var plainName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_./+-]*(:[A-Za-z0-9_./+-]+)?$`)

// plain writes a name in quotes only where YAML needs them.
func plain(name string) string {
	switch name {
	case "null", "Null", "NULL":
		return `"` + name + `"`
	}
	if plainName.MatchString(name) {
		return name
	}
	return strconv.Quote(name)
}

// A text that YAML takes as it stands.
var plainText = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9 _./+()-]*$`)

func quoted(text string) string {
	if plainText.MatchString(text) && plain(strings.ReplaceAll(text, " ", "")) != `"null"` && strings.TrimSpace(text) == text {
		return text
	}
	return strconv.Quote(text)
}

// JoinTo gives the text of a circuit file with its wires replaced by those of a list; all
// else stays as it was written. The error says why it cannot be done.
func JoinTo(file string, text []byte, rows []Row) ([]byte, error) {
	lines := strings.SplitAfter(string(text), "\n")
	if slices.ContainsFunc(lines, func(l string) bool { return strings.HasPrefix(l, "rungs:") }) {
		return nil, fmt.Errorf("%s draws its rungs, and its wires follow from them: write them out with \"deadrung wire\", then put the list there", file)
	}
	from := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "wires:") })
	if from < 0 {
		return nil, fmt.Errorf("%s has no line that begins with wires: to put the wires there", file)
	}
	to := from + 1
	for to < len(lines) && (strings.TrimSpace(lines[to]) == "" || strings.ContainsAny(lines[to][:1], " \t#-")) {
		to++
	}
	for to > from+1 && (strings.TrimSpace(lines[to-1]) == "" || lines[to-1][0] == '#') {
		to-- // what stands before the next section belongs to it
	}
	out := strings.Join(lines[:from], "") + WiresText(rows) + strings.Join(lines[to:], "")
	return []byte(out), nil
}

// OtherBridges gives the bridges of a list that a circuit does not have.
func OtherBridges(rows []Row, c *circuits.Circuit) []Row {
	var other []Row
	for _, r := range rows {
		name, a := r.From.Split()
		_, b := r.To.Split()
		d := c.Device(name)
		if r.Bridge && (d == nil || !slices.Contains(d.Bridges, [2]string{a, b}) && !slices.Contains(d.Bridges, [2]string{b, a})) {
			other = append(other, r)
		}
	}
	return other
}
