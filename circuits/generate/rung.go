package generate

import "fmt"

// Positions of operators, the one at rest first.
var (
	pressed  = []string{"released", "pressed"}
	operated = []string{"normal", "operated"}
)

// switchKinds are the switches that a machine or a medium moves, with their letters.
var switchKinds = [][2]string{
	{"LS", "limit-switch"}, {"FS", "float-switch"}, {"PS", "pressure-switch"},
	{"TS", "temperature-switch"}, {"FLS", "flow-switch"}, {"PRX", "proximity-switch"},
	{"SN", "snap-switch"}, {"SPS", "speed-switch"}, {"VIB", "vibration-switch"},
}

// loadKinds are what stands at the end of a rung without a coil, with their letters;
// what is named more often is drawn more often.
var loadKinds = [][2]string{
	{"H", "lamp"}, {"H", "lamp"}, {"H", "lamp"}, {"B", "horn"}, {"Y", "solenoid"}, {"Y", "solenoid"},
	{"MTR", "motor"},
}

// otherKinds take turns with kinds that are wired as they are, so that a new one leaves the
// drawing of the lots, and so every other panel, as it was.
var otherKinds = map[string][2]string{"motor": {"HTR", "heater"}, "horn": {"BCN", "beacon"}}

// addRung draws one rung, or a few that belong together, and gives their number. No more
// than left may be drawn. The first one has a coil.
func (b *board) addRung(left int) int {
	at := b.r.IntN(20)
	switch {
	case len(b.relays) == 0 && at < 10, at < 5:
		return b.sealed()
	case len(b.relays) == 0, at < 7:
		return b.follower()
	case at < 9:
		return b.handOffAuto()
	case at < 12 && left >= 2:
		return b.timed()
	case at < 13 && left >= 2:
		return b.reversing()
	case at < 15 && left >= 2:
		return b.twoLamps()
	case at < 18:
		return b.signal()
	}
	return b.direct()
}

// drawn notes the operators of a rung.
func (b *board) drawn(operators ...*switched) {
	if len(operators) > 0 {
		b.rungs = append(b.rungs, operators)
	}
}

func (b *board) button(nc bool) (contact, *switched) {
	d := b.add("PB", "push-button", pick(b, "door", "door", "door", b.outside))
	return d.contact(nc), &switched{d: d, positions: pressed, momentary: true, breaks: nc}
}

// fieldSwitch draws a switch with one contact that nobody moves by hand. One that is
// normally closed breaks what it is in when it operates.
func (b *board) fieldSwitch(nc bool) (contact, *switched) {
	kind := b.inTurn(pick(b, switchKinds...))
	d := b.add(kind[0], kind[1], b.outside)
	return d.contact(nc), &switched{d: d, positions: operated, breaks: nc}
}

// inTurn gives a kind, or every other time the one that takes turns with it.
func (b *board) inTurn(kind [2]string) [2]string {
	if other, ok := otherKinds[kind[1]]; ok && len(b.devices)%2 == 0 {
		return other
	}
	return kind
}

// coil draws a relay or contactor; its coil is wired by hang.
func (b *board) coil() *device {
	var d *device
	if b.chance(30) {
		d = b.add("M", "contactor", "panel")
	} else {
		d = b.add("CR", "relay", "panel")
		d.changeover = b.chance(60)
	}
	return d
}

// hang wires a coil from a node to the return, sometimes with an overload contact on the
// grounded side and a lamp across it.
func (b *board) hang(d *device, from *node) {
	from.add(d.at("A1"))
	ret := b.ret
	if d.kind == "contactor" && b.chance(40) {
		ol := b.add("OL", "overload-relay", "panel")
		ret = b.node()
		ret.add(ol.at("95"))
		b.ret.add(ol.at("96"))
		b.drawn(&switched{d: ol, positions: []string{"reset", "tripped"}, breaks: true})
	}
	ret.add(d.at("A2"))
	b.va += running[d.kind]
	b.relays = append(b.relays, d)
	if b.chance(15) {
		b.lamp(from, b.ret, "door")
	}
}

func (b *board) lamp(from, ret *node, place string) {
	d := b.add("H", "lamp", place)
	if b.chance(40) {
		d.keys = append(d.keys, "kind: led")
	}
	from.add(d.at("1"))
	ret.add(d.at("2"))
	b.va += running[d.kind]
}

// mostPoles of a relay are wired before others are taken. Common practice, no source.
const mostPoles = 4

// earlier gives one more contact of a coil drawn before, NO or NC; a timer's is mostly a
// timed one.
func (b *board) earlier(nc bool) contact {
	d := pick(b, b.relays...)
	for range 4 {
		if d.poles >= mostPoles {
			d = pick(b, b.relays...)
		}
	}
	return d.pole(nc, d.kind == "timer" && b.chance(70))
}

// interlocks gives a stage with a contact of an earlier relay, or none at all.
func (b *board) interlocks() []stage {
	if len(b.relays) == 0 || !b.chance(40) {
		return nil
	}
	return []stage{one(b.earlier(b.chance(45)))}
}

