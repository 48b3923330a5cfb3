package exam

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"deadrung/circuits"
)

// Scheme says what an exam is marked by: the weights that an instructor sets.
type Scheme struct {
	// Marks to be had for each part; together they are all that can be had.
	Fault  float64 `json:"fault"`  // the fault named, as far as the checks had made it the one
	Checks float64 `json:"checks"` // the doubt cleared, and no wasted check; also with a wrong name
	Safety float64 `json:"safety"` // no unsafe act, as far as the work went
	Time   float64 `json:"time"`   // quick; only as far as the fault was named
	// Right is what has to be named: "exact", "part" or "device". Part, Device and Rung are
	// what less than that is worth, in percent of the marks of the fault.
	Right  string  `json:"right"`
	Part   float64 `json:"part"`
	Device float64 `json:"device"`
	Rung   float64 `json:"rung"`
	// Marks lost of a part, down to none, for each.
	Premature  float64 `json:"premature"`
	Redundant  float64 `json:"redundant"`
	Irrelevant float64 `json:"irrelevant"`
	Unsafe     float64 `json:"unsafe"`
	// Full time marks are up to so many times what the guided search takes, none from so
	// many times on, in proportion between.
	Full float64 `json:"full"`
	None float64 `json:"none"`
	// Clock is what time is taken by: "panel" by what the acts and checks take at a panel,
	// "wall" from the times in the log.
	Clock string `json:"clock"`
	// Breaks between sessions: "counted" or "left out"; with the wall clock.
	Breaks string `json:"breaks"`
	// Late is what a fault named after the allowed time is worth: "nothing" or "all".
	Late string `json:"late"`
	// Marks to be had for a plan of wires, in an exam of that form: for conductors that are
	// whole, for wire numbers, for no more than two wires on a terminal, for no short.
	Joined   float64 `json:"joined"`
	Numbers  float64 `json:"numbers"`
	Landings float64 `json:"landings"`
	Short    float64 `json:"short"`
	// Pass is the share of all marks, in percent, from which an exam is passed.
	Pass float64 `json:"pass"`
}

// Usual is the scheme where the instructor sets none. Common practice, no source.
var Usual = Scheme{
	Fault: 50, Checks: 20, Safety: 20, Time: 10,
	Right: "part", Part: 80, Device: 50, Rung: 20,
	Premature: 1, Redundant: 2, Irrelevant: 3, Unsafe: 5,
	Full: 1.5, None: 3, Clock: "panel", Breaks: "counted", Late: "nothing",
	Joined: 60, Numbers: 15, Landings: 15, Short: 10, Pass: 60,
}

// asked is how near a name must be to be right.
func (s Scheme) asked() Near {
	switch s.Right {
	case "exact":
		return Exact
	case "device":
		return InDevice
	}
	return InPart
}

// worth is what a name of a nearness is worth, as a share of the marks of the fault.
func (s Scheme) worth(n Near) float64 {
	if n >= s.asked() {
		return 1
	}
	return map[Near]float64{InPart: s.Part, InDevice: s.Device, OnRung: s.Rung}[n] / 100
}

// All is what can be had.
func (s Scheme) All() float64 { return s.Fault + s.Checks + s.Safety + s.Time }

// Wiring is what can be had for a plan of wires.
func (s Scheme) Wiring() float64 { return s.Joined + s.Numbers + s.Landings + s.Short }

