package circuits

import (
	"maps"
	"math"
	"slices"

	"deadrung/circuits/network"
)

// Follower works faults along a course. It holds the working space of one goroutine.
type Follower struct {
	c     *Course
	local *network.Local
	fits  bool

	o       *Overlay
	apart   map[int]armature // relays that diverge, and all special ones
	special []int            // relays that the overlay holds or mistimes
	fixed   map[int]int      // by special relay: position the armature is jammed in
	never   map[int]bool
	atOnce  map[int]bool
	hands   []int
	now     float64
	at      *moment
	atTime  float64
	change  network.Change
}

// armature is how a relay stands.
type armature struct {
	in, timed bool
	elapsed   float64
}

// Follower makes the working space for following faults along the course.
func (c *Course) Follower() *Follower {
	f := &Follower{c: c}
	f.local, f.fits = c.p.Net.NewLocal()
	f.fits = f.fits && c.whole
	for _, d := range c.p.sources[1:] {
		f.fits = f.fits && !c.p.PrimaryWired(d)
	}
	return f
}

// Work works the operation under an overlay. At the end of each step it calls small,
// as long as the fault can be followed along the course, and whole from the first step
// on where it cannot.
func (f *Follower) Work(o *Overlay, small func(step int, d *Departure), whole func(step int, e *End)) {
	if !f.start(o) {
		f.c.p.Work(o, func(step int, e *End) bool { whole(step, e); return true })
		return
	}
	if !f.phase(&f.c.steps[0].phases[0]) {
		f.c.p.Work(o, func(step int, e *End) bool { whole(step, e); return true })
		return
	}
	for i := range f.c.p.Circuit.Steps {
		before := make(map[int]armature, len(f.apart))
		for r, a := range f.apart {
			before[r] = a
		}
		was, wasTime, now := f.at, f.atTime, f.now
		if !f.step(i) {
			f.apart, f.at, f.atTime, f.now = before, was, wasTime, now
			w := f.worker(i)
			for k := i; k < len(f.c.p.Circuit.Steps); k++ {
				w.step(&f.c.p.Circuit.Steps[k])
				whole(k, w.end())
			}
			return
		}
		small(i, &Departure{f})
	}
}

// start prepares a fault; it reports false where the fault is not one to be followed.
func (f *Follower) start(o *Overlay) bool {
	f.o = o
	f.apart = make(map[int]armature)
	f.special = f.special[:0]
	f.fixed, f.never, f.atOnce = nil, nil, nil
	f.hands = make([]int, len(f.c.p.operators))
	f.now = 0
	if !f.fits || len(o.OpenSources)+len(o.DeadSources)+o.Extra > 0 {
		return false
	}
	for _, s := range o.Stuck {
		if s.Device.Type.Kind != RelayKind {
			continue
		}
		if f.fixed == nil {
			f.fixed = make(map[int]int)
		}
		r := slices.Index(f.c.p.relays, s.Device)
		f.fixed[r] = s.Position
		f.special = append(f.special, r)
		f.apart[r] = armature{}
	}
	for _, t := range o.Timers {
		if f.never == nil {
			f.never, f.atOnce = make(map[int]bool), make(map[int]bool)
		}
		r := slices.Index(f.c.p.relays, t.Device)
		f.never[r], f.atOnce[r] = !t.AtOnce, t.AtOnce
		f.special = append(f.special, r)
		f.apart[r] = armature{}
	}
	return true
}

// worker gives a full worker that stands as the follower stood before a step.
func (f *Follower) worker(step int) *worker {
	w := newWorker(f.c.p, f.o)
	for i := range step {
		for _, set := range f.c.p.Circuit.Steps[i].Set {
			w.hand[w.opIndex[set.Device]] = set.Position
		}
	}
	for i := range w.hand {
		w.place(i, w.position(i))
	}
	for r := range w.in {
		a := f.stands(r, f.at)
		w.in[r], w.timed[r], w.elapsed[r] = a.in, a.timed, a.elapsed
		w.throw(r)
	}
	w.solve()
	return w
}

// stands is how a relay stands at a moment of the course: as in the good circuit
// unless it diverges.
func (f *Follower) stands(r int, g *moment) armature {
	if a, ok := f.apart[r]; ok {
		return a
	}
	return f.good(r, g)
}

