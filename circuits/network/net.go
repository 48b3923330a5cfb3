// Package network holds the electricity of a control circuit and nothing of its
// trade: nodes, conductors, loads and sources, solved live and with the power off.
//
// A [Net] goes in, made once for a circuit. A [State] says which conductors are
// closed and what each source delivers; an [Overlay] says what a fault or a lifted
// lead changes. Out come a [Live] or an [Off] solution, which answer what a meter
// reads between two nodes and whether that reading is a firm one. A [Base] is a state
// solved once, against which a [Local] works out what a small [Change] does to it; with
// the power off they are an [OffBase] and a [LocalOff].
//
// # How a network is solved
//
// Nearly everything in a panel is a conductor of no resistance, so those are joined
// first (union-find); what is left are a few loads between a few supernodes:
//
//	   conductors joined            what is left to solve
//	L ──o o──┬──o/o──(coil)── N     {L…} ──── source ──── {N…}
//	         └──o o──(lamp)── N       └────── lamp ────────┘
//	                                {} ────── coil ────────┘
//
// A live ideal source ties two supernodes at a known difference, so both sides of a
// supply are one cluster with one unknown. Loads join clusters to islands: a voltage
// between two nodes of one island is firm, a voltage between two islands is whatever
// stray coupling makes it. Each island keeps one cluster as its reference; what is
// left falls into small blocks, solved by complex elimination with pivoting. No
// resistance is ever faked that could lose digits: there are no micro-ohms or giga-ohms.
package network

import (
	"math"
	"math/cmplx"
	"slices"
	"sync"
)

// Node is a point of no extent where elements meet. Zero means none.
type Node int32

// Conductor is an element of no resistance, closed or open. Zero means none.
type Conductor int32

// Load is an element with an impedance. Zero means none.
type Load int32

// Source is an ideal source of voltage. Zero means none.
type Source int32

// SourceParts describes a source.
type SourceParts struct {
	Hot, Return Node
	Volts       float64 // nominal, RMS for ac
	Hertz       float64 // zero for dc
	Phase       float64 // degrees
	// Beat tells sources of one frequency apart whose phases to each other nobody knows:
	// only those with the same one can be added up.
	Beat int
	// WindingOhms is what an ohmmeter finds between Hot and Return with the power
	// locked off: a winding's resistance, or +Inf where the supply is open then.
	WindingOhms float64
	// Unknown is set where an ohmmeter with the power off finds nothing that can be
	// foretold, as at the output of an electronic dc supply.
	Unknown bool
	// Input are the nodes between which a rectifier of four diodes is fed, that has the source at
	// its output; zero for any other source. See rectifier.go.
	Input [2]Node
}

// LoadParts describes a load.
type LoadParts struct {
	A, B    Node
	Running complex128 // impedance while running, in ohms
	Ohms    float64    // what an ohmmeter reads, +Inf for as good as open
	// Judged is what is believed of Ohms; 0 for the same. See [Net.Judged].
	Judged float64
}

// MostTones are how many frequencies, or sources of one frequency whose phases to each other
// nobody knows, a panel may have.
const MostTones = 3

// Phasors are voltages by tone.
type Phasors [MostTones]complex128

// tone is what sources have in common whose voltages add up by their phases.
type tone struct {
	hertz float64
	beat  int
}

func (p SourceParts) tone() tone { return tone{p.Hertz, p.Beat} }

// EMF is the nominal voltage with its phase.
func (p SourceParts) EMF() complex128 { return cmplx.Rect(p.Volts, p.Phase*math.Pi/180) }

type conductorParts struct{ a, b Node }

// diode is a conductor that lets current one way, from its first node to its second, and keeps
// some volts for itself. It is closed while it conducts.
type diode struct {
	conductor Conductor
	drop      float64 // volts
}

// Net is the wiring of a circuit: every element that it has, whether closed or not.
// Elements are numbered from one in the order in which they are added.
type Net struct {
	nodes      Node
	conductors []conductorParts
	loads      []LoadParts
	sources    []SourceParts
	diodes     []diode
	tones      []tone // the different ones of the sources
	rectifiers []Source
	machines   []Load // windings that others of the same machine induce volts in

	once         sync.Once // guards the lists of what meets at a node
	conductorsAt [][]Conductor
	loadsAt      [][]Load
}

// New gives an empty net.
func New() *Net {
	return &Net{
		conductors: make([]conductorParts, 1),
		loads:      make([]LoadParts, 1),
		sources:    make([]SourceParts, 1),
	}
}

// Judged gives the same net with the ohmmeter values of loads and windings as they are
// believed, and those that nobody gave times a factor. Nodes and elements keep their numbers.
func (n *Net) Judged(assumed func(Load) bool, winding func(Source) bool, factor float64) *Net {
	j := &Net{nodes: n.nodes, conductors: n.conductors, loads: slices.Clone(n.loads),
		sources: slices.Clone(n.sources), diodes: n.diodes, tones: n.tones, rectifiers: n.rectifiers, machines: n.machines}
	for i := 1; i < len(j.loads); i++ {
		l := &j.loads[i]
		if l.Judged > 0 {
			l.Ohms = l.Judged
		}
		if assumed(Load(i)) {
			l.Ohms *= factor
		}
	}
	for i := 1; i < len(j.sources); i++ {
		if winding(Source(i)) {
			j.sources[i].WindingOhms *= factor
		}
	}
	return j
}

