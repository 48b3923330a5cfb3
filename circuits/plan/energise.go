package plan

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// Happening is one thing that a panel wired by a plan does otherwise than the drawing has it.
type Happening struct {
	Step int // index into the circuit's steps
	What What
	// Device is what it happens to.
	Device *circuits.Device
}

// What is what happens to a device.
type What string

const (
	Opens     What = "opens"      // a fuse or breaker
	Collapses What = "collapses"  // a source that is shorted with nothing to protect it
	Chatters  What = "chatters"   // a relay that finds no rest
	StaysOff  What = "stays-off"  // what should be on
	ComesOn   What = "comes-on"   // what should be off
	TurnsBack What = "turns-back" // a motor that should turn the other way
	IsNotFed  What = "is-not-fed" // a transformer that the plan leaves without its primary
)

// Energise works the steps on a panel wired by a plan and tells what first goes otherwise than
// on a panel wired as drawn: all that does so in that step. None is what a plan does that works.
// Wires to terminals that no device has are left out.
func Energise(c *circuits.Circuit, wires []Wire) []Happening {
	planned := wiredBy(c, wires)
	drawnPanel, plannedPanel := work.Assemble(c), work.Assemble(planned)
	var happens []Happening
	none, o := &work.Overlay{}, &work.Overlay{}
	for _, d := range c.Devices {
		if other := plannedPanel.Device(d.Name); drawnPanel.PrimaryWired(d) && !plannedPanel.PrimaryWired(other) {
			o.DeadSources = append(o.DeadSources, plannedPanel.Source(other))
			happens = append(happens, Happening{What: IsNotFed, Device: d})
		}
	}
	good := make([][]bool, len(c.Steps)) // by step and visible device
	way := make([][]int, len(c.Steps))
	seen := visible(c)
	drawnPanel.Work(none, func(step int, e *work.End) bool {
		for _, d := range seen {
			on, _ := drawnPanel.Look(none, e, d)
			good[step] = append(good[step], on)
			way[step] = append(way[step], drawnPanel.Turns(none, e, d))
		}
		return true
	})
	plannedPanel.Work(o, func(step int, e *work.End) bool {
		add := func(what What, d *circuits.Device) {
			happens = append(happens, Happening{step, what, c.Device(d.Name)})
		}
		for _, d := range e.Blown {
			add(Opens, d)
		}
		for _, s := range e.Collapsed {
			add(Collapses, plannedPanel.SourceDevice(s))
		}
		for _, d := range e.Chatter {
			add(Chatters, d)
		}
		for i, d := range seen {
			other := plannedPanel.Device(d.Name)
			on, _ := plannedPanel.Look(o, e, other)
			switch {
			case on && plannedPanel.Turns(o, e, other)*way[step][i] < 0:
				add(TurnsBack, other)
			case on == good[step][i] || slices.Contains(e.Chatter, other):
			case on:
				add(ComesOn, other)
			default:
				add(StaysOff, other)
			}
		}
		return len(happens) == 0
	})
	return happens
}

// visible are the devices of which one sees, hears or feels whether they are on.
func visible(c *circuits.Circuit) []*circuits.Device {
	return slices.DeleteFunc(slices.Clone(c.Devices), func(d *circuits.Device) bool {
		return d.Type.Kind != circuits.LoadKind && d.Type.Kind != circuits.RelayKind
	})
}

// wiredBy gives the circuit with the wires of a plan in place of its own. What the drawing's
// wires say of its devices, their volts, stays theirs.
func wiredBy(c *circuits.Circuit, wires []Wire) *circuits.Circuit {
	drawn := work.Assemble(c)
	planned := *c
	planned.Rungs, planned.Numbers, planned.Devices = nil, nil, nil
	of := make(map[*circuits.Device]*circuits.Device)
	for _, d := range c.Devices {
		copied := *d
		if d.Volts == 0 && drawn.Load(d) != network.Load(0) && !d.Type.Inputs() { // inputs have volts each of their own
			copied.Volts = drawn.Values(d).Volts
		}
		of[d] = &copied
		planned.Devices = append(planned.Devices, &copied)
	}
	planned.Steps = slices.Clone(c.Steps)
	for i := range planned.Steps {
		s := &planned.Steps[i]
		s.Set, s.Expect = slices.Clone(s.Set), nil
		for k := range s.Set {
			s.Set[k].Device = of[s.Set[k].Device]
		}
	}
	hw := hardwareOf(c)
	good := make([]bool, len(wires))
	for i, w := range wires {
		_, from := hw.index[w.From]
		_, to := hw.index[w.To]
		good[i] = from && to && w.From != w.To
	}
	laid := hw.wired(wires, good)
	numbers := make([]circuits.Number, laid.nodes)
	for i, w := range wires {
		if good[i] {
			n := &numbers[laid.node[laid.ends[i][0]]]
			n.Wires = append(n.Wires, circuits.Wire{From: w.From, To: w.To, At: w.At})
		}
	}
	planned.Numbers = numbers
	return &planned
}
