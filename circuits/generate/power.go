package generate

import (
	"fmt"
	"slices"
	"strings"
)

// addPower draws what the contactors of a panel switch: a supply of three phases, a breaker for
// all lines or fuses, and a motor behind each of the first contactors, and timers. It draws no lots, so that
// all else in the panel is as it was.
func (b *board) addPower(seed uint64) {
	var contactors []*device
	for _, d := range b.relays {
		if d.kind == "contactor" && len(contactors) < 2 {
			contactors = append(contactors, d)
		}
	}
	if len(contactors) == 0 {
		return
	}
	volts := []int{480, 400, 208}[seed%3]
	for _, d := range b.devices { // the control circuit hangs on two of the lines
		direct := slices.ContainsFunc(d.keys, func(k string) bool { return strings.Contains(k, "current: dc") })
		if b.hangs(d) && !direct {
			d.keys = append(d.keys, "phase: 30")
		}
	}
	supply := b.add("MAINS", "three-phase-supply", "panel", fmt.Sprintf("volts: %d", volts), "phase: 0")
	var lines [3]*node
	if b.bonded {
		neutral := b.node()
		neutral.add(supply.at("N"))
		neutral.add(b.add("PE", "ground", "panel").at("1"))
	}
	breaker := b.add("QM", "breaker", "panel", "poles: 3", "amps: 30")
	for i := range lines {
		line := b.node()
		line.add(supply.at(fmt.Sprintf("L%d", i+1)))
		line.add(breaker.at(fmt.Sprint(2*i + 1)))
		lines[i] = b.node()
		lines[i].add(breaker.at(fmt.Sprint(2*i + 2)))
	}
	watch := b.add("PFR", "phase-relay", "panel")
	for i, line := range lines {
		line.add(watch.at(fmt.Sprintf("L%d", i+1)))
	}
	fan := b.add("SPM", "single-phase-motor", b.outside)
	lines[0].add(fan.at("1"))
	lines[1].add(fan.at("2"))
	for k, d := range contactors {
		if k > 0 && seed/4%2 == 0 {
			b.twoSpeeds(d, lines)
			continue
		}
		b.motor(d, lines, k == 0, seed%16 == 12)
	}
	b.times(contactors[0])
}

// times draws timers that a contactor starts, each with a lamp behind it, and a relay that watches
// the control volts.
func (b *board) times(starts *device) {
	from := b.lay(b.hot, one(starts.contact(false)))
	lamp := func(c contact) {
		b.hot.add(c.a)
		at := b.node()
		at.add(c.b)
		h := b.add("H", "lamp", "door")
		at.add(h.at("1"))
		b.ret.add(h.at("2"))
		b.va += running["lamp"]
	}
	for _, t := range []struct {
		letters, kind string
		keys          []string
		fed, started  *node
	}{
		{"TD", "off-delay-timer", []string{"seconds: 3"}, from, nil},
		{"TI", "interval-timer", []string{"seconds: 4"}, from, nil},
		{"OS", "one-shot", []string{"seconds: 6"}, b.hot, from},
		{"TTR", "triggered-timer", []string{"delay: off", "seconds: 8"}, b.hot, from},
		{"UV", "undervoltage-relay", nil, b.hot, nil},
	} {
		d := b.add(t.letters, t.kind, "panel", t.keys...)
		t.fed.add(d.at("A1"))
		if t.started != nil {
			t.started.add(d.at("B1"))
		}
		b.ret.add(d.at("A2"))
		b.va += running[t.kind]
		lamp(d.contact(false))
	}
}

// hangs tells whether a device is a source that nothing of the panel feeds.
func (b *board) hangs(d *device) bool {
	return d.kind == "supply" || d.kind == "control-transformer" && b.primary == nil
}

// motor draws a motor behind the main contacts of a contactor, with the heaters of an overload
// relay in its lines or without, and an ammeter on a current transformer where its current is watched.
func (b *board) motor(d *device, lines [3]*node, heaters, watched bool) {
	m := b.add("TPM", "three-phase-motor", b.outside)
	if !heaters {
		m.keys = append(m.keys, "connection: delta")
	}
	var ol *device
	if heaters {
		ol = b.add("OLM", "overload-relay", "panel", "poles: 3")
	}
	for i, line := range lines {
		c := d.contact(false)
		line.add(c.a)
		at := b.node()
		at.add(c.b)
		if ol != nil {
			at.add(ol.at(fmt.Sprint(2*i + 1)))
			at = b.node()
			at.add(ol.at(fmt.Sprint(2*i + 2)))
		}
		if i == 0 && watched {
			at = b.watch(at)
		}
		at.add(m.at(fmt.Sprintf("T%d", i+1)))
	}
}

// watch draws a current transformer with an ammeter on it, both in the panel since no plug may be in
// between, and gives the node behind it.
func (b *board) watch(line *node) *node {
	ct, meter := b.add("CT", "current-transformer", "panel", "primary-amps: 1"), b.add("AM", "ammeter", "panel", "amps: 5")
	line.add(ct.at("P1"))
	behind, from, to := b.node(), b.node(), b.node()
	behind.add(ct.at("P2"))
	from.add(ct.at("S1"))
	from.add(meter.at("1"))
	to.add(ct.at("S2"))
	to.add(meter.at("2"))
	return behind
}

// twoSpeeds draws a motor of two speeds behind a contactor: fast while it is in, else slow.
func (b *board) twoSpeeds(d *device, lines [3]*node) {
	m := b.add("TSM", "two-speed-motor", b.outside)
	for i, line := range lines {
		for speed := range 2 {
			c := d.contact(speed == 0)
			line.add(c.a)
			at := b.node()
			at.add(c.b)
			at.add(m.at(fmt.Sprintf("%d%c", speed+1, "UVW"[i])))
		}
	}
}