func (f *Follower) good(r int, g *moment) armature {
	a := armature{g.in[r], g.timed[r], g.elapsed[r]}
	if d := f.c.p.relays[r]; d.Timer() && a.in != a.timed {
		a.elapsed += f.now - f.atTime
	}
	return a
}

// running tells whether a relay is a timer on its way to time out.
func (f *Follower) running(r int, a armature) bool {
	return f.c.p.relays[r].Timer() && a.timed != a.in && !f.never[r]
}

// same tells whether two ways to stand make no difference from here on.
func (f *Follower) same(r int, a, b armature) bool {
	return a.in == b.in && a.timed == b.timed &&
		(!f.c.p.relays[r].Timer() || a.in == a.timed || math.Abs(a.elapsed-b.elapsed) < 1e-9)
}

// step follows one step: its settlings in the good circuit, and those that divergent
// timers add.
func (f *Follower) step(i int) bool {
	s := &f.c.steps[i+1]
	f.now = 0
	k := 0
	for ; k < len(s.phases) && s.phases[k].at == 0; k++ {
		if !f.phase(&s.phases[k]) {
			return false
		}
	}
	end := f.c.p.Circuit.Steps[i].Wait
	for f.now < end {
		next := end
		if k < len(s.phases) {
			next = min(next, s.phases[k].at)
		}
		for r, a := range f.apart {
			if f.running(r, a) {
				next = min(next, f.now+f.c.p.relays[r].Seconds-a.elapsed)
			}
		}
		passed := next - f.now
		f.now = next
		due := false
		for r, a := range f.apart {
			if !f.running(r, a) {
				continue
			}
			a.elapsed += passed
			if a.elapsed >= f.c.p.relays[r].Seconds-1e-9 {
				a.timed = a.in
				due = true
			}
			f.apart[r] = a
		}
		switch {
		case k < len(s.phases) && s.phases[k].at <= f.now+1e-9:
			if !f.phase(&s.phases[k]) {
				return false
			}
			k++
		case due:
			rest := coursePhase{at: f.atTime, moments: []moment{*f.at}}
			if !f.phase(&rest) {
				return false
			}
		}
	}
	return true
}

// phase follows one settling.
func (f *Follower) phase(ph *coursePhase) bool {
	last := len(ph.moments) - 1
	f.atTime = ph.at
	for j := 0; ; j++ {
		g := &ph.moments[min(j, last)]
		next := &ph.moments[min(j+1, last)]
		f.at = g
		if !f.solve(g) {
			return false
		}
		changed := false
		apart := make(map[int]armature, len(f.apart))
		judge := func(r int) {
			if _, done := apart[r]; done {
				return
			}
			a := f.stands(r, g)
			d := f.c.p.relays[r]
			in := f.c.p.values[d].holds(f.across(f.c.p.load[d]), a.in)
			if in != a.in {
				changed = true
				a.in = in
				a.elapsed = 0
				delayed := d.Timer() && in != d.OffDelay
				if !delayed || f.atOnce[r] || (d.Seconds == 0 && !f.never[r]) {
					a.timed = in
				}
			}
			if slices.Contains(f.special, r) || !f.same(r, a, f.good(r, next)) {
				apart[r] = a
			}
		}
		for r := range f.apart {
			judge(r)
		}
		for _, l := range f.local.Loads() {
			if r := f.c.p.relayOf[l]; r >= 0 {
				judge(r)
			}
		}
		f.apart = apart
		if j >= last && !changed {
			return true
		}
		if j > last+64 {
			return false
		}
	}
}

func (f *Follower) across(l network.Load) float64 {
	if slices.Contains(f.o.OpenLoads, l) {
		return 0
	}
	p := f.c.p.Net.Load(l)
	return f.local.Between(p.A, p.B)
}

