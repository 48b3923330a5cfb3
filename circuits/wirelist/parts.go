package wirelist

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/read"
)

// source: its volts are on no wire list.
func (g *guesser) source(t *circuits.Type) {
	d := g.device
	if t.DC { // it makes its volts of what feeds it
		if !within(d.Terminals, t.Terminals, t.Primary) {
			g.refuse("type", "the terminals of a %s are %s", t.Name, circuits.Listed(slices.Concat(t.Primary, t.Terminals)))
		}
		return
	}
	most := len(t.Terminals) + len(t.Primary)
	if t.Primary != nil {
		most += len(secondaryNames) - len(t.Terminals)
	}
	if len(d.Terminals) > most {
		g.refuse("type", "%s has %d terminals with wires, and a %s has %d", d.Name, len(d.Terminals),
			t.Name, most)
		return
	}
	volts := "120"
	if t.Primary == nil && anyOf(d.Terminals, directNames) {
		volts = "24"
	}
	g.key("volts: %s", g.number("volts", fmt.Sprintf("How many volts does %s give?", d.Name), volts))
	if t.Primary != nil {
		windings := g.secondaries(volts)
		ends := func(key string, names, usual []string) {
			own := d.among(names)
			if key == "terminals" && windings {
				own = own[:2]
			}
			if within(own, usual) || len(own) > 2 {
				return
			}
			if len(own) == 1 {
				own = append([]string{usual[0]}, own...)
			}
			g.key("%s: %s", key, read.List([]string{own[0], own[len(own)-1]}))
		}
		ends("terminals", secondaryNames, t.Terminals)
		ends("primary", primaryNames, t.Primary)
		return
	}
	if anyOf(d.Terminals, directNames) {
		g.key("current: dc")
		if within(d.Terminals, []string{"+", "-"}) {
			return
		}
	} else if within(d.Terminals, t.Terminals) {
		return
	}
	ends := g.pair(t.Terminals)
	if slices.Contains(returnNames, ends[0]) {
		ends[0], ends[1] = ends[1], ends[0]
	}
	g.key("terminals: %s", read.List(ends[:]))
}

// among gives the terminals of a device that are among names, in their order.
func (d *Guessed) among(names []string) []string {
	return slices.DeleteFunc(slices.Clone(names), func(n string) bool { return !slices.Contains(d.Terminals, n) })
}

// secondaries asks for the volts of each secondary beside the first: of three terminals the middle
// one is a tap, four are two windings. It tells whether there are any.
func (g *guesser) secondaries(volts string) bool {
	own := g.device.among(secondaryNames)
	if len(own) < 3 {
		return false
	}
	a, b := own[len(own)-2], own[len(own)-1]
	g.key("secondaries: [{terminals: %s, volts: %s}]", read.List([]string{a, b}), g.number("volts-"+a+"-"+b,
		fmt.Sprintf("How many volts does %s give between %s and %s?", g.device.Name, a, b), volts))
	return true
}

// pair gives the two terminals of a device, one of them the usual one where the list has
// a wire on one alone.
func (g *guesser) pair(usual []string) [2]string {
	names := g.device.Terminals
	switch {
	case len(names) >= 2:
		return [2]string{names[0], names[1]}
	case names[0] == usual[0]:
		return [2]string{usual[0], usual[1]}
	case names[0] == usual[1]:
		return [2]string{usual[0], usual[1]}
	case names[0] == "X1" || names[0] == "X2":
		return [2]string{"X1", "X2"}
	}
	return [2]string{names[0], usual[1]}
}

// ground: the bonded metalwork has the terminal 1 in a circuit file.
func (g *guesser) ground() {
	d := g.device
	if len(d.Terminals) > 1 {
		g.refuse("type", "%s has %d terminals with wires, and a ground has one", d.Name, len(d.Terminals))
		return
	}
	for i := range g.draft.Rows {
		r := &g.draft.Rows[i]
		for _, t := range []*circuits.Terminal{&r.From, &r.To} {
			if name, _ := t.Split(); name == d.Name {
				*t = circuits.Terminal(d.Name + ":1")
			}
		}
	}
	d.Terminals = []string{"1"}
}

