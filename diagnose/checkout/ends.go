package checkout

import (
	"cmp"
	"slices"

	"deadrung/circuits"
)

// End is where a lead of a check goes, or where wires are lifted for it.
type End struct {
	Terminal circuits.Terminal
	Device   *circuits.Device
	// Cores are the cables, with their cores, of the wires that land there.
	Cores []Core
}

// Core is a core of a cable.
type Core struct {
	Cable, Core string // Core is empty where the file does not say which
}

// end gives what is at a terminal.
func (pl *planner) end(t circuits.Terminal) End {
	name, _ := t.Split()
	e := End{Terminal: t, Device: pl.panel.Device(name)}
	for _, n := range pl.panel.Circuit.Numbers {
		for _, w := range n.Wires {
			core := Core{w.Cable, w.Core}
			if (w.From == t || w.To == t) && w.Cable != "" && !slices.Contains(e.Cores, core) {
				e.Cores = append(e.Cores, core)
			}
		}
	}
	return e
}

// Cable names the cable that a check is of: one that both leads are on, else that of either; empty
// where they are on none.
func (c *Check) Cable() string {
	either := ""
	for _, a := range c.Ends[0].Cores {
		either = cmp.Or(either, a.Cable)
		for _, b := range c.Ends[1].Cores {
			if a.Cable == b.Cable {
				return a.Cable
			}
		}
	}
	if either == "" && len(c.Ends[1].Cores) > 0 {
		either = c.Ends[1].Cores[0].Cable
	}
	return either
}

// byWalk puts checks in the order of a walk: those of one step together, then those of one place,
// of one cable, of one rung.
func (pl *planner) byWalk(checks []Check) {
	step := func(c *Check) int { return pl.panel.Circuit.Step(c.Check.Step) }
	slices.SortStableFunc(checks, func(a, b Check) int {
		return cmp.Or(cmp.Compare(step(&a), step(&b)), cmp.Compare(a.Area, b.Area),
			cmp.Compare(a.Cable(), b.Cable()), cmp.Compare(a.Rung, b.Rung))
	})
}
