package network

import (
	"deadrung/circuits/joined"
	"math"
	"slices"
)

// Landing moves one end of a conductor from a node to another.
type Landing struct {
	Conductor Conductor
	From, To  Node
}

// Joint is a conductor with a resistance: a bad screw, contact or fuse clip. While it is
// closed it does not join its ends; it stands between them with so many ohms, more than
// none. Several of one conductor are in series.
type Joint struct {
	Conductor Conductor
	Ohms      float64
}

// Leak is a resistance between two nodes: to the metalwork, or across an open contact or
// its snubber.
type Leak struct {
	A, B Node
	Ohms float64
	// Inside a device it stays at the terminals when wires are lifted off them; else it goes
	// with the wires.
	Inside bool
}

// SourceScale is a source that delivers its voltage times a factor.
type SourceScale struct {
	Source Source
	Factor float64
}

// LoadScale is a load with its impedance and its ohmmeter value times a factor: less than
// one for shorted turns.
type LoadScale struct {
	Load   Load
	Factor float64
}

// Overlay is a change to a net that leaves the net itself alone: a fault, or leads
// that are lifted for a check.
type Overlay struct {
	Open, Closed []Conductor // whatever the state says
	OpenLoads    []Load
	ShortedLoads []Load
	OpenSources  []Source // a broken winding: no voltage and no path
	DeadSources  []Source // no voltage, the winding still a path
	Scale        []SourceScale
	LoadScale    []LoadScale
	Joins        [][2]Node
	Joints       []Joint
	Leaks        []Leak
	Landings     []Landing
	Extra        int // nodes beyond those of the net, used by Landings
}

// Joint gives the resistance of a conductor with a bad joint in it; false for another.
func (o *Overlay) Joint(c Conductor) (ohms float64, bad bool) {
	for _, j := range o.Joints {
		if j.Conductor == c {
			ohms, bad = ohms+j.Ohms, true
		}
	}
	return ohms, bad
}

// Parts gives the parts of a load as the overlay scales them.
func (o *Overlay) Parts(n *Net, l Load) LoadParts { return scaled(n.loads[l], l, o.LoadScale) }

// scaled gives the parts of a load as scales have them.
func scaled(p LoadParts, l Load, scales []LoadScale) LoadParts {
	for _, s := range scales {
		if s.Load == l {
			p.Running *= complex(s.Factor, 0)
			p.Ohms *= s.Factor
		}
	}
	return p
}

// scale is the factor on what a source delivers.
func (o *Overlay) scale(s Source) float64 {
	factor := 1.0
	for _, x := range o.Scale {
		if x.Source == s {
			factor *= x.Factor
		}
	}
	return factor
}

// ends gives the nodes between which a conductor lies.
func (o *Overlay) ends(n *Net, c Conductor) (a, b Node) {
	p := n.conductors[c]
	for _, l := range o.Landings {
		switch {
		case l.Conductor != c:
		case l.From == p.a:
			p.a = l.To
		case l.From == p.b:
			p.b = l.To
		}
	}
	return p.a, p.b
}

// Resistance is what stands between the ends of a conductor with a bad joint while it is
// closed.
func (o *Overlay) Resistance(n *Net, c Conductor) Leak {
	a, b := o.ends(n, c)
	ohms, _ := o.Joint(c)
	return Leak{A: a, B: b, Ohms: ohms}
}

// resistances gives all that the overlay adds to the loads: leaks, and bad joints in
// conductors that are closed.
func (o *Overlay) resistances(n *Net, closed []bool) []Leak {
	if len(o.Joints) == 0 {
		return o.Leaks
	}
	all := slices.Clone(o.Leaks)
	for i, j := range o.Joints {
		c := j.Conductor
		again := slices.ContainsFunc(o.Joints[:i], func(j Joint) bool { return j.Conductor == c })
		if !again && !slices.Contains(o.Open, c) && (closed[c] || slices.Contains(o.Closed, c)) {
			all = append(all, o.Resistance(n, c))
		}
	}
	return all
}

// leads tells whether there is a way through a resistance.
func leads(ohms float64) bool { return !math.IsInf(ohms, 1) }

// Lift gives the overlay with the conductors in wires that land on the node lifted
// off it. They stay joined to each other, and whatever touches them goes with them.
func (o Overlay) Lift(n *Net, at Node, wires []Conductor) Overlay {
	o.Extra++
	loose := n.nodes + Node(o.Extra)
	o.Landings = slices.Clone(o.Landings)
	o.Joins = slices.Clone(o.Joins)
	o.Leaks = slices.Clone(o.Leaks)
	for _, c := range wires {
		o.Landings = append(o.Landings, Landing{c, at, loose})
	}
	for i := range o.Joins {
		for k := range o.Joins[i] {
			if o.Joins[i][k] == at {
				o.Joins[i][k] = loose
			}
		}
	}
	for i := range o.Leaks {
		l := &o.Leaks[i]
		if l.Inside {
			continue
		}
		if l.A == at {
			l.A = loose
		}
		if l.B == at {
			l.B = loose
		}
	}
	return o
}

// joined unites the nodes that closed conductors, shorted loads and joins tie
// together.
func (n *Net) joined(closed []bool, o *Overlay) *joined.Sets {
	s := joined.New(int(n.nodes) + o.Extra + 1)
	if len(o.Open)+len(o.Closed)+len(o.Joints)+len(o.Landings) > 0 {
		special := make(map[Conductor]bool, len(o.Open)+len(o.Closed)+len(o.Joints))
		for _, c := range o.Closed {
			special[c] = true
		}
		for _, c := range o.Open {
			special[c] = false
		}
		for _, j := range o.Joints {
			special[j.Conductor] = false
		}
		moved := make(map[Conductor]bool, len(o.Landings))
		for _, l := range o.Landings {
			moved[l.Conductor] = true
		}
		for i := 1; i < len(n.conductors); i++ {
			c := Conductor(i)
			on, p := closed[i], n.conductors[i]
			if v, ok := special[c]; ok {
				on = v
			}
			if !on {
				continue
			}
			if moved[c] {
				p.a, p.b = o.ends(n, c)
			}
			s.Join(int32(p.a), int32(p.b))
		}
	} else {
		for i := 1; i < len(n.conductors); i++ {
			if closed[i] {
				p := n.conductors[i]
				s.Join(int32(p.a), int32(p.b))
			}
		}
	}
	for _, l := range o.ShortedLoads {
		p := n.loads[l]
		s.Join(int32(p.A), int32(p.B))
	}
	for _, j := range o.Joins {
		s.Join(int32(j[0]), int32(j[1]))
	}
	return s
}