func (g *guesser) twoEnds(t *circuits.Type) {
	d := g.device
	if t.Phases && t.Numbered != nil && !within(d.Terminals, t.Terminals) {
		g.key("terminals: %s", read.List(t.Numbered))
	}
	if t.Phases || t.Poles && len(g.poles()) > 1 {
		return
	}
	if t.Primary != nil {
		if !within(d.Terminals, t.Terminals, t.Primary) {
			g.refuse("type", "the terminals of a %s are %s", t.Name, circuits.Listed(slices.Concat(t.Primary, t.Terminals)))
		}
		g.key("primary-amps: %s", g.number("primary-amps", fmt.Sprintf("For how many amperes is the primary of %s?", d.Name), "100"))
		return
	}
	if len(d.Terminals) > 2 {
		g.refuse("type", "%s has %d terminals with wires, and a %s has two", d.Name, len(d.Terminals), t.Name)
		return
	}
	if !within(d.Terminals, t.Terminals) {
		ends := g.pair(t.Terminals)
		g.key("terminals: %s", read.List(ends[:]))
	}
	for _, need := range t.Needs {
		switch need {
		case "ohms":
			g.key("ohms: %s", g.number("ohms", fmt.Sprintf("How many ohms has %s?", d.Name), "1000"))
		case "amps":
			g.key("amps: %s", g.number("amps", fmt.Sprintf("Up to how many amperes does %s show?", d.Name), "5"))
		case "microfarads":
			g.key("microfarads: %s", g.number("microfarads", fmt.Sprintf("How many microfarads has %s?", d.Name), "10"))
		}
	}
}

func (g *guesser) connector() {
	var pins []string
	for _, n := range g.device.Terminals {
		pin := strings.TrimRight(n, "ab")
		if pin == "" || len(n)-len(pin) != 1 {
			g.refuse("type", "a connector's terminals are its pins with a or b behind, not %s", n)
			return
		}
		if !slices.Contains(pins, pin) {
			pins = append(pins, pin)
		}
	}
	g.key("pins: %s", read.List(pins))
}

// relay: a coil and contacts.
func (g *guesser) relay(t *circuits.Type) {
	d := g.device
	var poles []pole
	if b := baseOf(d.Terminals); b != nil && !anyOf(d.Terminals, coilNames) {
		g.key("coil: %s", read.List(b.coil[:]))
		poles = b.polesOf(d.Terminals)
	} else {
		names := slices.DeleteFunc(slices.Clone(d.Terminals),
			func(n string) bool { return slices.Contains(coilNames, n) })
		if t.Phases {
			names = slices.DeleteFunc(names, func(n string) bool { return slices.Contains(t.Terminals, n) })
		}
		for _, c := range t.Coils {
			names = slices.DeleteFunc(names, func(n string) bool { return slices.Contains(c.Terminals, n) })
		}
		poles = g.contacts(names, mainPairs, true)
	}
	if slices.Contains(t.Needs, "amps") {
		g.key("amps: %s", g.number("amps", fmt.Sprintf("At how many amperes does %s pull in?", d.Name), "1"))
	}
	if slices.Contains(t.Keys, "delay") {
		g.key("delay: %s", g.ask("delay",
			fmt.Sprintf("Does timer %s delay on energising (on) or on de-energising (off)?", d.Name),
			[]string{"on", "off"}, "on", nil))
	}
	if t.Delays {
		g.key("seconds: %s", g.number("seconds",
			fmt.Sprintf("To how many seconds is timer %s set?", d.Name), "10"))
	}
	g.keyContacts(poles, t.Delays && !t.SeenTimed())
}