// AddNode adds a node.
func (n *Net) AddNode() Node {
	n.nodes++
	return n.nodes
}

// AddConductor adds a conductor between two nodes.
func (n *Net) AddConductor(a, b Node) Conductor {
	n.conductors = append(n.conductors, conductorParts{a, b})
	return Conductor(len(n.conductors) - 1)
}

// AddDiode adds a conductor that lets current from one node to another and keeps drop volts
// for itself. With the power on it is closed while it conducts, which [Net.Conduct] settles.
func (n *Net) AddDiode(from, to Node, drop float64) Conductor {
	c := n.AddConductor(from, to)
	n.diodes = append(n.diodes, diode{c, drop})
	return c
}

// Within puts a node inside of a conductor: it ends there from now on, and gives where it ended before.
func (n *Net) Within(c Conductor) (inner, end Node) {
	inner, end = n.AddNode(), n.conductors[c].b
	n.conductors[c].b = inner
	return inner, end
}

// Diodes tells whether there are any.
func (n *Net) Diodes() bool { return len(n.diodes) > 0 }

// AddLoad adds a load.
func (n *Net) AddLoad(p LoadParts) Load {
	n.loads = append(n.loads, p)
	return Load(len(n.loads) - 1)
}

// Induces notes that the windings of one machine, a set of which may be fed without the others,
// induce volts in each other that nobody can foretell.
func (n *Net) Induces(windings ...Load) { n.machines = append(n.machines, windings...) }

// Whole tells whether the net is solved as a whole whatever changes: what a change does may show
// far from it.
func (n *Net) Whole() bool { return len(n.diodes)+len(n.rectifiers)+len(n.machines) > 0 }

// AddSource adds a source.
func (n *Net) AddSource(p SourceParts) Source {
	n.sources = append(n.sources, p)
	if t := p.tone(); !slices.Contains(n.tones, t) {
		n.tones = append(n.tones, t)
	}
	s := Source(len(n.sources) - 1)
	if p.Input[0] != 0 {
		n.rectifiers = append(n.rectifiers, s)
	}
	return s
}

// Nodes is the number of nodes.
func (n *Net) Nodes() int { return int(n.nodes) }

// Tones is how many frequencies, or unknown phases, the sources have.
func (n *Net) Tones() int { return len(n.tones) }

// Beats tells whether there are sources of one frequency whose phases to each other are not
// known.
func (n *Net) Beats() bool {
	for i, t := range n.tones {
		if slices.ContainsFunc(n.tones[:i], func(x tone) bool { return x.hertz == t.hertz }) {
			return true
		}
	}
	return false
}

// Conductors is the number of conductors.
func (n *Net) Conductors() int { return len(n.conductors) - 1 }

// Loads is the number of loads.
func (n *Net) Loads() int { return len(n.loads) - 1 }

// Sources is the number of sources.
func (n *Net) Sources() int { return len(n.sources) - 1 }

// Ends gives the two nodes of a conductor.
func (n *Net) Ends(c Conductor) (a, b Node) {
	return n.conductors[c].a, n.conductors[c].b
}

// Other gives the far end of a conductor.
func (n *Net) Other(c Conductor, end Node) Node {
	if p := n.conductors[c]; p.a == end {
		return p.b
	}
	return n.conductors[c].a
}

// At gives the conductors at a node, once the net is complete.
func (n *Net) At(at Node) []Conductor {
	n.index()
	return n.conductorsAt[at]
}

// Load gives the parts of a load.
func (n *Net) Load(l Load) LoadParts { return n.loads[l] }

// Source gives the parts of a source.
func (n *Net) Source(s Source) SourceParts { return n.sources[s] }

// State is what changes while a circuit is worked. Both slices are indexed by the
// element's number; their first entries are unused.
type State struct {
	Closed []bool       // by conductor
	EMF    []complex128 // by source, volts; zero, or no slice, for one that delivers none
	// Leads are, by conductor, the diodes that conduct and feed nothing but a meter; no slice where
	// there are no diodes.
	Leads []bool
}

// NewState gives a state with every conductor closed and every source at its
// nominal voltage.
func (n *Net) NewState() State {
	s := State{Closed: make([]bool, len(n.conductors)), EMF: make([]complex128, len(n.sources))}
	for i := range s.Closed {
		s.Closed[i] = true
	}
	if n.Diodes() {
		s.Leads = make([]bool, len(n.conductors))
	}
	for i := 1; i < len(n.sources); i++ {
		s.EMF[i] = n.sources[i].EMF()
	}
	return s
}
