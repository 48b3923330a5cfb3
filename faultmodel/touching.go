package faultmodel

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// grounds: each wire number that is not bonded, where the panel has bonded metalwork.
func (l *lister) grounds() {
	ground := l.ground()
	if ground == 0 {
		return
	}
	for i, n := range l.p.Circuit.Numbers {
		var leaving, inside float64
		bonded := false
		for _, w := range n.Wires {
			bonded = bonded || l.p.Node(w.From) == ground || l.p.Node(w.To) == ground
			if l.device(w.From).Place != "panel" || l.device(w.To).Place != "panel" {
				leaving++
			} else {
				inside++
			}
		}
		if bonded {
			continue
		}
		key, factor := GroundOutside, leaving+inside*Of(GroundInside).Value/Of(GroundOutside).Value
		if leaving == 0 {
			key, factor = GroundInside, inside
		}
		at := n.Wires[0].From
		l.add(Fault{
			ID: ID("ground-" + n.Name), Text: fmt.Sprintf("wire %s touches ground", n.Name),
			Where: fmt.Sprintf("wire %s, anywhere along %s", n.Name, l.along(i)), Key: key,
			Effect:  Effect{Ground: n.Name},
			Overlay: work.Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{{l.p.Node(at), ground}}}},
			Devices: l.devicesOn(i),
		}, factor)
	}
}

func (l *lister) ground() network.Node {
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Kind == circuits.GroundKind {
			return l.p.Node(d.Terminal(d.Terminals[0]))
		}
	}
	return 0
}

// alongStrip is how many terminals apart two wire numbers on a terminal block, or pins on a plug,
// are at the most to touch there. Without it a strip of 500 terminals has 125 000 pairs, nearly
// all of wires that never come near each other. Common practice, no source.
const alongStrip = 10

// landing is a wire number at a terminal of a device; where is the place in the row of a terminal
// block or plug, and the same for all terminals of another device.
type landing struct{ number, where int }

// landings gives the wire numbers at the terminals of a device.
func (l *lister) landings(d *circuits.Device) []landing {
	var here []landing
	for i, t := range d.Terminals {
		n := l.p.Number(l.p.Node(d.Terminal(t)))
		if n < 0 {
			continue
		}
		where := 0
		if d.Type.Kind == circuits.BlockKind {
			where = i
		} else if d.Type.Kind == circuits.ConnectorKind {
			where = i / 2 // both sides of a pin
		}
		here = append(here, landing{n, where})
	}
	return here
}

// shorts: two wire numbers that land on one device, or near each other on one terminal block.
func (l *lister) shorts() {
	done := make(map[[2]int]bool)
	for _, d := range l.p.Circuit.Devices {
		here := l.landings(d)
		for _, one := range here {
			for _, other := range here {
				a, b := one.number, other.number
				if a >= b || done[[2]int{a, b}] || max(one.where-other.where, other.where-one.where) > alongStrip {
					continue
				}
				done[[2]int{a, b}] = true
				na, nb := l.p.Circuit.Numbers[a], l.p.Circuit.Numbers[b]
				if byNumber(na.Name, nb.Name) > 0 {
					na, nb = nb, na // whatever their order in the file
				}
				l.add(Fault{
					ID:   ID(fmt.Sprintf("short-%s-%s", na.Name, nb.Name)),
					Text: fmt.Sprintf("wires %s and %s touch", na.Name, nb.Name),
					Where: fmt.Sprintf("where wires %s and %s run together, first at %s, %s", na.Name, nb.Name,
						d.Called(), d.Whereabouts()), Key: WiresTouch,
					Effect: Effect{Short: []string{na.Name, nb.Name}},
					Overlay: work.Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{
						{l.p.Node(na.Wires[0].From), l.p.Node(nb.Wires[0].From)}}}},
					Devices: []string{d.Name},
				}, 1)
			}
		}
	}
}

// byNumber orders wire numbers as people do: 3, 5A, 10, L1.
func byNumber(a, b string) int {
	leading := func(s string) uint64 {
		digits := len(s) - len(strings.TrimLeft(s, "0123456789"))
		n, err := strconv.ParseUint(s[:digits], 10, 64)
		if err != nil {
			return math.MaxUint64 // letters come after numbers
		}
		return n
	}
	return cmp.Or(cmp.Compare(leading(a), leading(b)), strings.Compare(a, b))
}
