package work

import (
	"encoding/binary"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// Overlay is what a fault changes: elements of the network, and devices that do not
// move as they should. The zero value is the good circuit.
type Overlay struct {
	network.Overlay
	// Stuck holds the contacts of a device in a position: an operator that does not
	// move, an armature that is jammed. A load that is stuck does nothing: a solenoid
	// that does not pull, a motor that does not turn.
	Stuck []Stuck
	// Timers that do not time as they should.
	Timers []Timing
	// Screws is set where what touches does so at the screws: it stays on a terminal when
	// the wires are lifted off it, and goes with the wires otherwise.
	Screws bool
	// Temper is what the parts of the panel are like.
	Temper Temper
}

// Stuck holds a device's contacts in one position.
type Stuck struct {
	Device   *circuits.Device
	Position int
}

// Timing is a timer that never times out, or at once, or after its delay times a factor.
type Timing struct {
	Device *circuits.Device
	AtOnce bool
	Factor float64 // zero for none
}

// Never tells whether the timer never times out.
func (t Timing) Never() bool { return !t.AtOnce && t.Factor == 0 }

// End is the condition of a panel at the end of a step, in which readings are taken.
type End struct {
	State network.State
	Live  *network.Live
	// In tells by relay (Panel.Relays) whether its armature is pulled in.
	In []bool
	// Pulled tells by relay whether its coil pulls; of one that latches, whether it is set.
	Pulled []bool
	// Chatter names relays that find no rest; Phases are the conditions they go
	// through, of which Live is the first.
	Chatter []*circuits.Device
	// Racing names relays that are in or out by which of several armatures is the quicker;
	// Phases then has the conditions that come of it, of which Live is the first.
	Racing []*circuits.Device
	Phases []*network.Live
	// Flashing names relays that are in and out by turns; Phases then has both conditions.
	Flashing []*circuits.Device
	// Blown are the protective devices that have opened so far. Carried gives the amperes with
	// which an overload opened one; none for a dead short.
	Blown   []*circuits.Device
	Carried map[*circuits.Device]float64
	// Collapsed are the sources that a dead short holds down and nothing protects.
	Collapsed []network.Source
	// Timed tells by relay whether a timer's timed contacts are operated.
	Timed []bool
	// Running are the timers that are on their way to time out.
	Running []Running
	// Positions of the operators (Panel.Operators) as their contacts are.
	Positions []int

	// Depends tells that up to here a coil was in or not, or a protective device opened or
	// not, that would do otherwise with other parts.
	Depends bool

	driven map[network.Load]float64 // volts across what hangs on current transformers

	now *End // without the other turn of what flashes; nil where nothing does

	stand, rival *wholeStand // to go on from; the rival's where armatures have raced

	down  []network.Node // islands of the collapsed sources
	mixed []network.Node // those of them that another source holds up
}

// Work works the operation from its start under an overlay and calls visit at the
// end of each step. The End is fresh for each call. Work stops when visit returns
// false.
func (p *Panel) Work(o *Overlay, visit func(step int, e *End) bool) {
	p.goOn(0, func(reverse bool) *worker {
		w := newWorker(p, o)
		w.reverse = reverse
		w.settle()
		return w
	}, visit)
}

// goOn works the steps from one on. Where armatures race it works them once more from there,
// with the other one first, and the ends carry what differs.
func (p *Panel) goOn(from int, fresh func(reverse bool) *worker, visit func(step int, e *End) bool) {
	p.goOnWith(from, fresh(false), nil, fresh, visit)
}

// goOnWith is goOn of a worker, and of its rival where armatures have raced before.
func (p *Panel) goOnWith(from int, w, rival *worker, fresh func(reverse bool) *worker,
	visit func(step int, e *End) bool) {
	for i := from; i < len(p.Circuit.Steps); i++ {
		w.step(&p.Circuit.Steps[i])
		e := w.end()
		switch {
		case rival != nil:
			rival.step(&p.Circuit.Steps[i])
		case w.raced:
			rival = fresh(true)
			for k := from; k <= i; k++ {
				rival.step(&p.Circuit.Steps[k])
			}
		}
		if rival != nil {
			e.rival = rival.stands()
			e.beside(p, rival.end())
		}
		if !visit(i, e) {
			return
		}
	}
}

// beside notes what differs in the end that a race may have as well.
func (e *End) beside(p *Panel, other *End) {
	e.Racing = append(e.Racing, e.also(p, other)...)
}

// also notes that the end may be another one as well, and gives the relays that differ.
func (e *End) also(p *Panel, other *End) (differ []*circuits.Device) {
	if slices.Equal(e.State.Closed, other.State.Closed) && slices.Equal(e.In, other.In) &&
		slices.Equal(e.Chatter, other.Chatter) {
		return nil
	}
	for i, d := range p.relays {
		if e.In[i] != other.In[i] || slices.Contains(other.Chatter, d) {
			differ = append(differ, d)
		}
	}
	if len(e.Phases) == 0 {
		e.Phases = []*network.Live{e.Live}
	}
	e.Phases = append(slices.Clone(e.Phases), other.Live)
	e.Phases = append(e.Phases, other.Phases...)
	return differ
}

// worker is a panel while it is being worked.
type worker struct {
	p  *Panel
	o  *Overlay
	st network.State

	hand   []int // by operator: where it was put
	relays []*relay
	stand  []armature // by relay

	most      float64         // amperes that no current reaches
	breaking  bool            // operators are on their way: what opens has opened, what closes has not
	blown     []bool          // by fuse
	carried   map[int]float64 // by fuse that an overload opened: amperes, it carried
	collapsed []network.Source
	live      *network.Live
	otherHalf *network.Live            // of the cycle, where diodes conduct otherwise in it; else nil
	driven    map[network.Load]float64 // volts across what hangs on current transformers
	stale     bool                     // a contact has moved since live was solved
	phases    []*network.Live
	chatter   []*circuits.Device
	reverse   bool // of racing armatures the last in the file is the quickest, else the first
	raced     bool // some have raced on the way
	opIndex   map[*circuits.Device]int
	course    *Course   // records what the good circuit goes through; else nil
	depends   bool      // see End.Depends
	late      float64   // in place of the step to come, seconds that it waits longer in the one before
	used      []float64 // collects how far protective devices are used; else nil
}

func newWorker(p *Panel, o *Overlay) *worker {
	w := &worker{
		p: p, o: o, st: p.Net.NewState(),
		hand: make([]int, len(p.operators)), relays: p.laws(o.Temper), stand: make([]armature, len(p.relays)),
		blown: make([]bool, len(p.fuses)), most: p.mostUnder(o),
		opIndex: make(map[*circuits.Device]int, len(p.operators)),
	}
	for i, d := range p.operators {
		w.opIndex[d] = i
		w.hand[i] = d.Rest
	}
	if held := p.heldRelays(o); len(held) > 0 {
		w.relays = slices.Clone(w.relays)
		for i, r := range held {
			w.relays[i] = r
		}
	}
	for i := range p.operators {
		w.place(i, w.position(i))
	}
	for i := range p.relays {
		w.throw(i)
	}
	return w
}

// position is where an operator's contacts are, which is not where it was put if it
// is stuck.
func (w *worker) position(i int) int {
	for _, s := range w.o.Stuck {
		if s.Device == w.p.operators[i] {
			return s.Position
		}
	}
	return w.hand[i]
}

// place puts the contacts of an operator as they are in all of the positions at once:
// closed only where every one of them closes it.
func (w *worker) place(i int, positions ...int) {
	d := w.p.operators[i]
	for k, c := range d.Contacts {
		on := true
		for _, pos := range positions {
			on = on && c.Closed[pos]
		}
		w.set(w.p.contacts[d][k], on)
	}
}

// throw puts the contacts of a relay as its armature and its delay stand.
func (w *worker) throw(i int) {
	d := w.p.relays[i]
	position, timed := w.relays[i].positions(w.stand[i])
	for k, c := range d.Contacts {
		w.set(w.p.contacts[d][k], c.ClosedIn(position, timed))
	}
}

// set puts a conductor, and notes if that changes the network.
func (w *worker) set(c network.Conductor, closed bool) {
	if w.st.Closed[c] != closed {
		w.st.Closed[c] = closed
		w.stale = true
	}
}

// step moves the operators and lets time pass. All contacts that open do so before
// any closes: a jog button breaks the seal before it feeds the coil, and lets the
// coil go before the seal is back.
func (w *worker) step(s *circuits.Step) {
	if w.late > 0 {
		w.pass(w.late)
		w.late = 0
		return
	}
	w.stale = w.stale || len(w.collapsed) > 0
	w.collapsed = nil
	for _, i := range w.p.repeats {
		if now := w.relays[i].again(w.stand[i]); now != w.stand[i] {
			w.stand[i] = now
			w.throw(i)
		}
	}
	before := make([]int, len(w.hand))
	moved := false
	for i := range w.hand {
		before[i] = w.position(i)
	}
	for _, set := range s.Set {
		w.hand[w.opIndex[set.Device]] = set.Position
	}
	for i := range w.hand {
		if now := w.position(i); now != before[i] {
			moved = true
			w.place(i, before[i], now)
		}
	}
	if moved {
		w.breaking = true
		w.settle()
		w.make()
	}
	w.settle()
	w.pass(s.Wait)
}

// make closes the contacts of operators that are on their way.
func (w *worker) make() {
	w.breaking = false
	for i := range w.hand {
		w.place(i, w.position(i))
	}
}

// pass lets seconds pass, and the timers time out.
func (w *worker) pass(seconds float64) {
	for left := seconds; left > 0; {
		next := left
		for i, r := range w.relays {
			if r.running(w.stand[i]) {
				next = min(next, r.left(w.stand[i]))
			}
		}
		left -= next
		w.course.pass(next)
		due := false
		for i, r := range w.relays {
			now, timedOut := r.pass(w.stand[i], next)
			w.stand[i] = now
			if timedOut {
				w.throw(i)
				due = true
			}
		}
		if due {
			w.settle()
		}
	}
}

// settle works the circuit to a stable state. All coils are judged together and
// their armatures move together. Where some go round in a circle, those race: they are put back
// to where they stood, all else at rest, and move one at a time, as the quicker of two relays
// wins a race: which that is nobody knows, so it is tried in the order of the file and in reverse
// (goOn). Where that goes round too, the relays chatter.
func (w *worker) settle() {
	w.chatter, w.phases = nil, nil
	w.course.phase(w)
	stood := slices.Clone(w.stand)
	if w.run(false) {
		return
	}
	w.course.spoil()
	w.raced = true
	for i, moves := range w.round(false, func() {}) {
		if moves || w.relays[i].parted(stood[i], w.stand[i]) { // on the way into the circle one may have been too quick
			w.stand[i] = stood[i]
			w.throw(i)
		}
	}
	if w.run(true) {
		return
	}
	w.noteRound()
}

// noteRound goes once more round a circle in which relays chatter.
func (w *worker) noteRound() {
	moves := w.round(true, func() { w.phases = append(w.phases, w.live) })
	for i, d := range w.p.relays {
		if moves[i] {
			w.chatter = append(w.chatter, d)
		}
	}
}

// round goes once more round a circle that the armatures are in. It calls visit in each
// condition, and tells which of them move.
func (w *worker) round(oneByOne bool, visit func()) (moves []bool) {
	moves = make([]bool, len(w.stand))
	start := w.key()
	for key := ""; key != start; key = w.key() {
		visit()
		was := slices.Clone(w.stand)
		w.advance(oneByOne)
		w.solve()
		for i := range moves {
			moves[i] = moves[i] || w.relays[i].parted(was[i], w.stand[i])
		}
	}
	return moves
}

// patience is after how many moves a circle is looked for: nearly always all is at rest by then.
const patience = 8

// run judges the coils until nothing moves; it reports false when a state comes back.
func (w *worker) run(oneByOne bool) bool {
	w.solve()
	w.course.moment(w)
	var been map[string]bool
	for turn := 0; ; turn++ {
		if !w.advance(oneByOne) {
			return true
		}
		w.solve()
		w.course.moment(w)
		if turn < patience {
			continue
		}
		if been == nil {
			been = make(map[string]bool)
		}
		k := w.key()
		if been[k] {
			return false
		}
		been[k] = true
	}
}

func (w *worker) key() string {
	b := make([]byte, 0, len(w.stand)+len(w.blown)+1)
	for _, a := range w.stand {
		b = append(b, byte(b2i(a.in)|b2i(a.timed)<<1|b2i(a.fed)<<2))
	}
	for _, x := range w.blown {
		b = append(b, byte(b2i(x)))
	}
	return string(binary.AppendUvarint(b, uint64(len(w.collapsed))))
}

// advance lets the armatures follow their coils; it reports whether any moved. All are judged
// before any moves, or the first that moves is the only one.
func (w *worker) advance(oneByOne bool) bool {
	var moved []int
	var was []armature
	if len(w.p.locks) > 0 {
		was = slices.Clone(w.stand)
	}
	for k := range w.relays {
		i := k
		if oneByOne && w.reverse {
			i = len(w.relays) - 1 - k
		}
		r := w.relays[i]
		now, moves := r.follow(w.stand[i], w.across)
		if !moves || now.in && !w.stand[i].in && w.locked(i, was) {
			continue
		}
		w.stand[i] = now
		moved = append(moved, i)
		if oneByOne {
			break
		}
	}
	for _, i := range moved {
		w.throw(i)
	}
	return len(moved) > 0
}

// locked tells whether a mechanical interlock keeps a contactor out: the other one is in, or was
// before this move, or is pulled in by it. Of two that are called at once the first in the file
// wins.
func (w *worker) locked(i int, was []armature) bool {
	other, ok := w.p.locks[i]
	if !ok {
		return false
	}
	before, _ := w.relays[other].positions(was[other])
	now, _ := w.relays[other].positions(w.stand[other])
	return before == 1 || now == 1
}

// across is the voltage that drives current through a load: none through a broken
// one.
func (w *worker) across(l network.Load) float64 {
	if slices.Contains(w.o.OpenLoads, l) {
		return 0
	}
	parts := w.p.Net.Load(l)
	v, driven := w.driven[l]
	if !driven {
		v, _ = w.live.Between(parts.A, parts.B)
	}
	if w.otherHalf != nil && !driven { // a coil needs both halves
		other, _ := w.otherHalf.Between(parts.A, parts.B)
		v = min(v, other)
	}
	w.depends = w.depends || w.p.coilDepends(l, v)
	return v
}

// coilDepends tells whether a load is a coil that may be in or not at a voltage.
func (p *Panel) coilDepends(l network.Load, volts float64) bool {
	r := p.relayOf[l]
	if r < 0 {
		return false
	}
	for _, c := range p.good[r].coils {
		if c.load == l {
			return c.values.depends(p.bend, volts)
		}
	}
	return false
}

// end gives the condition at the end of a step, with what it is by turns.
func (w *worker) end() *End {
	e := w.endNow()
	for _, flashes := range [...]bool{false, true} {
		other := w.nextTurn(flashes)
		if other == nil {
			continue
		}
		by := other.endNow()
		now := *e
		if flashes {
			e.now = &now
		}
		e.Flashing, e.Depends = append(e.Flashing, e.also(w.p, by)...), e.Depends || by.Depends
	}
	return e
}

// Now is the end at the present turn of what flashes.
func (e *End) Now() *End {
	if e.now != nil {
		return e.now
	}
	return e
}

// nextTurn is the panel with all that flashes at its next turn, or all else that repeats and is not
// waited for; nil where nothing does.
func (w *worker) nextTurn(flashes bool) *worker {
	var other *worker
	for _, i := range w.p.repeats {
		if !w.relays[i].byTurns(w.stand[i]) || w.p.relays[i].Flashes() != flashes {
			continue
		}
		if other == nil {
			next := *w
			other = &next
			other.st = network.State{Closed: slices.Clone(w.st.Closed), EMF: slices.Clone(w.st.EMF), Leads: slices.Clone(w.st.Leads)}
			other.stand, other.blown, other.course, other.used = slices.Clone(w.stand), slices.Clone(w.blown), nil, nil
		}
		other.stand[i] = w.relays[i].over(w.stand[i])
		other.throw(i)
	}
	if other != nil {
		other.settle()
	}
	return other
}

// endNow gives the condition as it is.
func (w *worker) endNow() *End {
	e := &End{
		State:     network.State{Closed: slices.Clone(w.st.Closed), EMF: slices.Clone(w.st.EMF), Leads: slices.Clone(w.st.Leads)},
		Live:      w.live,
		In:        make([]bool, len(w.stand)),
		Pulled:    make([]bool, len(w.stand)),
		Timed:     make([]bool, len(w.stand)),
		Chatter:   w.chatter,
		Phases:    w.phases,
		Collapsed: w.collapsed,
		Depends:   w.depends,
		driven:    w.driven,
		stand:     w.stands(),
		Positions: make([]int, len(w.hand)),
	}
	if w.otherHalf != nil {
		if len(e.Phases) == 0 {
			e.Phases = []*network.Live{e.Live}
		}
		e.Phases = append(slices.Clone(e.Phases), w.otherHalf)
	}
	for _, s := range w.collapsed {
		e.down = append(e.down, w.live.Island(w.p.Net.Source(s).Return))
	}
	for i := network.Source(1); len(e.down) > 0 && int(i) <= w.p.Net.Sources(); i++ {
		idle := slices.Contains(w.o.OpenSources, i) || slices.Contains(w.o.DeadSources, i) || w.st.EMF[i] == 0
		if island := w.live.Island(w.p.Net.Source(i).Return); !idle && slices.Contains(e.down, island) {
			e.mixed = append(e.mixed, island)
		}
	}
	for i, a := range w.stand {
		e.In[i], e.Pulled[i], e.Timed[i] = w.relays[i].seen(a), a.in, a.timed
	}
	e.Running = w.p.running(func(r int) *relay { return w.relays[r] }, func(r int) armature { return w.stand[r] })
	for i := range w.hand {
		e.Positions[i] = w.position(i)
	}
	for i, f := range w.p.fuses {
		if w.blown[i] {
			e.Blown = append(e.Blown, f.device)
			if amps, ok := w.carried[i]; ok {
				if e.Carried == nil {
					e.Carried = make(map[*circuits.Device]float64)
				}
				e.Carried[f.device] = amps
			}
		}
	}
	return e
}

// LockedOut gives the state of the conductors with the power locked off, relays released and
// timers reset, and the operators held as in a step. A relay that keeps its position has the
// one that it comes to when the power goes at the end of the step. Protective devices are as
// the overlay has them, not as working the circuit may have left them; blown names those that
// are taken as open all the same.
func (p *Panel) LockedOut(o *Overlay, step int, blown ...*circuits.Device) network.State {
	return p.Locking(o).At(step, blown...)
}

// Locking gives the panel locked off after one step and another, with one overlay.
type Locking struct {
	panel  *Panel
	o      *Overlay
	worked *worker      // what was worked so far, where a relay keeps its position
	stood  [][]armature // by step that was worked: how the relays stood at its end
	kept   [][]Kept     // by step
}

// Locking is LockedOut for several steps: the course up to them is worked once.
func (p *Panel) Locking(o *Overlay) *Locking { return &Locking{panel: p, o: o} }

// At is what LockedOut gives.
func (l *Locking) At(step int, blown ...*circuits.Device) network.State {
	w := l.at(step)
	for _, d := range blown {
		for _, c := range l.panel.links[d] {
			w.st.Closed[c] = false
		}
	}
	return network.State{Closed: w.st.Closed}
}

// Released gives the positions of the relays, by Panel.Relays, with the power locked off as in
// LockedOut.
func (p *Panel) Released(o *Overlay, step int) []int {
	w := p.Locking(o).at(step)
	positions := make([]int, len(w.stand))
	for i, a := range w.stand {
		positions[i], _ = w.relays[i].positions(a)
	}
	return positions
}

func (l *Locking) at(step int) *worker {
	p := l.panel
	w := newWorker(p, l.o)
	if p.Keeps() {
		for i, a := range l.standing(step) {
			w.stand[i] = w.relays[i].unpowered(a)
			w.throw(i)
		}
	}
	for i := 0; i <= step; i++ {
		for _, set := range p.Circuit.Steps[i].Set {
			w.hand[w.opIndex[set.Device]] = set.Position
		}
	}
	for i := range w.hand {
		w.place(i, w.position(i))
	}
	return w
}

// Kept is a relay that keeps its position with the power off, and how its contacts stand, the timed
// ones by themselves.
type Kept struct {
	Device          *circuits.Device
	Position, Timed int
}

// Kept gives the relays that keep their position, as they stand in what At gives.
func (l *Locking) Kept(step int) []Kept {
	if !l.panel.Keeps() {
		return nil
	}
	l.standing(step)
	for len(l.kept) < len(l.stood) {
		var kept []Kept
		for i, d := range l.panel.relays {
			if d.Type.Armature.Keeps() {
				r := l.worked.relays[i]
				position, timed := r.positions(r.unpowered(l.stood[len(l.kept)][i]))
				kept = append(kept, Kept{d, position, timed})
			}
		}
		l.kept = append(l.kept, kept)
	}
	return l.kept[step]
}

// standing is how the relays stand at the end of a step.
func (l *Locking) standing(step int) []armature {
	if l.worked == nil {
		l.worked = newWorker(l.panel, l.o)
		l.worked.settle()
	}
	for i := len(l.stood); i <= step; i++ {
		l.worked.step(&l.panel.Circuit.Steps[i])
		l.stood = append(l.stood, slices.Clone(l.worked.stand))
	}
	return l.stood[step]
}
