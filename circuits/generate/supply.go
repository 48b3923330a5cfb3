package generate

import (
	"fmt"
	"math"
	"slices"
)

// Running volt-amperes that ratings are chosen by: those of the table of device types
// (circuits.Types), for no more than to be well above what is drawn.
var running = map[string]float64{
	"relay": 3, "timer": 3, "contactor": 10, "lamp": 3, "horn": 8, "solenoid": 20, "motor": 60,
	"beacon": 15, "heater": 250, "off-delay-timer": 2, "interval-timer": 2, "one-shot": 4, "triggered-timer": 4,
	"undervoltage-relay": 3,
}

// ratings are amperes that fuses are sold in. Common practice, no source.
var ratings = []float64{0.5, 1, 2, 4, 6, 10, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200}

// rating gives the least rating that carries a current with half as much again to spare.
func rating(amps float64) float64 {
	amps *= 1.5
	if i, _ := slices.BinarySearch(ratings, amps); i < len(ratings) {
		return ratings[i]
	}
	return math.Ceil(amps)
}

// addSupply draws the source of the control circuit, what protects it, and grounds.
func (b *board) addSupply() {
	switch {
	case b.chance(60):
		b.bonded = true
	case b.chance(50):
		b.metalwork = true
	}
	var source *device
	var hot, ret string
	switch pick(b, "transformer", "transformer", "fed transformer", "ac", "dc", "dc") {
	case "transformer":
		b.volts = pick(b, 120.0, 120, 24)
		source = b.add("T", "control-transformer", "panel", fmt.Sprintf("volts: %g", b.volts))
		hot, ret = "X1", "X2"
	case "fed transformer":
		b.volts = pick(b, 120.0, 24)
		source = b.fedTransformer()
		hot, ret = "X1", "X2"
	case "ac":
		b.volts = pick(b, 120.0, 230)
		source = b.add("PWS", "supply", "panel", fmt.Sprintf("volts: %g", b.volts))
		hot, ret = "L", "N"
	case "dc":
		b.volts = pick(b, 24.0, 24, 48)
		source = b.add("PWS", "supply", "panel", fmt.Sprintf("volts: %g, current: dc", b.volts))
		hot, ret = "+", "-"
	}
	first := b.node()
	first.add(source.at(hot))
	b.ret = b.node()
	b.ret.add(source.at(ret))
	b.ground(b.ret)
	if b.chance(10) {
		b.hot = first // nothing protects it
		return
	}
	b.hot = b.node()
	b.mainFuse = b.fuse(first, b.hot)
}

// fuse draws a fuse or a breaker between two nodes.
func (b *board) fuse(from, to *node) *device {
	letters, kind := "F", "fuse"
	if b.chance(20) {
		letters, kind = "Q", "breaker"
	}
	f := b.add(letters, kind, "panel")
	from.add(f.at("1"))
	to.add(f.at("2"))
	b.fuses = append(b.fuses, f)
	return f
}

// primaryVolts feed a control transformer whose primary is drawn.
const primaryVolts = 240

// fedTransformer draws a control transformer whose primary is part of the circuit:
// feed, fuse, perhaps a main switch and a lamp.
func (b *board) fedTransformer() *device {
	feed := b.add("PWS", "supply", "panel", fmt.Sprintf("volts: %d", primaryVolts))
	t := b.add("T", "control-transformer", "panel",
		fmt.Sprintf("volts: %g, primary-volts: %d", b.volts, primaryVolts))
	line, neutral, fused := b.node(), b.node(), b.node()
	line.add(feed.at("L"))
	neutral.add(feed.at("N"))
	b.primary = b.fuse(line, fused)
	if b.chance(50) {
		s := b.add("S", "selector-switch", "door", "positions: [off, on]")
		fused = b.lay(fused, one(s.contact(false)))
		b.rungs = append(b.rungs, []*switched{{d: s, positions: []string{"off", "on"}}})
	}
	fused.add(t.at("H1"))
	neutral.add(t.at("H2"))
	if b.chance(50) {
		h := b.add("H", "lamp", "door", fmt.Sprintf("volts: %d", primaryVolts))
		fused.add(h.at("1"))
		neutral.add(h.at("2"))
		b.va += running["lamp"]
	}
	b.ground(neutral)
	return t
}

// ground bonds a node to the metalwork if sources are grounded here.
func (b *board) ground(n *node) {
	if b.bonded {
		b.bond[n] = b.add("PE", "ground", "panel")
	}
}

// signals gives the two sides of a second supply, for lamps that relays switch.
func (b *board) signals() (hot, ret *node) {
	if b.signalHot == nil {
		source := b.add("PWS", "supply", "panel", "volts: 24, current: dc")
		from := b.node()
		from.add(source.at("+"))
		b.signalRet = b.node()
		b.signalRet.add(source.at("-"))
		b.signalHot = b.node()
		f := b.add("F", "fuse", "panel", "amps: 10")
		from.add(f.at("1"))
		b.signalHot.add(f.at("2"))
		b.ground(b.signalRet)
	}
	return b.signalHot, b.signalRet
}

// supplied gives a node of the hot side for one more rung to hang on: the main one,
// behind a fuse of its own, or behind a stop that several rungs share.
func (b *board) supplied() *node {
	switch at := b.r.IntN(10); {
	case at < 2 && b.mainFuse != nil:
		if b.branch == nil {
			b.branch = b.node()
			b.fuse(b.hot, b.branch)
		}
		return b.branch
	case at < 4:
		if b.behind == nil {
			stop := b.add("PB", "push-button", "door")
			b.behind = b.lay(b.hot, one(stop.contact(true)))
			b.rungs = append(b.rungs, []*switched{{d: stop, positions: pressed, momentary: true,
				breaks: true}})
		}
		return b.behind
	}
	return b.hot
}

// rate gives the fuses their ratings: a branch one is a size below the main one, the
// primary one carries the same power at its own volts.
func (b *board) rate() {
	amps := rating(b.va / b.volts)
	for _, f := range b.fuses {
		size := amps
		switch f {
		case b.primary:
			size = rating(b.va/primaryVolts + 0.1)
		case b.mainFuse:
			if i := slices.Index(ratings, amps); b.branch != nil && i+1 < len(ratings) {
				size = ratings[i+1]
			}
		}
		if b.chance(80) { // some files do not say
			f.keys = append(f.keys, fmt.Sprintf("amps: %g", size))
		}
	}
}
