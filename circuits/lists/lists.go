package lists

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
	"deadrung/circuits/wirelist"
)

// metres writes a length; nothing for none.
func metres(length float64) string {
	if length == 0 {
		return ""
	}
	return strconv.FormatFloat(length, 'f', -1, 64) + " m"
}

// terminals is the terminal plan. Inside is what is at the place of the block itself; of a
// connector, what is on side a.
func terminals(d *drawing.Drawing) Table {
	t := Table{Title: "Terminal plan",
		About: "Inside is what a terminal is wired to at its own place, or on side a of a connector.",
		Heads: []string{"terminal", "wire", "inside", "bridge", "outside", "wire outside", "cable and core"}}
	c := d.Circuit
	number := c.NumberOf()
	for _, dev := range c.Devices {
		g := Group{Name: dev.Name}
		switch dev.Type.Kind {
		case circuits.BlockKind:
			for _, name := range dev.Terminals {
				at := dev.Terminal(name)
				inside, outside, run := sides(c, dev, at)
				g.Rows = append(g.Rows, []string{name, number[at], inside, bridgeOf(dev, name), outside,
					ifAny(outside, number[at]), run})
			}
		case circuits.ConnectorKind:
			for _, pin := range dev.Pins {
				a, b := dev.Terminal(pin+"a"), dev.Terminal(pin+"b")
				in, _ := wiresAt(c, a, func(*circuits.Device) bool { return true })
				out, run := wiresAt(c, b, func(*circuits.Device) bool { return true })
				g.Rows = append(g.Rows, []string{pin, number[a], in, "", out, number[b], run})
			}
		}
		if len(g.Rows) > 0 {
			t.Groups = append(t.Groups, g)
		}
	}
	return t
}

// ifAny gives the second text where there is a first.
func ifAny(first, second string) string {
	if first == "" {
		return ""
	}
	return second
}

// sides gives what a terminal of a block is wired to at its place and elsewhere, and the cables of
// what is elsewhere.
func sides(c *circuits.Circuit, dev *circuits.Device, at circuits.Terminal) (inside, outside, run string) {
	inside, _ = wiresAt(c, at, func(o *circuits.Device) bool { return o.Place == dev.Place })
	outside, run = wiresAt(c, at, func(o *circuits.Device) bool { return o.Place != dev.Place })
	return inside, outside, run
}

// wiresAt gives the other ends of the wires on a terminal that go to such devices, and their cables.
func wiresAt(c *circuits.Circuit, at circuits.Terminal, to func(*circuits.Device) bool) (ends, runs string) {
	var names, in []string
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			other := w.To
			if w.To == at {
				other = w.From
			} else if w.From != at {
				continue
			}
			name, _ := other.Split()
			if to(c.Device(name)) {
				names = append(names, string(other))
				if w.Cable != "" {
					in = append(in, strings.TrimSpace(w.Cable+" "+w.Core))
				}
			}
		}
	}
	return strings.Join(names, ", "), strings.Join(in, ", ")
}

// bridgeOf gives the terminals that bridges join to one.
func bridgeOf(dev *circuits.Device, name string) string {
	var to []string
	for _, b := range dev.Bridges {
		switch name {
		case b[0]:
			to = append(to, b[1])
		case b[1]:
			to = append(to, b[0])
		}
	}
	return strings.Join(to, ", ")
}

