package log

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// Rules say what may be done at a panel, and with how many people. The zero value is one
// person with a meter who may do all that is safe.
type Rules struct {
	NoLive     bool     // no meter on live parts
	NoLift     bool     // no wire is lifted off its terminal
	LooksOnly  bool     // no meter at all
	OutOfReach []string // places where nobody goes
	Helpers    int      // people beside the one with the meter, to hold something
	LongLead   bool     // a lead that reaches from place to place
}

// Unhampered are rules for readings that nobody has to take: whatever a meter with long leads
// reads, with as many people as it takes.
var Unhampered = Rules{Helpers: math.MaxInt32, LongLead: true}

// ruleKeys are the keys of a file of rules, which are the names of the flags.
var ruleKeys = []string{"no-live", "no-lift", "looks-only", "out-of-reach", "helpers", "long-lead"}

// ReadRules reads a file of rules: a flag's name a line, with its value. It collects every
// mistake at its place.
func ReadRules(file string, text []byte) (Rules, circuits.Problems) {
	var r Rules
	var problems circuits.Problems
	lines := strings.Split(string(text), "\n")
	wrong := func(line, column int, word, what, right string) {
		p := circuits.Problem{File: file, Pos: circuits.Pos{Line: line, Column: column}, What: what, Hint: right,
			Width: utf8.RuneCountInString(word)}
		if line > 0 && line <= len(lines) {
			p.Source = strings.TrimSuffix(lines[line-1], "\r")
		}
		problems = append(problems, p)
	}
	var doc yaml.Node
	if err := yaml.Unmarshal(text, &doc); err != nil {
		line := 1
		what := strings.TrimPrefix(err.Error(), "yaml: ")
		if _, e := fmt.Sscanf(what, "line %d: ", &line); e == nil {
			_, what, _ = strings.Cut(what, ": ")
		}
		wrong(line, 1, "", what, "keys with values, as in no-live: true")
		return r, problems
	}
	if doc.Kind == 0 {
		return r, nil // nothing but comments
	}
	top := doc.Content[0]
	if top.Kind != yaml.MappingNode {
		wrong(top.Line, top.Column, "", "the rules of a site are keys with values", "as in no-live: true")
		return r, problems
	}
	given := make(map[string]bool)
	for i := 0; i+1 < len(top.Content); i += 2 {
		key, value := top.Content[i], top.Content[i+1]
		if given[key.Value] {
			wrong(key.Line, key.Column, key.Value, circuits.Quote(key.Value)+" stands there twice", "each rule once")
			continue
		}
		given[key.Value] = true
		right, ok := r.read(key.Value, value)
		switch {
		case right == "":
			near := circuits.Nearest(key.Value, ruleKeys)
			if near == "" {
				near = circuits.Listed(ruleKeys)
			}
			wrong(key.Line, key.Column, key.Value, "there is no rule "+circuits.Quote(key.Value), near)
		case !ok:
			wrong(value.Line, value.Column, value.Value, key.Value+" is not right", right)
		}
	}
	return r, problems
}

// read takes the value of a rule. It gives what would be right, nothing for a rule that is
// none, and whether the value is.
func (r *Rules) read(key string, value *yaml.Node) (right string, ok bool) {
	yes := map[string]*bool{"no-live": &r.NoLive, "no-lift": &r.NoLift, "looks-only": &r.LooksOnly, "long-lead": &r.LongLead}
	filled := value.Tag != "!!null"
	switch {
	case yes[key] != nil:
		return "true or false", filled && value.Decode(yes[key]) == nil
	case key == "helpers":
		return "a whole number from 0 up", filled && value.Decode(&r.Helpers) == nil && r.Helpers >= 0
	case key == "out-of-reach" && value.Kind == yaml.ScalarNode && filled:
		r.OutOfReach = []string{value.Value}
		return "a place, or a list of places", true
	case key == "out-of-reach":
		return "a place, or a list of places", filled && value.Decode(&r.OutOfReach) == nil
	}
	return "", false
}

// With adds rules to others: what either forbids is forbidden.
func (r Rules) With(more Rules) Rules {
	r.NoLive = r.NoLive || more.NoLive
	r.NoLift = r.NoLift || more.NoLift
	r.LooksOnly = r.LooksOnly || more.LooksOnly
	r.LongLead = r.LongLead || more.LongLead
	r.OutOfReach = slices.Concat(r.OutOfReach, more.OutOfReach)
	r.Helpers = max(r.Helpers, more.Helpers)
	return r
}

// Unknown gives the places of the rules that a circuit does not have.
func (r Rules) Unknown(c *circuits.Circuit) []string {
	var unknown []string
	for _, place := range r.OutOfReach {
		if _, ok := c.Places[place]; !ok {
			unknown = append(unknown, place)
		}
	}
	return unknown
}

// Flags gives the flags that say the same.
func (r Rules) Flags() []string {
	var flags []string
	for _, f := range []struct {
		on   bool
		flag string
	}{{r.NoLive, "--no-live"}, {r.NoLift, "--no-lift"}, {r.LooksOnly, "--looks-only"}, {r.LongLead, "--long-lead"}} {
		if f.on {
			flags = append(flags, f.flag)
		}
	}
	for _, place := range r.OutOfReach {
		flags = append(flags, "--out-of-reach", place)
	}
	if r.Helpers > 0 {
		flags = append(flags, "--helpers", fmt.Sprint(r.Helpers))
	}
	return flags
}
