package plan

import (
	"fmt"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/joined"
)

// element is something with two ends between which it matters what it is: a contact, coil, load,
// source, fuse or pin.
type element struct {
	device *circuits.Device
	name   string // CR1:11-14, H1
	// label is the same for elements of a device of which one can stand for another.
	label    string
	contact  bool
	kind     string // of a contact, as circuits.Device.KindOf writes it
	ends     [2]int // indices of terminals
	directed bool   // which way round it stands matters
}

// hardware is what there is to be wired: the same for the drawing and for every plan.
type hardware struct {
	circuit   *circuits.Circuit
	terminals []circuits.Terminal
	device    []*circuits.Device // by terminal
	index     map[circuits.Terminal]int
	elements  []element
	fixed     [][2]int // terminals that are joined without a wire: bridges, the metalwork
}

func hardwareOf(c *circuits.Circuit) *hardware {
	hw := &hardware{circuit: c, index: make(map[circuits.Terminal]int)}
	ground := -1
	for _, d := range c.Devices {
		for _, name := range d.Terminals {
			i := len(hw.terminals)
			hw.index[d.Terminal(name)] = i
			hw.terminals, hw.device = append(hw.terminals, d.Terminal(name)), append(hw.device, d)
			if d.Type.Kind == circuits.GroundKind {
				if ground >= 0 {
					hw.fixed = append(hw.fixed, [2]int{ground, i})
				}
				ground = i
			}
		}
	}
	for _, d := range c.Devices {
		hw.addDevice(d)
	}
	return hw
}

// addDevice adds the elements of a device.
func (hw *hardware) addDevice(d *circuits.Device) {
	at := func(a, b string) [2]int { return [2]int{hw.index[d.Terminal(a)], hw.index[d.Terminal(b)]} }
	add := func(name, label string, a, b string) *element {
		hw.elements = append(hw.elements, element{device: d, name: name, label: d.Name + " " + label, ends: at(a, b)})
		return &hw.elements[len(hw.elements)-1]
	}
	for _, k := range d.Contacts {
		e := add(d.Name+":"+k.A+"-"+k.B, fmt.Sprint("contact ", k.Closed, k.Timed), k.A, k.B)
		e.contact, e.kind = true, d.KindOf(k)
	}
	for i, ends := range d.Coils() {
		name := d.Name
		if coil := d.CoilName(i); coil != "" {
			name += ":" + ends[0] + "-" + ends[1]
		}
		label := fmt.Sprint("coil ", i)
		if d.Type.Phases {
			label = "winding" // any of the three, but in the order of the phases
		}
		add(name, label, ends[0], ends[1]).directed = d.Type.Phases || d.OneWay()
	}
	for i, ends := range d.Sources(hw.neutral(d)) {
		add(d.Name, fmt.Sprint("source ", i), ends[0], ends[1]).directed = true
	}
	if d.HasPrimary() {
		add(d.Name+":"+d.Primary[0]+"-"+d.Primary[1], "primary", d.Primary[0], d.Primary[1])
	}
	for _, ends := range d.Links() {
		name := d.Name
		if len(d.Poles) > 0 {
			name += ":" + ends[0] + "-" + ends[1]
		}
		add(name, "link", ends[0], ends[1])
	}
	switch d.Type.Kind {
	case circuits.ConnectorKind:
		for _, pin := range d.Pins {
			add(d.Name+":"+pin, "pin", pin+"a", pin+"b")
		}
	case circuits.BlockKind:
		for _, b := range d.Bridges {
			hw.fixed = append(hw.fixed, at(b[0], b[1]))
		}
	case circuits.SourceKind, circuits.GroundKind, circuits.LinkKind, circuits.OperatorKind, circuits.RelayKind, circuits.LoadKind,
		circuits.PassiveKind:
	}
}

// neutral tells whether the drawing uses the neutral of a supply of three phases.
func (hw *hardware) neutral(d *circuits.Device) bool {
	n := d.Neutral()
	return n != "" && hw.circuit.NumberOf()[d.Terminal(n)] != ""
}

// wiring is the hardware with wires on it.
type wiring struct {
	hw      *hardware
	wires   []Wire
	good    []bool       // by wire: it runs between terminals that there are
	ends    [][2]int     // of the good ones, by wire
	landed  [][]int      // by terminal: its wires
	node    []int        // by terminal: the conductor it is on; -1 where no wire comes
	nodes   int          // how many there are
	on      [][]int      // by node: its terminals
	used    []bool       // by element: wired at both ends, to different conductors
	touched []bool       // by element: wired at one end at least
	spare   []int        // wires that join what is joined
	sets    *joined.Sets // of terminals
}

// wired puts wires on the hardware; good names those that can be, all where it is nil.
func (hw *hardware) wired(wires []Wire, good []bool) *wiring {
	w := &wiring{hw: hw, wires: wires, good: good, ends: make([][2]int, len(wires)),
		landed: make([][]int, len(hw.terminals)), node: make([]int, len(hw.terminals)),
		used: make([]bool, len(hw.elements)), touched: make([]bool, len(hw.elements)),
		sets: joined.New(len(hw.terminals))}
	for _, f := range hw.fixed {
		w.sets.Join(int32(f[0]), int32(f[1]))
	}
	for i, wire := range wires {
		if !w.can(i) {
			continue
		}
		a, b := hw.index[wire.From], hw.index[wire.To]
		w.ends[i] = [2]int{a, b}
		w.landed[a], w.landed[b] = append(w.landed[a], i), append(w.landed[b], i)
		if w.sets.Of(int32(a)) == w.sets.Of(int32(b)) {
			w.spare = append(w.spare, i)
		}
		w.sets.Join(int32(a), int32(b))
	}
	live := make(map[int32]int) // sets with a wire on them, by node
	for t, wires := range w.landed {
		if set := w.sets.Of(int32(t)); len(wires) > 0 {
			if _, ok := live[set]; !ok {
				live[set] = w.nodes
				w.nodes++
			}
		}
	}
	w.on = make([][]int, w.nodes)
	for t := range w.node {
		n, ok := live[w.sets.Of(int32(t))]
		if !ok {
			w.node[t] = -1
			continue
		}
		w.node[t], w.on[n] = n, append(w.on[n], t)
	}
	for i, e := range hw.elements {
		a, b := w.node[e.ends[0]], w.node[e.ends[1]]
		w.used[i] = a >= 0 && b >= 0 && a != b
		w.touched[i] = a >= 0 || b >= 0
	}
	return w
}

// can tells whether a wire runs between terminals that there are.
func (w *wiring) can(wire int) bool { return w.good == nil || w.good[wire] }

// earthed tells whether a conductor is joined to the metalwork.
func (w *wiring) earthed(node int) bool {
	return slices.ContainsFunc(w.on[node], func(t int) bool { return w.hw.device[t].Type.Kind == circuits.GroundKind })
}

// blocks are the terminal blocks that a conductor passes.
func (w *wiring) blocks(node int) []*circuits.Device {
	var blocks []*circuits.Device
	for _, t := range w.on[node] {
		if d := w.hw.device[t]; d.Type.Kind == circuits.BlockKind && len(w.landed[t]) > 0 && !slices.Contains(blocks, d) {
			blocks = append(blocks, d)
		}
	}
	return blocks
}
