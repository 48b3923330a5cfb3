package wiring

import (
	"fmt"
	"slices"

	"deadrung/circuits"
)

// crossings hands out the terminals and pins that wires go through.
type crossings struct {
	l       *ladder
	owner   map[circuits.Terminal]point // of terminals that are used; those that are bridged count as one
	old     map[circuits.Terminal]string
	used    map[circuits.Terminal]bool
	taken   map[crossing]circuits.Terminal
	missing map[*circuits.Device]int
}

// crossing is a section going through a device.
type crossing struct {
	s point
	d *circuits.Device
}

func newCrossings(l *ladder) *crossings {
	c := &crossings{
		l: l, owner: make(map[circuits.Terminal]point), taken: make(map[crossing]circuits.Terminal),
		missing: make(map[*circuits.Device]int),
		used:    make(map[circuits.Terminal]bool), old: l.old,
	}
	for i := range l.seats {
		s := l.section(l.seats[i].at)
		t := l.terminal(&l.seats[i])
		c.owner[l.bridged.Of(t)], c.used[t] = s, true
		name, _ := t.Split()
		if d := l.devices[name]; d.Type.Kind == circuits.BlockKind {
			if _, ok := c.taken[crossing{s, d}]; !ok {
				c.taken[crossing{s, d}] = t // the drawing says where to land
			}
		}
	}
	return c
}

// through adds the terminals and pins that the wires of a section go through on their
// way to other places, and gives for each place the terminal that its wires come from.
func (c *crossings) through(g *leads) map[string]circuits.Terminal {
	entries := make(map[string]circuits.Terminal)
	var places []string
	for _, sp := range g.spots {
		if !g.isGround(sp.t) && !slices.Contains(places, sp.place) {
			places = append(places, sp.place)
		}
	}
	if len(places) < 2 {
		return entries
	}
	over := make(map[*circuits.Device]int) // places that are reached over a device
	for _, place := range places {
		for _, d := range c.l.Through[place] {
			over[d]++
		}
	}
	for _, place := range places {
		from := circuits.Terminal("")
		for _, d := range c.l.Through[place] {
			t, fresh := c.take(g, d, over[d])
			if t == "" {
				c.missing[d]++
				continue
			}
			if fresh {
				g.add(t, d.Place)
			}
			if from != "" {
				g.forced = append(g.forced, [2]circuits.Terminal{from, t})
			}
			g.leaves[t]++
			from = t
			if d.Type.Kind == circuits.ConnectorKind {
				from = t[:len(t)-1] + "b"
				if fresh {
					g.add(from, place)
					g.whole.Join(t, from)
				}
			}
		}
		if from != "" {
			entries[place] = from
		}
	}
	return entries
}

// add puts a terminal that the drawing does not name last, or before what is at its
// place.
func (g *leads) add(t circuits.Terminal, place string) {
	at := len(g.spots)
	if place != "panel" {
		if i := slices.IndexFunc(g.spots, func(sp spot) bool { return sp.place == place }); i >= 0 {
			at = i
		}
	}
	g.spots = slices.Insert(g.spots, at, spot{t, place})
	if at == 0 && len(g.spots) > 1 { // what is drawn first stays so
		g.first = g.spots[1].t
	}
}

// take gives the terminal, or the a side of the pin, at which a section goes through a
// device, and whether it was not there before. Each place after the first gets a terminal
// of its own that is bridged to the first one, where the block has it.
func (c *crossings) take(g *leads, d *circuits.Device, places int) (t circuits.Terminal, fresh bool) {
	key := crossing{g.s, d}
	before, again := c.taken[key]
	if again && (d.Type.Kind == circuits.ConnectorKind || g.leaves[before] == 0) {
		return before, false
	}
	number := c.l.number[g.s]
	best, rank := circuits.Terminal(""), 0
	for _, t := range crossingsOf(d) {
		if c.used[t] || d.Type.Kind == circuits.ConnectorKind && c.used[t[:len(t)-1]+"b"] {
			continue
		}
		owner, owned := c.owner[c.l.bridged.Of(t)]
		if owned && owner != g.s || again && !owned {
			continue
		}
		bridged := c.l.bridged.Has(t)
		r := 2
		switch old := c.old[t]; {
		case old != "" && old == number:
			r = 4 // as it was
		case old != "":
			r = 1
		case bridged == (places > 1):
			r = 3
		}
		if r > rank {
			best, rank = t, r
		}
	}
	if best == "" {
		return before, false
	}
	c.used[best] = true
	if !again {
		c.taken[key] = best
	}
	c.owner[c.l.bridged.Of(best)] = g.s
	if again {
		g.whole.Join(before, best)
	}
	return best, true
}

// crossingsOf gives the terminals of a block, and of a connector the a sides of its pins.
func crossingsOf(d *circuits.Device) []circuits.Terminal {
	var out []circuits.Terminal
	for _, pin := range d.Pins {
		out = append(out, d.Terminal(pin+"a"))
	}
	if d.Type.Kind == circuits.BlockKind {
		for _, name := range d.Terminals {
			out = append(out, d.Terminal(name))
		}
	}
	return out
}

// report complains of blocks and connectors that are too small.
func (c *crossings) report() {
	for _, d := range c.l.Circuit.Devices {
		n := c.missing[d]
		if n == 0 {
			continue
		}
		has, thing := len(d.Terminals), "terminal"
		if d.Type.Kind == circuits.ConnectorKind {
			has, thing = len(d.Pins), "pin"
		}
		c.l.wrong(c.l.ThroughAt[d], fmt.Sprintf("%s more", circuits.Counted(n, thing)),
			"%s has %s, too few for the wires that go through it", d.Name, circuits.Counted(has, thing))
	}
}
