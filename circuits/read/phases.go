package read

import (
	"fmt"
	"slices"
	"strconv"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// phases gives a device its three lines, and the neutral behind them where it has one.
func (d *drawn) phases(names []string) {
	d.Terminals = slices.Clone(names)
	d.Ends = [2]string{names[0], names[1]}
	d.More = [][2]string{{names[1], names[2]}, {names[2], names[0]}}
	if len(names) == twoSets {
		d.More = append(d.More, [2]string{names[3], names[4]}, [2]string{names[4], names[5]}, [2]string{names[5], names[3]})
	}
}

// readPhases reads the terminals of three phases, and of a supply its neutral.
func (r *reader) readPhases(d *drawn, e *entry) {
	least, most, right := threePhases, len(d.Type.Terminals), List(d.Type.Terminals)
	switch {
	case most == twoSets:
		least = twoSets
	case d.Joined == circuits.Delta:
		most = threePhases
	}
	names := r.readNames(d, e)
	if len(names) < least || len(names) > most {
		if len(names) > 0 {
			r.wrong(e.value, "as many as in "+right, "terminals of %s has %s", d.Name,
				circuits.Counted(len(names), "terminal"))
		}
		return
	}
	d.phases(names)
}

// Terminals of three phases, and of two sets of windings in one machine.
const (
	threePhases = 3
	twoSets     = 6
)

// readConnection reads how three windings are joined.
func (r *reader) readConnection(d *drawn, e *entry) {
	words := connections(d.Type)
	word, ok := r.oneOf(e, words...)
	if !ok {
		return
	}
	d.Joined = circuits.Connection(word)
	if d.Joined == circuits.Delta && d.Neutral() != "" { // it has no neutral
		delete(d.taken, d.Terminals[threePhases])
		d.Terminals = d.Terminals[:threePhases]
	}
}

// connections are the words that `connection` of the file may be.
func connections(t *circuits.Type) []string {
	words := []string{string(circuits.Star), string(circuits.Delta)}
	if t.Kind == circuits.SourceKind {
		words = append(words, string(circuits.HighLeg))
	}
	return words
}

// mostPoles is as many poles as a breaker has with its neutral switched; common practice, no
// source.
const mostPoles = 4

// readPoles reads the poles of a breaker, or the heaters of an overload relay: their number, for
// poles 1-2, 3-4 and so on, or the terminals of each.
func (r *reader) readPoles(d *drawn, e *entry) {
	right := fmt.Sprintf("2 to %d, or the terminals of each, as in [[1, 2], [3, 4], [5, 6]]", mostPoles)
	n := follow(e.value)
	if n.Kind == yaml.ScalarNode {
		count, err := strconv.Atoi(n.Value)
		if err != nil || count < 2 || count > mostPoles {
			r.wrong(e.value, right, "poles is %s", n.Value)
			return
		}
		for i := range count {
			pole := [2]string{strconv.Itoa(2*i + 1), strconv.Itoa(2*i + 2)}
			d.Poles = append(d.Poles, pole)
			d.taken[pole[0]], d.taken[pole[1]] = e.value, e.value
		}
	} else {
		items, ok := r.items(e.value, "poles", right)
		if !ok {
			return
		}
		if len(items) < 1 || len(items) > mostPoles {
			r.wrong(e.value, right, "%s has %s", d.Name, circuits.Counted(len(items), "pole"))
			return
		}
		for _, item := range items {
			var pole [2]string
			r.readPair(d, &entry{key: "poles", at: item, value: item}, &pole)
			if pole[0] != "" {
				d.Poles = append(d.Poles, pole)
			}
		}
	}
	if d.Type.Kind != circuits.LinkKind || len(d.Poles) == 0 {
		return
	}
	if other := d.given["terminals"]; other != nil {
		r.wrong(other.at, "poles alone", "%s has both terminals and poles", d.Name)
	}
	d.Ends = d.Poles[0]
}
