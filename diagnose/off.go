package diagnose

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// offs reads ohms checks with one fault. The network is solved once for each way of
// holding the operators, and again for each lifted lead.
//
// A fault that blows a fuse when the circuit is worked leaves open whether the fuse is
// whole when the ohmmeter comes: it depends on whether it was replaced and whether
// power has been on since. The reading foretold is the one with the fuse whole, as for
// a panel that was put in order before the check; the other one fits as well, so a
// blown fuse never speaks against what blew it.
type offs struct {
	m       *Model
	overlay circuits.Overlay
	blown   []*circuits.Device
	whole   map[int]*network.Off // by step, with the protective devices whole
	open    map[int]*network.Off // and with the blown ones open
}

func (m *Model) offs(fault int) *offs {
	o := &offs{m: m, overlay: m.overlay(fault), whole: make(map[int]*network.Off), open: make(map[int]*network.Off)}
	if fault != Good {
		o.blown = m.blown[fault]
	}
	return o
}

func (o *offs) read(l located) Reading {
	r := o.readWith(l, o.whole, nil)
	if len(o.blown) > 0 {
		if other := o.readWith(l, o.open, o.blown); other != r {
			r.Else, r.Either = other.Value, other.Firm
		}
	}
	return r
}

func (o *offs) readWith(l located, solved map[int]*network.Off, blown []*circuits.Device) Reading {
	off := o.solve(l.step, l.lifted, solved, blown)
	v, firm := off.Ohms(l.a, l.b)
	return Reading{Kind: Ohms, Value: v, Firm: firm}
}

// solve solves the network with the operators held as in a step.
func (o *offs) solve(step int, lifted []circuits.Terminal, solved map[int]*network.Off, blown []*circuits.Device) *network.Off {
	off := solved[step]
	if off != nil && len(lifted) == 0 {
		return off
	}
	st := o.m.locked[step]
	if len(o.overlay.Stuck) > 0 || len(blown) > 0 || st.Closed == nil {
		st = o.m.panel.LockedOut(&o.overlay, step, blown...)
	}
	overlay := o.overlay
	if l, err := o.m.panel.Lift(overlay, lifted); err == nil {
		overlay = l // a miswired end can leave nothing to lift there
	}
	off = o.m.panel.Net.Off(st, &overlay.Overlay)
	if len(lifted) == 0 {
		solved[step] = off
	}
	return off
}

// offChecks are the ohms checks by what can touch them.
type offChecks struct {
	steps  []int     // the different ways of holding the operators
	plain  [][]int32 // by way: all checks without lifted wires
	byNode []map[network.Node][]int32
	lifted map[string][]int32 // by device: checks with wires lifted off it
}

func (c *offChecks) add(m *Model, i int32, l located) {
	if len(l.lifted) > 0 {
		if c.lifted == nil {
			c.lifted = make(map[string][]int32)
		}
		for _, d := range m.devicesAt(l) {
			c.lifted[d] = append(c.lifted[d], i)
		}
		return
	}
	w := slices.Index(c.steps, l.step)
	if w < 0 {
		w = len(c.steps)
		c.steps = append(c.steps, l.step)
		c.plain = append(c.plain, nil)
		c.byNode = append(c.byNode, make(map[network.Node][]int32))
	}
	c.plain[w] = append(c.plain[w], i)
	c.byNode[w][l.a] = append(c.byNode[w][l.a], i)
	c.byNode[w][l.b] = append(c.byNode[w][l.b], i)
}

// devicesAt names the devices at the two points of a check.
func (m *Model) devicesAt(l located) []string {
	a, _ := m.panel.Terminal(l.a).Split()
	b, _ := m.panel.Terminal(l.b).Split()
	if a == b {
		return []string{a}
	}
	return []string{a, b}
}

// touched visits the ohms checks that a fault can make read otherwise: those at nodes
// that stand otherwise in its network, and those with wires lifted off a device that
// the fault is in: with one end lifted, the part alone is between the leads.
func (c *offChecks) touched(m *Model, good, own *offs, fault int, stamp []int32, mark int32, visit func(int32)) {
	once := func(checks []int32) {
		for _, i := range checks {
			if stamp[i] != mark {
				stamp[i] = mark
				visit(i)
			}
		}
	}
	for w, step := range c.steps {
		differing, ok := good.whole[step].Differing(own.solve(step, nil, own.whole, nil))
		if len(own.blown) > 0 && ok {
			more, still := good.whole[step].Differing(own.solve(step, nil, own.open, own.blown))
			differing, ok = append(differing, more...), still
		}
		if !ok {
			once(c.plain[w])
		}
		for _, n := range differing {
			once(c.byNode[w][n])
		}
	}
	for _, d := range m.faults[fault].Devices {
		once(c.lifted[d])
	}
}