// poles writes down the main poles of a breaker or an overload relay, where it has several.
func (g *guesser) poles() []pole {
	poles, _ := byPairs(g.device.Terminals, mainPairs)
	if len(poles) < 2 {
		return nil
	}
	var pairs []string
	for _, p := range poles {
		pairs = append(pairs, read.List([]string{p.common, p.no}))
	}
	g.key("poles: [%s]", strings.Join(pairs, ", "))
	return poles
}

// operator: contacts, and of a selector switch its positions.
func (g *guesser) operator(t *circuits.Type) {
	d := g.device
	if t.Loads != nil {
		g.sensor(t)
		return
	}
	if t.Poles && len(g.poles()) > 0 {
		_, d.Terminals = byPairs(d.Terminals, mainPairs)
	}
	if t.Contacts != nil && within(d.Terminals, contactNames(t)) {
		d.positions = t.Positions
		if anyOf(d.Terminals, []string{"97"}) || !anyOf(d.Terminals, []string{"98"}) {
			return // the type's own contacts
		}
		g.keyContacts([]pole{{form: "co", common: "95", nc: "96", no: "98"}}, false)
		return
	}
	poles := g.contacts(d.Terminals, blockPairs, false)
	d.positions = t.Positions
	if t.Positions == nil {
		d.positions = g.positions()
	}
	if len(d.positions) > 2 {
		for i, p := range poles {
			ends := p.terminals()
			if len(ends) != 2 {
				g.refuse("contacts", "a switch of %d positions has plain contacts, not changeovers",
					len(d.positions))
				return
			}
			id := ends[0] + "-" + ends[1]
			answer := g.ask(id, fmt.Sprintf("In which positions of %s is its contact %s closed?",
				d.Name, id), nil,
				d.positions[min(i+1, len(d.positions)-1)], func(a string) error {
					for _, word := range words(a) {
						if !slices.Contains(d.positions, word) {
							return fmt.Errorf("%s has no position %q%s", d.Name, word,
								circuits.Suggest(word, d.positions))
						}
					}
					return nil
				})
			poles[i].closed, poles[i].inNamedPosition = words(answer), true
		}
	}
	g.keyContacts(poles, false)
}

// sensor: of three or four wires, with the outputs that the list has.
func (g *guesser) sensor(t *circuits.Type) {
	const pnp, npn = "pnp", "npn"
	d := g.device
	d.positions = t.Positions
	others := slices.DeleteFunc(slices.Clone(d.Terminals),
		func(n string) bool { return within([]string{n}, t.Terminals, sensorOutputs) })
	if len(others) > 0 || !anyOf(d.Terminals, sensorOutputs) { // its output is a relay
		g.keyContacts(g.contacts(others, blockPairs, false), false)
		return
	}
	kind := g.ask("contacts", fmt.Sprintf("Does %s switch the positive lead (pnp) or the negative one (npn)?", d.Name),
		[]string{pnp, npn}, pnp, nil)
	var poles []pole
	for i, name := range sensorOutputs {
		if !slices.Contains(d.Terminals, name) {
			continue
		}
		ends := [2]string{t.Terminals[0], name}
		if kind == npn {
			ends = [2]string{name, t.Terminals[1]}
		}
		if i == 0 {
			poles = append(poles, pole{form: "no", common: ends[0], no: ends[1]})
		} else {
			poles = append(poles, pole{form: "nc", common: ends[0], nc: ends[1]})
		}
	}
	g.keyContacts(poles, false)
}

// positions asks for those of a selector switch.
func (g *guesser) positions() []string {
	d := g.device
	answer := g.ask("positions", fmt.Sprintf("Which positions has switch %s? The one at rest first.",
		d.Name), nil, "off on", func(a string) error {
		w := words(a)
		if len(w) < 2 {
			return fmt.Errorf("two positions or more, as off on")
		}
		for i, word := range w {
			if !read.WireNumber(word) || slices.Contains(w[:i], word) {
				return fmt.Errorf("%q is no position of its own", word)
			}
		}
		return nil
	})
	w := words(answer)
	g.key("positions: %s", read.List(w))
	return w
}