// schemeKeys are the keys of a scheme's file, each under its section.
var schemeKeys = []struct {
	section, key string
	most         float64
	number       func(*Scheme) *float64
	word         func(*Scheme) *string
	words        []string
	about        string
}{
	{"marks", "fault", 1000, func(s *Scheme) *float64 { return &s.Fault }, nil, nil,
		"the fault named, by the share of what was still possible that the name has"},
	{"marks", "checks", 1000, func(s *Scheme) *float64 { return &s.Checks }, nil, nil,
		"the doubt that was cleared, and no wasted check; also with a wrong name"},
	{"marks", "safety", 1000, func(s *Scheme) *float64 { return &s.Safety }, nil, nil,
		"no unsafe act, as far as the work went"},
	{"marks", "time", 1000, func(s *Scheme) *float64 { return &s.Time }, nil, nil,
		"quick, as far as the fault was named"},
	{"right", "is", 0, nil, func(s *Scheme) *string { return &s.Right },
		[]string{"part", "device", "exact"}, "what has to be named; what no check tells apart always counts as one"},
	{"right", "part", 100, func(s *Scheme) *float64 { return &s.Part }, nil, nil,
		"percent of the fault's marks for the right part and another fault of it, where exact is asked for"},
	{"right", "device", 100, func(s *Scheme) *float64 { return &s.Device }, nil, nil,
		"percent for another part of the right device, or the right wire number"},
	{"right", "rung", 100, func(s *Scheme) *float64 { return &s.Rung }, nil, nil,
		"percent for the right rung"},
	{"lose", "premature", 1000, func(s *Scheme) *float64 { return &s.Premature }, nil, nil,
		"marks of checks, for each check made too early; looking at the operation costs nothing"},
	{"lose", "redundant", 1000, func(s *Scheme) *float64 { return &s.Redundant }, nil, nil,
		"for each that told what was known"},
	{"lose", "irrelevant", 1000, func(s *Scheme) *float64 { return &s.Irrelevant }, nil, nil,
		"for each that could tell nothing"},
	{"lose", "unsafe", 1000, func(s *Scheme) *float64 { return &s.Unsafe }, nil, nil,
		"marks of safety, for each unsafe act"},
	{"time", "full", 1000, func(s *Scheme) *float64 { return &s.Full }, nil, nil,
		"full marks up to so many times what the guided search takes"},
	{"time", "none", 1000, func(s *Scheme) *float64 { return &s.None }, nil, nil,
		"no marks from so many times on"},
	{"time", "clock", 0, nil, func(s *Scheme) *string { return &s.Clock }, []string{"wall", "panel"},
		"what acts and checks take at a panel, or by the times in the log"},
	{"time", "breaks", 0, nil, func(s *Scheme) *string { return &s.Breaks },
		[]string{"counted", "left out"}, "time between two sessions, by the wall clock"},
	{"time", "late", 0, nil, func(s *Scheme) *string { return &s.Late }, []string{"nothing", "all"},
		"what a fault named after the allowed time is worth"},
	{"wiring", "joined", 1000, func(s *Scheme) *float64 { return &s.Joined }, nil, nil,
		"of a plan of wires: the share of the conductors that are whole"},
	{"wiring", "numbers", 1000, func(s *Scheme) *float64 { return &s.Numbers }, nil, nil,
		"one number on each conductor, as far as the wiring went"},
	{"wiring", "landings", 1000, func(s *Scheme) *float64 { return &s.Landings }, nil, nil,
		"no more than two wires on a terminal, as far as the wiring went"},
	{"wiring", "short", 1000, func(s *Scheme) *float64 { return &s.Short }, nil, nil,
		"no short when it is energised, as far as the wiring went; nobody passes with a short"},
	{"pass", "", 100, func(s *Scheme) *float64 { return &s.Pass }, nil, nil, "percent of all marks"},
}

// Text writes a scheme as its file, with what each line is for.
func (s Scheme) Text() string {
	var b strings.Builder
	b.WriteString("# What an exam is marked by. A line that is left out is as here.\n")
	section := ""
	for _, k := range schemeKeys {
		value := ""
		if k.number != nil {
			value = strconv.FormatFloat(*k.number(&s), 'g', -1, 64)
		} else {
			value = *k.word(&s) + "  # or " + strings.Join(slices.DeleteFunc(slices.Clone(k.words),
				func(w string) bool { return w == *k.word(&s) }), ", ") + ";"
		}
		line := k.section + ": " + value
		if k.key != "" {
			if k.section != section {
				b.WriteString(k.section + ":\n")
			}
			line = "  " + k.key + ": " + value
		}
		section = k.section
		if !strings.Contains(line, "#") {
			line += "  #"
		}
		b.WriteString(line + " " + k.about + "\n")
	}
	return b.String()
}