// sealed: stop, start with the seal-in contact across it, perhaps an interlock, coil.
func (b *board) sealed() int {
	from := b.supplied()
	var operators []*switched
	if b.chance(80) {
		c, stop := b.button(true)
		from = b.lay(from, one(c))
		operators = append(operators, stop)
	}
	if b.chance(25) {
		c, s := b.fieldSwitch(true)
		from = b.lay(from, one(c))
		operators = append(operators, s)
	}
	starts := stage{}
	for range pick(b, 1, 1, 1, 2) {
		c, start := b.button(false)
		starts = append(starts, []contact{c})
		operators = append(operators, start)
	}
	d := b.coil()
	starts = append(starts, []contact{d.pole(false, false)})
	locks := b.interlocks()
	b.hang(d, b.lay(from, append([]stage{starts}, locks...)...))
	b.drawn(operators...)
	return 1
}

// follower: a coil that follows one switch or two, in series or side by side.
func (b *board) follower() int {
	from := b.supplied()
	locks := b.interlocks()
	c, s := b.fieldSwitch(b.chance(30))
	stages := []stage{one(c)}
	operators := []*switched{s}
	if b.chance(40) {
		c, s := b.fieldSwitch(b.chance(30))
		operators = append(operators, s)
		if b.chance(50) {
			stages[0] = append(stages[0], []contact{c})
		} else {
			stages[0][0] = append(stages[0][0], c)
		}
	}
	b.hang(b.coil(), b.lay(from, append(stages, locks...)...))
	b.drawn(operators...)
	return 1
}

// handOffAuto: a selector that feeds a coil in hand, and through a switch in auto.
func (b *board) handOffAuto() int {
	from := b.supplied()
	s := b.add("S", "selector-switch", "door", "positions: [hand, off, auto]", "rest: off")
	c, auto := b.fieldSwitch(b.chance(30))
	feed := stage{{s.closedIn("hand")}, {s.closedIn("auto"), c}}
	b.hang(b.coil(), b.lay(from, append([]stage{feed}, b.interlocks()...)...))
	b.drawn(&switched{d: s, positions: []string{"off", "hand", "auto"}}, auto)
	return 1
}

// timed: a timer started by an earlier relay or a switch, and what its timed contact
// works.
func (b *board) timed() int {
	from := b.supplied()
	var start contact
	if b.chance(60) {
		start = b.earlier(b.chance(20))
	} else {
		c, s := b.fieldSwitch(false)
		start = c
		b.drawn(s)
	}
	d := b.add("TR", "timer", "panel")
	d.seconds = pick(b, 2.0, 5, 10, 30)
	d.keys = append(d.keys, "delay: "+pick(b, "on", "on", "off"), fmt.Sprintf("seconds: %g", d.seconds))
	d.changeover = b.chance(50)
	b.hang(d, b.lay(from, one(start)))
	out := b.lay(b.supplied(), append([]stage{one(d.pole(b.chance(30), true))}, b.interlocks()...)...)
	if b.chance(40) {
		b.hang(b.coil(), out)
	} else {
		b.load(out)
	}
	return 2
}

// reversing: two coils that lock each other out, each with its start, a common stop.
func (b *board) reversing() int {
	c, stop := b.button(true)
	from := b.lay(b.supplied(), one(c))
	b.drawn(stop)
	forward, reverse := b.coil(), b.coil()
	for _, pair := range [][2]*device{{forward, reverse}, {reverse, forward}} {
		own, other := pair[0], pair[1]
		c, start := b.button(false)
		starts := stage{{c}, {own.pole(false, false)}}
		b.hang(own, b.lay(from, starts, one(other.pole(true, false))))
		b.drawn(start)
	}
	return 2
}

// twoLamps: a changeover contact that shows one lamp or the other.
func (b *board) twoLamps() int {
	var hot, ret *node
	if b.chance(25) {
		hot, ret = b.signals()
	} else {
		hot, ret = b.supplied(), b.ret
	}
	var d *device
	for range 8 {
		if d = pick(b, b.relays...); d.changeover || d.kind == "timer" {
			break
		}
	}
	place := pick(b, "door", "door", b.outside)
	halves := d.change(d.kind == "timer" && b.chance(50))
	hot.add(halves[0].a)
	for _, half := range halves {
		n := b.node()
		n.add(half.b)
		b.lamp(n, ret, place)
	}
	return 2
}

// signal: a lamp or another load on a contact of an earlier relay, perhaps with an
// interlock.
func (b *board) signal() int {
	if b.chance(15) {
		hot, ret := b.signals()
		b.lamp(b.lay(hot, one(b.earlier(b.chance(30)))), ret, "door")
		return 1
	}
	b.load(b.lay(b.supplied(), append([]stage{one(b.earlier(b.chance(30)))}, b.interlocks()...)...))
	return 1
}

// direct: a load that a button or a switch works by itself, perhaps with an interlock.
func (b *board) direct() int {
	var c contact
	var s *switched
	if b.chance(50) {
		c, s = b.button(false)
	} else {
		c, s = b.fieldSwitch(b.chance(30))
	}
	b.load(b.lay(b.supplied(), append([]stage{one(c)}, b.interlocks()...)...))
	b.drawn(s)
	return 1
}

// load draws something to see, hear or feel at the end of a rung.
func (b *board) load(from *node) {
	kind := pick(b, loadKinds...)
	if kind[1] == "lamp" {
		b.lamp(from, b.ret, pick(b, "door", "door", b.outside))
		return
	}
	kind = b.inTurn(kind)
	d := b.add(kind[0], kind[1], pick(b, "door", b.outside, b.outside))
	from.add(d.at("1"))
	b.ret.add(d.at("2"))
	b.va += running[d.kind]
}
