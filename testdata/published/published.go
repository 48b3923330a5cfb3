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
	Name   string // of its file
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
	return out, nil
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