func words(s string) []string {
	return strings.FieldsFunc(s, func(c rune) bool { return c == ' ' || c == ',' || c == ';' })
}

// form asks whether a contact is normally open or normally closed.
func (g *guesser) form(likely, a, b string) pole {
	id := a + "-" + b
	choices := []string{"no", "nc"}
	return plainPole(g.ask(id, fmt.Sprintf("Is contact %s of %s normally open (no) or normally "+
		"closed (nc)?", id, g.device.Name), choices, likely, nil), a, b)
}

// contacts finds the contacts among terminals, and asks where their numbers do not tell.
// Sure is set where the form that stands with the pairs can be relied on.
func (g *guesser) contacts(names []string, pairs [][3]string, sure bool) []pole {
	if len(names) == 0 {
		return nil
	}
	poles, left := byFunction(names)
	more, left := byName(left)
	poles = append(poles, more...)
	more, left = byPairs(left, pairs)
	for _, p := range more {
		if ends := p.terminals(); sure {
			poles = append(poles, p)
		} else {
			poles = append(poles, g.form(p.form, ends[0], ends[1]))
		}
	}
	if len(left) == 0 {
		return poles
	}
	d := g.device
	if len(left) == 2 {
		return append(poles, g.form("no", left[0], left[1]))
	}
	taken := inTurn(left)
	if len(left)%2 == 1 { // its partner has no wire: a name that no terminal has yet
		last := left[len(left)-1]
		taken = append(taken, plainPole("no", last, last+"x"))
	}
	answer := g.ask("contacts", fmt.Sprintf("Which contacts has %s at %s? As: no 1-2, nc 3-4, co "+
		"5-6-7 (common, NC, NO).", d.Name, terminalsText(left)),
		nil, polesText(taken), func(a string) error {
			_, err := parsePoles(a, left)
			return err
		})
	if given, err := parsePoles(answer, left); err == nil {
		taken = given
	}
	return append(poles, taken...)
}

// keyContacts writes the contacts of a device.
func (g *guesser) keyContacts(poles []pole, timer bool) {
	if len(poles) == 0 {
		return
	}
	var parts []string
	for _, p := range poles {
		var s string
		ends := p.terminals()
		switch {
		case p.inNamedPosition:
			s = "terminals: " + read.List(ends) + ", closed: " + read.List(p.closed)
		case p.form == "co":
			s = "common: " + read.Scalar(p.common) + ", nc: " + read.Scalar(p.nc) + ", no: " + read.Scalar(p.no)
		default:
			s = p.form + ": " + read.List(ends)
		}
		if p.timed && timer {
			s += ", timed: true"
		}
		parts = append(parts, "{"+s+"}")
	}
	g.key("contacts: [%s]", strings.Join(parts, ", "))
}

// supply is asked for where no device of the list is a source.
func (g *guesser) supply() {
	name := "PWS1"
	for slices.ContainsFunc(g.draft.Devices, func(d Guessed) bool { return d.Name == name }) {
		name = "PWS" + fmt.Sprint(len(name)) + name[3:]
	}
	g.draft.Devices = append(g.draft.Devices, Guessed{Name: name,
		Type: circuits.FirstOf(circuits.SourceKind).Name, Place: "panel"})
	g.device = &g.draft.Devices[len(g.draft.Devices)-1]
	volts := g.number("volts", "No device of the list is a supply or a control transformer. How many "+
		"volts is the circuit fed with?", "120")
	g.key("volts: %s", volts)
	numbers := make(map[string]circuits.Terminal)
	for _, r := range g.draft.Rows {
		if _, ok := numbers[r.Number]; !ok {
			numbers[r.Number] = r.From
		}
	}
	check := func(a string) error {
		if _, ok := numbers[a]; !ok {
			return fmt.Errorf("no wire has the number %q", a)
		}
		return nil
	}
	for _, side := range []struct{ id, text, terminal string }{
		{"hot", "Which wire number is the hot side of the supply?", "L"},
		{"return", "Which wire number is its grounded or return side?", "N"},
	} {
		answer := g.ask(side.id, side.text, nil, "", check)
		if t, ok := numbers[answer]; ok && answer != "" {
			g.draft.Rows = append(slices.Clip(g.draft.Rows),
				Row{Number: answer, From: circuits.Terminal(name + ":" + side.terminal), To: t})
		}
	}
}