// cables is the cable schedule. Wires between places that are in no cable of the file stand by the
// two places.
func cables(d *drawing.Drawing) Table {
	t := Table{Title: "Cable schedule", About: "Wires from place to place. A heading in brackets: the file gives no cable for these.",
		Heads: []string{"core", "wire", "from", "at", "to", "at", "colour", "gauge"}}
	c := d.Circuit
	at := make(map[string]int)
	group := func(name string) *Group {
		if _, there := at[name]; !there {
			at[name] = len(t.Groups)
			t.Groups = append(t.Groups, Group{Name: name})
		}
		return &t.Groups[at[name]]
	}
	title := make(map[string]string)
	for _, cable := range c.Cables {
		var words []string
		for _, w := range []string{cable.Type, metres(cable.Length), cable.Note} {
			if w != "" {
				words = append(words, w)
			}
		}
		title[cable.Name] = strings.Join(append([]string{cable.Name}, words...), ", ")
		group(title[cable.Name])
	}
	used := make(map[string]int)
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			from, to := deviceOf(c, w.From), deviceOf(c, w.To)
			name := cmp.Or(title[w.Cable], w.Cable)
			if name == "" && from.Place == to.Place {
				continue
			}
			if name == "" {
				name = fmt.Sprintf("(%s to %s)", min(from.Place, to.Place), max(from.Place, to.Place))
			}
			used[w.Cable]++
			g := group(name)
			g.Rows = append(g.Rows, []string{w.Core, n.Name, string(w.From), from.Place, string(w.To), to.Place,
				w.Colour, w.Gauge})
		}
	}
	for _, cable := range c.Cables {
		g := group(title[cable.Name])
		for range max(cable.Cores-used[cable.Name], 0) {
			g.Rows = append(g.Rows, []string{"", "spare", "", "", "", "", "", ""})
		}
	}
	for i := range t.Groups {
		slices.SortStableFunc(t.Groups[i].Rows, func(a, b []string) int { return byCore(a[0], b[0]) })
	}
	return t
}

// byCore orders cores by their numbers, what has none last.
func byCore(a, b string) int {
	x, errX := strconv.Atoi(a)
	y, errY := strconv.Atoi(b)
	switch {
	case errX == nil && errY == nil:
		return x - y
	case a == "" || b == "":
		return cmp.Compare(b, a)
	}
	return cmp.Compare(a, b)
}

func deviceOf(c *circuits.Circuit, t circuits.Terminal) *circuits.Device {
	name, _ := t.Split()
	return c.Device(name)
}

// conductors is every wire with what it is made of, in the order of wiring.
func conductors(d *drawing.Drawing) Table {
	t := Table{Title: "Wires", About: "In the order of wiring.",
		Heads: []string{"no.", "rung", "wire", "from", "to", "colour", "gauge", "length", "ferrule", "cable", "core"}}
	made := make(map[[2]circuits.Terminal]circuits.Conductor)
	for _, n := range d.Circuit.Numbers {
		for _, w := range n.Wires {
			made[[2]circuits.Terminal{w.From, w.To}] = w.Conductor
		}
	}
	var g Group
	for _, l := range wirelist.Of(d).Lines {
		if l.Bridge {
			continue
		}
		m := made[[2]circuits.Terminal{l.From.Terminal, l.To.Terminal}]
		rung := ""
		if l.Rung > 0 {
			rung = strconv.Itoa(l.Rung)
		}
		g.Rows = append(g.Rows, []string{strconv.Itoa(len(g.Rows) + 1), rung, l.Number, string(l.From.Terminal),
			string(l.To.Terminal), m.Colour, m.Gauge, metres(m.Length), m.Ferrule, m.Cable, m.Core})
	}
	t.Groups = []Group{g}
	return t
}