// ReadScheme reads a scheme's file. What it leaves out is as in Usual. All mistakes are
// reported in one pass, each at its place.
func ReadScheme(file string, text []byte) (Scheme, circuits.Problems) {
	s := Usual
	r := schemeReader{file: file, lines: strings.Split(strings.ReplaceAll(string(text), "\r\n", "\n"), "\n")}
	var document yaml.Node
	switch err := yaml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(text,
		[]byte("\uFEFF")))).Decode(&document); {
	case err == io.EOF:
		return s, nil // nothing but comments: all as usual
	case err != nil:
		r.syntax(err)
		return s, r.problems
	}
	r.read(&s, document.Content[0])
	if len(r.problems) == 0 {
		switch {
		case s.All() <= 0:
			r.wrong(document.Content[0], "there are no marks to be had",
				"a number above 0 for one of fault, checks, safety, time")
		case s.Wiring() <= 0:
			r.wrong(document.Content[0], "there are no marks to be had for wiring",
				"a number above 0 for one of joined, numbers, landings, short")
		case s.None <= s.Full:
			r.wrong(document.Content[0], fmt.Sprintf("no time marks are left from %g times on, and full ones go up to %g", s.None, s.Full), "none greater than full")
		}
	}
	return s, r.problems
}

type schemeReader struct {
	file     string
	lines    []string
	problems circuits.Problems
}

func (r *schemeReader) wrong(n *yaml.Node, what, right string) {
	source := ""
	if n.Line >= 1 && n.Line <= len(r.lines) {
		source = r.lines[n.Line-1]
	}
	r.problems = append(r.problems, circuits.Problem{File: r.file,
		Pos:  circuits.Pos{Line: max(1, n.Line), Column: max(1, n.Column)},
		What: what, Hint: right, Source: source, Width: len([]rune(n.Value))})
}

var yamlLine = regexp.MustCompile(`line (\d+): (.*)`)

// syntax reports what the library says of a text that is no YAML.
func (r *schemeReader) syntax(err error) {
	n := yaml.Node{Line: 1, Column: 1}
	what := strings.TrimPrefix(err.Error(), "yaml: ")
	if m := yamlLine.FindStringSubmatch(what); m != nil {
		n.Line, _ = strconv.Atoi(m[1])
		what = m[2]
	}
	r.wrong(&n, "this is not YAML: "+what, "as \"deadrung exam weights\" prints it")
}

func (r *schemeReader) read(s *Scheme, top *yaml.Node) {
	sections := []string{"marks", "right", "lose", "time", "wiring", "pass"}
	r.each(top, "the file", sections, func(section string, n *yaml.Node) {
		if section == "pass" {
			r.value(s, section, "", n)
			return
		}
		var keys []string
		for _, k := range schemeKeys {
			if k.section == section {
				keys = append(keys, k.key)
			}
		}
		r.each(n, section, keys, func(key string, v *yaml.Node) { r.value(s, section, key, v) })
	})
}

// each goes through the keys of a mapping, and complains of those that it may not have.
func (r *schemeReader) each(n *yaml.Node, name string, keys []string, do func(key string, v *yaml.Node)) {
	if n.Kind == yaml.ScalarNode && n.Tag == "!!null" {
		return
	}
	if n.Kind != yaml.MappingNode {
		r.wrong(n, name+" is no list of keys", "key: value, with the keys "+strings.Join(keys, ", "))
		return
	}
	seen := make(map[string]bool)
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		switch {
		case !slices.Contains(keys, k.Value):
			r.wrong(k, fmt.Sprintf("%s has no key %q%s", name, k.Value, circuits.Suggest(k.Value, keys)), "")
		case seen[k.Value]:
			r.wrong(k, fmt.Sprintf("%s stands twice", k.Value), "once")
		default:
			seen[k.Value] = true
			do(k.Value, v)
		}
	}
}

// value reads one number or word.
func (r *schemeReader) value(s *Scheme, section, key string, n *yaml.Node) {
	for _, k := range schemeKeys {
		if k.section != section || k.key != key {
			continue
		}
		name := strings.TrimSuffix(section+" "+key, " ")
		if k.word != nil {
			if n.Kind != yaml.ScalarNode || !slices.Contains(k.words, n.Value) {
				r.wrong(n, fmt.Sprintf("%s is %q", name, n.Value), strings.Join(k.words, " or "))
				return
			}
			*k.word(s) = n.Value
			return
		}
		x, err := strconv.ParseFloat(n.Value, 64)
		switch {
		case n.Kind != yaml.ScalarNode || err != nil ||
			n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0 || math.IsNaN(x):
			r.wrong(n, fmt.Sprintf("%s is %q where a number is needed", name, n.Value),
				fmt.Sprintf("a number from 0 to %g", k.most))
		case x < 0 || x > k.most:
			r.wrong(n, fmt.Sprintf("%s is %s", name, n.Value), fmt.Sprintf("a number from 0 to %g", k.most))
		default:
			*k.number(s) = x
		}
	}
}
