package read

import (
	"fmt"
	"slices"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// mostCores is how many cores a cable has at most.
const mostCores = 200

// The keys of cables and conductors.
var (
	cableKeys     = []string{"type", "cores", "length", "note"}
	conductorKeys = []string{"numbers", "from", "to", "colour", "gauge", "length", "ferrule", "cable", "core"}
)

const conductorForm = "{numbers: [2], colour: white} for wire numbers, {from: TB1:3, to: LS1:11, cable: W1, core: 1} for one wire"

// readCables reads the cables of the panel.
func (r *reader) readCables(e *entry) {
	if e == nil {
		return
	}
	right := "designation: {type: TYPE, cores: 7}"
	entries, ok := r.entries(e.value, "cables", right)
	if !ok {
		return
	}
	for _, e := range entries {
		r.fits(e.key, deviceNames, e.at)
		inner, ok := r.entries(e.value, e.key, right)
		if !ok {
			continue
		}
		given := r.known(inner, cableKeys, "in the cable "+circuits.Quote(e.key))
		c := circuits.Cable{Name: e.key}
		if t := given["type"]; t != nil {
			c.Type, _ = r.line(t)
		}
		if t := given["note"]; t != nil {
			c.Note, _ = r.line(t)
		}
		if n := given["cores"]; n != nil {
			v, ok := r.positive(n)
			if ok && (v != float64(int(v)) || v > mostCores) {
				r.wrong(n.value, fmt.Sprintf("a whole number from 1 to %d", mostCores), "cores counts the cores of %s", e.key)
			}
			c.Cores = int(v)
		}
		if n := given["length"]; n != nil {
			c.Length, _ = r.positive(n)
		}
		r.circuit.Cables = append(r.circuit.Cables, c)
	}
}

// conducting is what one entry of conductors says, and of which wires.
type conducting struct {
	circuits.Conductor
	numbers []string
	ends    [2]circuits.Terminal // empty: of all wires of the numbers
	at      *yaml.Node
}

// readConductors reads what the wires are made of, later entries over earlier ones. The wires must
// be known.
func (r *reader) readConductors(e *entry) {
	if e == nil {
		return
	}
	items, ok := r.items(e.value, "conductors", "a list, each "+conductorForm)
	if !ok {
		return
	}
	for _, n := range items {
		if c, ok := r.readConductor(n); ok && len(r.circuit.Numbers) > 0 {
			r.conduct(c)
		}
	}
	if r.mistakes == 0 {
		r.checkCores(e)
	}
}

// readConductor reads one entry.
func (r *reader) readConductor(n *yaml.Node) (conducting, bool) {
	c := conducting{at: n}
	entries, ok := r.entries(n, "an entry of conductors", conductorForm)
	if !ok {
		return c, false
	}
	before := r.mistakes
	given := r.known(entries, conductorKeys, "in conductors")
	for key, into := range map[string]*string{"colour": &c.Colour, "gauge": &c.Gauge, "ferrule": &c.Ferrule,
		"cable": &c.Cable, "core": &c.Core} {
		if e := given[key]; e != nil {
			*into, _ = r.line(e)
		}
	}
	if e := given["length"]; e != nil {
		c.Length, _ = r.positive(e)
	}
	if e := given["numbers"]; e != nil {
		names, _ := r.items(e.value, "numbers", "a list of wire numbers, as in [2, 3]")
		for _, name := range names {
			text := follow(name).Value
			if r.fits(text, wireNumbers, name) {
				c.numbers = append(c.numbers, text)
			}
			if !slices.ContainsFunc(r.circuit.Numbers, func(n circuits.Number) bool { return n.Name == text }) &&
				len(r.circuit.Numbers) > 0 {
				r.wrong(name, "", "there is no wire number %s", circuits.Quote(text))
			}
		}
	}
	from, to := given["from"], given["to"]
	if (from == nil) != (to == nil) {
		r.wrong(n, conductorForm, "a wire has two ends, from and to")
	} else if from != nil {
		for i, e := range []*entry{from, to} {
			text, _ := r.line(e)
			c.ends[i] = circuits.Terminal(text)
		}
	}
	return c, r.mistakes == before
}

// conduct writes what an entry says to the wires that it means.
func (r *reader) conduct(c conducting) {
	if c.Cable != "" && len(r.circuit.Cables) > 0 && !slices.ContainsFunc(r.circuit.Cables,
		func(o circuits.Cable) bool { return o.Name == c.Cable }) {
		r.wrong(c.at, "a cable of cables", "there is no cable %s", circuits.Quote(c.Cable))
		return
	}
	found := false
	for i := range r.circuit.Numbers {
		n := &r.circuit.Numbers[i]
		if len(c.numbers) > 0 && !slices.Contains(c.numbers, n.Name) {
			continue
		}
		for k := range n.Wires {
			w := &n.Wires[k]
			if c.ends[0] != "" && c.ends != [2]circuits.Terminal{w.From, w.To} &&
				c.ends != [2]circuits.Terminal{w.To, w.From} {
				continue
			}
			found = true
			w.Conductor.Take(c.Conductor)
		}
	}
	if !found && c.ends[0] != "" {
		r.wrong(c.at, "the two ends of a wire as the wires have them", "no wire goes from %s to %s", c.ends[0], c.ends[1])
	}
}

// checkCores complains of a core that two wires have, and of more wires than a cable has cores.
func (r *reader) checkCores(e *entry) {
	cores := make(map[[2]string]circuits.Wire)
	used := make(map[string]int)
	for _, n := range r.circuit.Numbers {
		for _, w := range n.Wires {
			if w.Cable == "" {
				continue
			}
			used[w.Cable]++
			key := [2]string{w.Cable, w.Core}
			if before, there := cores[key]; there && w.Core != "" {
				r.wrong(e.at, "each core once", "core %s of %s is the wire from %s to %s, and the one from %s to %s",
					w.Core, w.Cable, before.From, before.To, w.From, w.To)
			}
			cores[key] = w
		}
	}
	for _, c := range r.circuit.Cables {
		if c.Cores > 0 && used[c.Name] > c.Cores {
			r.wrong(e.at, "another cable, or one with more cores", "%s has %s, and %s run in it", c.Name,
				circuits.Counted(c.Cores, "core"), circuits.Counted(used[c.Name], "wire"))
		}
	}
}