// labels is what has to be printed and stuck on.
func labels(d *drawing.Drawing) Table {
	t := Table{Title: "Labels", About: "How many of each: a wire has its number at both ends.",
		Heads: []string{"label", "second line", "quantity"}}
	devices, strips, wires, runs := Group{Name: "devices"}, Group{Name: "terminals"}, Group{Name: "wires"}, Group{Name: "cables"}
	c := d.Circuit
	for _, dev := range c.Devices {
		devices.Rows = append(devices.Rows, []string{dev.Name, dev.Note, "1"})
		var names []string
		switch dev.Type.Kind {
		case circuits.ConnectorKind:
			names = dev.Pins
		case circuits.BlockKind:
			names = dev.Terminals
		}
		for _, name := range names {
			strips.Rows = append(strips.Rows, []string{name, dev.Name, "1"})
		}
	}
	var in []string
	for _, n := range c.Numbers {
		if len(n.Wires) > 0 {
			wires.Rows = append(wires.Rows, []string{n.Name, "", strconv.Itoa(2 * len(n.Wires))})
		}
		for _, w := range n.Wires {
			if w.Cable != "" && !slices.Contains(in, w.Cable) {
				in = append(in, w.Cable)
			}
		}
	}
	for _, cable := range c.Cables {
		runs.Rows = append(runs.Rows, []string{cable.Name, cable.Type, "2"})
		in = slices.DeleteFunc(in, func(name string) bool { return name == cable.Name })
	}
	for _, name := range in {
		runs.Rows = append(runs.Rows, []string{name, "", "2"})
	}
	for _, g := range []Group{devices, strips, wires, runs} {
		if len(g.Rows) > 0 {
			t.Groups = append(t.Groups, g)
		}
	}
	return t
}

// parts is the parts list: what is alike is counted together.
func parts(d *drawing.Drawing) Table {
	t := Table{Title: "Parts list", About: "A part is as the circuit file names it; the rest is what the drawing needs of it.",
		Heads: []string{"item", "quantity", "part", "description", "designations"}}
	type row struct {
		part, what string
		names      []string
	}
	var rows []*row
	for _, dev := range d.Circuit.Devices {
		if dev.Type.Kind == circuits.GroundKind {
			continue
		}
		what := described(dev)
		i := slices.IndexFunc(rows, func(r *row) bool { return r.part == dev.Part && r.what == what })
		if i < 0 {
			i = len(rows)
			rows = append(rows, &row{part: dev.Part, what: what})
		}
		rows[i].names = append(rows[i].names, dev.Name)
	}
	var g Group
	for i, r := range rows {
		g.Rows = append(g.Rows, []string{strconv.Itoa(i + 1), strconv.Itoa(len(r.names)), r.part, r.what,
			strings.Join(r.names, ", ")})
	}
	for _, cable := range d.Circuit.Cables {
		g.Rows = append(g.Rows, []string{strconv.Itoa(len(g.Rows) + 1), cmp.Or(metres(cable.Length), "1"), cable.Type,
			"cable", cable.Name})
	}
	t.Groups = []Group{g}
	return t
}

// described tells what a device must be.
func described(dev *circuits.Device) string {
	words := []string{dev.Type.Called()}
	add := func(v float64, unit string) {
		if v > 0 {
			words = append(words, strconv.FormatFloat(v, 'g', 6, 64)+" "+unit)
		}
	}
	if dev.HasPrimary() {
		add(dev.PrimaryVolts, "V primary")
	}
	add(dev.Volts, "V")
	add(dev.Amps, "A")
	add(dev.VA, "VA")
	add(dev.Seconds, "s")
	if n := len(dev.Pins); n > 0 {
		words = append(words, fmt.Sprintf("%d pins", n))
	}
	if n := len(dev.Terminals); dev.Type.Kind == circuits.BlockKind {
		words = append(words, fmt.Sprintf("%d terminals", n))
	}
	no, nc := 0, 0
	for i := range dev.Contacts {
		if dev.ClosedAtRest(i) {
			nc++
		} else {
			no++
		}
	}
	if no > 0 {
		words = append(words, fmt.Sprintf("%d NO", no))
	}
	if nc > 0 {
		words = append(words, fmt.Sprintf("%d NC", nc))
	}
	return strings.Join(words, ", ")
}

// devices is the list of devices, with all that the file says of each.
func devices(d *drawing.Drawing, file []byte) (Table, error) {
	rows, err := read.DeviceList(read.Wired(file, d.Circuit, nil))
	if err != nil {
		return Table{}, err
	}
	return Table{Title: "Devices", About: "A column for every key that the circuit file has; lists as the file writes them.",
		Heads: rows[0], Groups: []Group{{Rows: rows[1:]}}}, nil
}