// bridgeParts asks for the bridges of terminal blocks that make one node of a wire number
// that is in parts. Numbers that stay in parts are mistakes.
func (g *guesser) bridgeParts(file string, index map[string]int) circuits.Problems {
	var problems circuits.Problems
	up := make(map[circuits.Terminal]circuits.Terminal)
	of := func(t circuits.Terminal) circuits.Terminal {
		for up[t] != "" && up[t] != t {
			t = up[t]
		}
		return t
	}
	join := func(a, b circuits.Terminal) {
		if a, b = of(a), of(b); a != b {
			up[b] = a
		}
	}
	devices := g.draft.Devices
	var ground circuits.Terminal
	for _, d := range devices {
		switch circuits.TypeNamed(d.Type).Kind {
		case circuits.GroundKind:
			t := circuits.Terminal(d.Name + ":1")
			if ground == "" {
				ground = t
			}
			join(ground, t)
		case circuits.ConnectorKind:
			for _, n := range d.Terminals {
				join(circuits.Terminal(d.Name+":"+n[:len(n)-1]+"a"), circuits.Terminal(d.Name+":"+n))
			}
		}
	}
	for _, d := range devices {
		for _, b := range d.bridges {
			join(circuits.Terminal(d.Name+":"+b[0]), circuits.Terminal(d.Name+":"+b[1]))
		}
	}
	var numbers []string
	ends := make(map[string][]circuits.Terminal)
	first := make(map[circuits.Terminal]Row)
	for _, r := range g.draft.Rows {
		join(r.From, r.To)
		if r.Bridge {
			continue
		}
		if ends[r.Number] == nil {
			numbers = append(numbers, r.Number)
		}
		for _, t := range []circuits.Terminal{r.From, r.To} {
			if _, ok := first[t]; !ok {
				first[t] = r
				ends[r.Number] = append(ends[r.Number], t)
			}
		}
	}
	onTerminal := make(map[circuits.Terminal]string)
	for _, number := range numbers {
		for _, t := range ends[number] {
			onTerminal[t] = number
		}
	}
	for _, r := range g.draft.Rows {
		if a, b := onTerminal[r.From], onTerminal[r.To]; r.Bridge && a != "" && b != "" && a != b {
			return circuits.Problems{{File: file, Pos: r.at, Source: r.source,
				What: fmt.Sprintf("wire %s and wire %s are one: a bridge joins %s and %s", a, b, r.From,
					r.To), Hint: "one wire number, or no bridge"}}
		}
	}
	for _, number := range numbers {
		on := ends[number]
		for i, t := range on {
			name, terminal := t.Split()
			d := &devices[index[name]]
			if !isBlock(d.Type) {
				continue
			}
			for _, other := range on[:i] {
				its, screw := other.Split()
				if its != name || of(other) == of(t) {
					continue
				}
				g.device = d
				id := screw + "-" + terminal
				text := fmt.Sprintf("Wire %s lands on %s and on %s, and no wire joins the two. Does a bridge?",
					number, other, t)
				if g.ask(id, text, []string{"yes", "no"}, "yes", nil) == "yes" {
					d.bridges = append(d.bridges, [2]string{screw, terminal})
					join(other, t)
				}
			}
		}
		for _, t := range on[1:] {
			if of(t) != of(on[0]) {
				r := first[t]
				problems = append(problems, circuits.Problem{File: file, Pos: r.at, Source: r.source,
					What: fmt.Sprintf("wire %s is in two parts: %s does not meet %s", number, t, on[0]),
					Hint: "a wire that joins the two parts, or a number of its own for each"})
				join(on[0], t)
			}
		}
	}
	return problems
}