// solve solves what the fault and the relays that diverge change at a moment. It
// reports false where the change is not a small one.
func (f *Follower) solve(g *moment) bool {
	net := f.c.p.Net
	ch := &f.change
	ch.Opened, ch.Joins = ch.Opened[:0], ch.Joins[:0]
	ch.OpenLoads = f.o.OpenLoads
	want := func(c network.Conductor, closed bool) {
		switch is := g.base.Closed(c); {
		case is && !closed:
			ch.Opened = append(ch.Opened, c)
		case closed && !is:
			a, b := net.Ends(c)
			ch.Joins = append(ch.Joins, [2]network.Node{a, b})
		}
	}
	held := func(c network.Conductor) bool {
		if slices.Contains(f.o.Open, c) || slices.Contains(f.o.Closed, c) {
			return true
		}
		return slices.ContainsFunc(f.o.Landings, func(l network.Landing) bool { return l.Conductor == c })
	}
	contacts := func(d *Device, closed func(k int, c *Contact) bool) {
		for k := range d.Contacts {
			if c := f.c.p.contacts[d][k]; !held(c) {
				want(c, closed(k, &d.Contacts[k]))
			}
		}
	}
	for _, c := range f.o.Open {
		want(c, false)
	}
	for _, c := range f.o.Closed {
		want(c, true)
	}
	for _, l := range f.o.ShortedLoads {
		p := net.Load(l)
		ch.Joins = append(ch.Joins, [2]network.Node{p.A, p.B})
	}
	ch.Joins = append(ch.Joins, f.o.Joins...)
	for _, l := range f.o.Landings {
		if !g.base.Closed(l.Conductor) {
			continue
		}
		ch.Opened = append(ch.Opened, l.Conductor)
		a, b := net.Ends(l.Conductor)
		if a == l.From {
			a = b
		}
		ch.Joins = append(ch.Joins, [2]network.Node{a, l.To})
	}
	for _, s := range f.o.Stuck {
		if s.Device.Type.Kind != RelayKind {
			contacts(s.Device, func(_ int, c *Contact) bool { return c.Closed[s.Position] })
		}
	}
	relay := func(r int, a armature) {
		pos, timed := b2i(a.in), b2i(a.timed)
		if p, ok := f.fixed[r]; ok {
			pos, timed = p, p
		}
		contacts(f.c.p.relays[r], func(_ int, c *Contact) bool {
			if c.Timed {
				return c.Closed[timed]
			}
			return c.Closed[pos]
		})
	}
	for _, r := range slices.Sorted(maps.Keys(f.apart)) { // in order, so that every run is the same
		relay(r, f.apart[r])
	}
	return f.local.Solve(g.base, ch) && f.within(g)
}

// within tells whether no protective device can be overloaded by what the fault adds.
func (f *Follower) within(g *moment) bool {
	if len(g.current) == 0 {
		return true
	}
	var more float64
	for _, l := range f.local.Loads() {
		p := f.c.p.Net.Load(l)
		was, _ := g.base.Live().Between(p.A, p.B)
		if is := f.across(l); is > was {
			more += (is - was) / math.Hypot(real(p.Running), imag(p.Running))
		}
	}
	i := 0
	for _, fu := range f.c.p.fuses {
		if fu.amps > 0 && fu.amps < f.c.p.most {
			if g.current[i]+more > fu.amps {
				return false
			}
			i++
		}
	}
	return true
}

// Departure is how a fault departs from the good circuit at the end of a step.
type Departure struct{ f *Follower }

// Nodes are those whose voltage may differ, without order.
func (d *Departure) Nodes() []network.Node { return d.f.local.Nodes() }

// At gives the island of a node and its voltage by frequency.
func (d *Departure) At(n network.Node) (network.Node, [2]complex128) { return d.f.local.At(n) }

// Looks calls visit for each device that may look otherwise than in the good circuit.
func (d *Departure) Looks(visit func(dev *Device, on, firm bool)) {
	p := d.f.c.p
	relay := func(r int) {
		in := d.f.stands(r, d.f.at).in
		if pos, ok := d.f.fixed[r]; ok {
			in = pos == 1
		}
		visit(p.relays[r], in, true)
	}
	for r := range d.f.apart {
		relay(r)
	}
	for _, l := range d.f.local.Loads() {
		dev := p.loads[l]
		if dev.Type.Kind == LoadKind {
			on, firm := judge(dev, p.values[dev], d.f.across(l))
			visit(dev, on, firm)
		}
	}
}
