package generate

import (
	"fmt"
	"slices"
	"strings"
)

// addPassive draws what is only in the way of the current: a suppressor or a resistor across some
// coils, a diode or a resistor before others, and with direct current a lamp test over blocking
// diodes. It draws no lots, so that all else in the panel is as it was.
func (b *board) addPassive(seed uint64) {
	dc := slices.ContainsFunc(b.devices, func(d *device) bool {
		return b.hangs(d) && slices.ContainsFunc(d.keys, func(k string) bool { return strings.Contains(k, "current: dc") })
	})
	across := [][]string{{"RC", "rc-suppressor"}, {"RV", "varistor"}, {"C", "capacitor", "microfarads: 0.22"}, {"R", "resistor", "ohms: 10000"}}
	before := []string{"R", "resistor", "ohms: 10"}
	if dc {
		across[0], before = []string{"D", "diode"}, []string{"D", "diode"}
	}
	for i, d := range b.relays {
		from, to := b.nodeOf(d.at("A1")), b.nodeOf(d.at("A2"))
		if n := (int(seed) + i) % 5; n < len(across) {
			part := b.add(across[n][0], across[n][1], "panel", across[n][2:]...)
			one, other := "1", "2"
			if part.kind == "diode" {
				one, other = "K", "A"
			}
			from.add(part.at(one))
			to.add(part.at(other))
		}
		if (int(seed)+i)%7 == 6 {
			b.before(before, from, d.at("A1"))
		}
	}
	switch {
	case dc:
		b.lampTest()
	case seed%2 == 0 && len(b.relays) > 0:
		b.brake()
	}
}

// brake lets the first relay feed a rectifier with a coil for dc behind it.
func (b *board) brake() {
	from := b.lay(b.hot, one(b.relays[0].pole(false, false)))
	r, y := b.add("BR", "bridge-rectifier", "panel"), b.add("Y", "solenoid", "panel")
	from.add(r.at("AC1"))
	b.ret.add(r.at("AC2"))
	plus, minus := b.node(), b.node()
	plus.add(r.at("+"))
	plus.add(y.at("1"))
	minus.add(r.at("-"))
	minus.add(y.at("2"))
	b.va += running["solenoid"]
}

// before puts a part between a node and one of its points.
func (b *board) before(kind []string, from *node, p point) {
	part := b.add(kind[0], kind[1], "panel", kind[2:]...)
	ends := [2]string{"1", "2"}
	if part.kind == "diode" {
		ends = [2]string{"A", "K"}
	}
	from.points = slices.DeleteFunc(from.points, func(q point) bool { return q == p })
	from.add(part.at(ends[0]))
	behind := b.node()
	behind.add(part.at(ends[1]))
	behind.add(p)
}

// lampTest lets a button light the first lamps, each over a diode, so that none lights another.
func (b *board) lampTest() {
	const most = 3
	var lamps []*node
	for _, d := range b.devices {
		if d.kind != "lamp" || len(lamps) == most {
			continue
		}
		if at := b.nodeOf(d.at("1")); at != b.hot && b.nodeOf(d.at("2")) == b.ret {
			lamps = append(lamps, at)
		}
	}
	if len(lamps) == 0 {
		return
	}
	button := b.add("PB", "push-button", "door")
	test := b.lay(b.hot, one(button.contact(false)))
	for _, at := range lamps {
		d := b.add("D", "diode", "panel")
		test.add(d.at("A"))
		at.add(d.at("K"))
	}
	b.drawn(&switched{d: button, positions: pressed, momentary: true})
}

// nodeOf gives the node that a point is on.
func (b *board) nodeOf(p point) *node {
	i := slices.IndexFunc(b.nodes, func(n *node) bool { return slices.Contains(n.points, p) })
	if i < 0 {
		panic(fmt.Sprintf("generate: nothing is wired to %s", p))
	}
	return b.nodes[i]
}
