// Package published carries the cases for which an outside source prints what a circuit
// does, for whoever practises without the sources at hand. The tests read the same files.
package published

import (
	"bytes"
	"embed"
	"fmt"
	"sort"
	"strings"

	"gopkg.in/yaml.v3"
)

//go:embed *.yaml
var files embed.FS

// Case is a circuit with faults whose effect a source prints.
type Case struct {
	Name   string // of its file, which may tell the answer
	Short  string // what it is called by who practises: f07, m2, own5
	Key    string // F: faults, S: normal behaviour, "meter rule", "own"
	Source string
	Note   string
	Text   []byte // the circuit file
	// Faults are those of the case, in the order of the file: in a case with one printed
	// answer the first is it.
	Faults []Fault
}

// Fault is one fault of a case.
type Fault struct {
	Name   string
	Own    bool           // the source does not print it: it follows by arithmetic or from a rule
	Effect map[string]any // in the form that other programs rely on
}

// Sources are the sources that a case names in short, as the README beside has them.
var Sources = []struct{ Short, Name string }{
	{"LIEC", "T. R. Kuphaldt, Lessons In Electric Circuits, volume and chapter after the dashes"},
	{"NMC", "US Coast Guard, National Maritime Center, merchant mariner engineering examination questions"},
	{"DOE-4", "US Department of Energy, DOE-HDBK-1011, Electrical Science, vol. 4"},
	{"BMC", "A. Lee, C. Flinn, Basic Motor Control, BCcampus 2020"},
	{"MM101", "B. Pfifer, Multimeters 101, eCampusOntario"},
	{"SOC", "T. R. Kuphaldt, Socratic electronics worksheets"},
	{"ARMY-338", "US Army Intelligence Center, subcourse IT0338, Introduction to Logical Troubleshooting, 1996"},
	{"NAV-UT", "US Navy, NAVEDTRA 14259"},
	{"IE-MOT", "industrial-electronics.com, AC and DC motors"},
}

// Named spells out the sources that a text names in short: "NMC: US Coast Guard, …".
func Named(text string) []string {
	var out []string
	for _, s := range Sources {
		if strings.Contains(text, s.Short) {
			out = append(out, s.Short+": "+s.Name)
		}
	}
	return out
}

// Playable lists the cases that have a fault, by name.
func Playable() ([]Case, error) {
	entries, err := files.ReadDir(".")
	if err != nil {
		return nil, err
	}
	var out []Case
	for _, e := range entries {
		name, isCheck := strings.CutSuffix(e.Name(), ".check.yaml")
		if !isCheck {
			continue
		}
		c, err := read(name)
		if err != nil {
			return nil, err
		}
		if len(c.Faults) > 0 {
			out = append(out, c)
		}
	}
	sort.Slice(out, func(i, k int) bool { return out[i].Name < out[k].Name })
	shorten(out)
	return out, nil
}

// shorten gives every case its short name: the number of the source's case, with a letter
// where it has several circuits; others are counted.
func shorten(cases []Case) {
	same := make(map[string]int)
	for _, c := range cases {
		same[c.Key]++
	}
	count := make(map[string]int)
	for i, c := range cases {
		n := count[c.Key]
		count[c.Key]++
		switch {
		case c.Key == "own":
			cases[i].Short = fmt.Sprintf("own%d", n+1)
		case strings.HasPrefix(c.Key, "meter rule"):
			cases[i].Short = fmt.Sprintf("m%d", count["m"]+1)
			count["m"]++
		default:
			cases[i].Short = strings.ToLower(strings.ReplaceAll(c.Key, "-", ""))
			if same[c.Key] > 1 {
				cases[i].Short += string(rune('a' + n))
			}
		}
	}
}

func read(name string) (Case, error) {
	c := Case{Name: name}
	raw, err := files.ReadFile(name + ".check.yaml")
	if err != nil {
		return c, err
	}
	if c.Text, err = files.ReadFile(name + ".yaml"); err != nil {
		return c, err
	}
	var said struct {
		Key    string `yaml:"key"`
		Source string `yaml:"source"`
		Note   string `yaml:"note"`
		Follow string `yaml:"follows"`
		Cases  []struct {
			Name   string         `yaml:"name"`
			Own    bool           `yaml:"own"`
			Effect map[string]any `yaml:"effect"`
		} `yaml:"cases"`
	}
	if err := yaml.NewDecoder(bytes.NewReader(raw)).Decode(&said); err != nil {
		return c, fmt.Errorf("%s.check.yaml: %w", name, err)
	}
	c.Key, c.Source, c.Note = said.Key, said.Source, said.Note
	if said.Follow != "" {
		c.Source += "; follows " + said.Follow
	}
	for _, f := range said.Cases {
		if f.Effect != nil {
			c.Faults = append(c.Faults, Fault{f.Name, f.Own || said.Key == "own", f.Effect})
		}
	}
	return c, nil
}
