package work

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/joined"
	"deadrung/circuits/network"
)

// Stretches are the pieces that a panel falls into without its rails: what conductors and
// loads join, contacts open or closed. Without a relay between them nothing that happens in
// one is seen in another, as long as the rails stand.
type Stretches struct {
	p     *Panel
	of    []int32   // by node; the rails have none
	moves [][]int32 // by stretch: those in which contacts of its coils stand
	// hang are, by node on a rail, the stretches that hang on it.
	hang map[network.Node][]int32
}

// onRail is the stretch of a node on a rail.
const onRail = -1

// Stretches works out those of the panel; nil where a rail hangs on more than wires and
// fuses, so that no two are apart.
func (p *Panel) Stretches() *Stretches {
	wired := joined.New(p.Net.Nodes() + 1) // whatever the contacts do
	for c := network.Conductor(1); int(c) <= p.Net.Conductors(); c++ {
		if a, b := p.Net.Ends(c); p.parts[c].Kind != ContactPart {
			wired.Join(int32(a), int32(b))
		}
	}
	feeds := make(map[int32]bool)
	for i := 1; i <= p.Net.Sources(); i++ {
		s := p.Net.Source(network.Source(i))
		feeds[wired.Of(int32(s.Hot))], feeds[wired.Of(int32(s.Return))] = true, true
	}
	rail := make([]bool, p.Net.Nodes()+1)
	for n := range rail {
		rail[n] = feeds[wired.Of(int32(n))]
	}
	sets := joined.New(len(rail))
	join := func(a, b network.Node) {
		if !rail[a] && !rail[b] {
			sets.Join(int32(a), int32(b))
		}
	}
	for c := 1; c <= p.Net.Conductors(); c++ {
		join(p.Net.Ends(network.Conductor(c)))
	}
	for i := 1; i <= p.Net.Loads(); i++ {
		l := p.Net.Load(network.Load(i))
		if d := p.loads[i]; d.HasPrimary() && p.PrimaryWired(d) && !(rail[l.A] && rail[l.B]) {
			return nil // what it feeds hangs on contacts
		}
		join(l.A, l.B)
	}
	s := &Stretches{p: p, of: make([]int32, len(rail)), hang: make(map[network.Node][]int32)}
	number := make(map[int32]int32)
	for n := range s.of {
		if s.of[n] = onRail; n == 0 || rail[n] {
			continue
		}
		set := sets.Of(int32(n))
		if _, known := number[set]; !known {
			number[set] = int32(len(number))
		}
		s.of[n] = number[set]
	}
	s.moves = make([][]int32, len(number))
	s.connect()
	return s
}

// connect works out what moves what, and what hangs on the rails.
func (s *Stretches) connect() {
	p := s.p
	for c := 1; c <= p.Net.Conductors(); c++ {
		a, b := p.Net.Ends(network.Conductor(c))
		s.hangs(a, s.of[b])
		s.hangs(b, s.of[a])
	}
	for i := 1; i <= p.Net.Loads(); i++ {
		l := p.Net.Load(network.Load(i))
		s.hangs(l.A, s.of[l.B])
		s.hangs(l.B, s.of[l.A])
	}
	for _, d := range p.relays {
		contacts := s.ofContacts(d)
		for i := range d.Coils() {
			l := p.Net.Load(p.Coil(d, i))
			for _, end := range []network.Node{l.A, l.B} {
				if at := s.of[end]; at != onRail {
					s.moves[at] = append(s.moves[at], contacts...)
				}
				s.hangs(end, contacts...)
			}
		}
	}
}

// hangs notes stretches that hang on a node, if that is on a rail.
func (s *Stretches) hangs(on network.Node, stretches ...int32) {
	if s.of[on] == onRail {
		s.hang[on] = append(s.hang[on], stretches...)
	}
}

// ofContacts gives the stretches in which a device's contacts stand, a rail among them.
func (s *Stretches) ofContacts(d *circuits.Device) []int32 {
	var stretches []int32
	for _, c := range s.p.contacts[d] {
		a, b := s.p.Net.Ends(c)
		stretches = append(stretches, s.of[a], s.of[b])
	}
	slices.Sort(stretches)
	return slices.Compact(stretches)
}

// Reach are the stretches that something acts on, over relays as well.
type Reach struct {
	s  *Stretches
	in []bool // by stretch
}

// Reach begins with none.
func (s *Stretches) Reach() *Reach { return &Reach{s: s, in: make([]bool, len(s.moves))} }

// add adds stretches, and those that they act on.
func (r *Reach) add(stretches ...int32) {
	for _, at := range stretches {
		if at != onRail && !r.in[at] {
			r.in[at] = true
			r.add(r.s.moves[at]...)
		}
	}
}

// Timers adds what timers act on as they time out.
func (r *Reach) Timers(timers []Running) {
	for _, t := range timers {
		r.add(r.s.ofContacts(t.Device)...)
	}
}

// Seen adds what is acted on where something is seen at a node: its stretch, or what hangs on
// a rail there.
func (r *Reach) Seen(n network.Node) {
	r.add(r.s.of[n])
	r.add(r.s.hang[n]...)
}

// Join adds another reach.
func (r *Reach) Join(other *Reach) {
	for at, in := range other.in {
		r.in[at] = r.in[at] || in
	}
}

// Meets tells whether two have a stretch in common.
func (r *Reach) Meets(other *Reach) bool {
	for at, in := range r.in {
		if in && other.in[at] {
			return true
		}
	}
	return false
}

// Fault adds where the parts of a fault are; false for one that acts on all.
func (r *Reach) Fault(o *Overlay) bool {
	if len(o.OpenSources)+len(o.DeadSources)+len(o.Scale) > 0 || o.Temper != AsTable {
		return false
	}
	p := r.s.p
	at := func(nodes ...network.Node) {
		for _, n := range nodes {
			r.add(r.s.of[n])
		}
	}
	for _, c := range slices.Concat(o.Open, o.Closed) {
		at(p.ends(c)...)
	}
	for _, j := range o.Joints {
		at(p.ends(j.Conductor)...)
	}
	for _, j := range o.Joins {
		at(j[:]...)
	}
	for _, l := range o.Leaks {
		at(l.A, l.B)
	}
	for _, l := range o.Landings {
		if int(l.From) >= len(r.s.of) || int(l.To) >= len(r.s.of) {
			return false
		}
		at(append(p.ends(l.Conductor), l.From, l.To)...)
	}
	devices := p.Concerns(o)
	for _, t := range o.Timers {
		devices = append(devices, t.Device)
	}
	for _, d := range devices {
		for _, t := range d.Terminals {
			at(p.Node(d.Terminal(t)))
		}
	}
	return true
}

func (p *Panel) ends(c network.Conductor) []network.Node {
	a, b := p.Net.Ends(c)
	return []network.Node{a, b}
}
