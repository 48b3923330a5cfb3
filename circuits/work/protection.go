package work

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/joined"
	"deadrung/circuits/network"
)

// solve solves the network as the contacts stand, opens what protects it against a
// dead short or an overload, and follows transformers from primary to secondary. Each
// turn opens a protective device or collapses a source, so it ends.
func (w *worker) solve() {
	if w.live != nil && !w.stale {
		return
	}
	w.stale = false
	for {
		w.solveFeeds()
		if len(w.live.Shorts()) > 0 {
			w.clearShort()
			continue
		}
		if !w.overload() {
			w.drive()
			return
		}
	}
}

// solveFeeds solves with every source at what it delivers: a transformer with a wired
// primary delivers what its primary gets. Behind one another they are worked one after the
// other; where what a secondary feeds acts back on its own primary, as after two wires are
// exchanged, that has no end, and all are found at once.
func (w *worker) solveFeeds() {
	var fed []int // transformers with a wired primary, by source
	for i, d := range w.p.sources {
		switch {
		case i == 0:
		case slices.Contains(w.collapsed, network.Source(i)):
			w.st.EMF[i] = 0
		case w.p.PrimaryWired(d):
			w.st.EMF[i] = 0
			fed = append(fed, i)
		default:
			w.st.EMF[i] = w.p.Net.Source(network.Source(i)).EMF()
		}
	}
	w.solveNet()
	for range fed {
		changed := false
		for _, i := range fed {
			changed = w.deliver(i, w.secondary(i)) || changed
		}
		if !changed {
			return
		}
		w.solveNet()
	}
	for _, i := range fed {
		if d := w.p.sources[i]; cmplx.Abs(w.secondary(i)-w.st.EMF[i]) > leastEMF*d.Volts {
			w.solveRing(slices.DeleteFunc(slices.Clone(fed), w.rectifies))
			changed := false
			for _, i := range fed { // what is not in proportion: it acts back on nothing
				changed = w.rectifies(i) && w.deliver(i, w.secondary(i)) || changed
			}
			if changed {
				w.solveNet()
			}
			return
		}
	}
}

// rectifies tells whether a source is the output of a rectifier.
func (w *worker) rectifies(source int) bool { return w.p.sources[source].Rectifier() }

// solveNet solves the network as the contacts stand and the sources deliver, with the diodes
// settled. Where alternating current has them conduct otherwise in the other half of its cycle,
// that is solved beside it; a dead short in either half is one.
func (w *worker) solveNet() {
	n := w.p.Net
	w.otherHalf = nil
	if !n.Diodes() {
		w.live = n.Live(w.st, &w.o.Overlay)
		return
	}
	n.Conduct(w.st, &w.o.Overlay, network.Rising)
	w.live = n.Live(w.st, &w.o.Overlay)
	if !w.p.alternates {
		return
	}
	falling := network.State{Closed: slices.Clone(w.st.Closed), EMF: w.st.EMF, Leads: slices.Clone(w.st.Leads)}
	n.Conduct(falling, &w.o.Overlay, network.Falling)
	if slices.Equal(falling.Closed, w.st.Closed) {
		return
	}
	w.otherHalf = n.Live(falling, &w.o.Overlay)
	if len(w.live.Shorts()) == 0 && len(w.otherHalf.Shorts()) > 0 {
		w.live, w.otherHalf = w.otherHalf, w.live
	}
}

// leastEMF is the share of its volts below which what a secondary delivers is settled.
const leastEMF = 1e-9

// deliver lets a source deliver so many volts, and tells whether that is something new.
func (w *worker) deliver(source int, emf complex128) bool {
	if cmplx.Abs(emf-w.st.EMF[source]) <= leastEMF*w.p.sources[source].Volts {
		return false
	}
	w.st.EMF[source] = emf
	return true
}

// secondary is what a transformer delivers by what its primary gets in the last solution.
func (w *worker) secondary(source int) complex128 {
	d := w.p.sources[source]
	if d.Rectifier() {
		return complex(w.rectified(d), 0)
	}
	return w.primary(d) * complex(w.p.Net.Source(network.Source(source)).Volts/w.p.values[d].Volts, 0)
}

// solveRing finds what transformers deliver whose secondaries act back on their primaries.
// What they would deliver is a sum of what the other sources bring and a share of each of
// them, so that as many further solutions as there are transformers give the equations.
// Where they have no one answer, all stay as they were.
func (w *worker) solveRing(fed []int) {
	answer := func() []complex128 {
		w.solveNet()
		delivered := make([]complex128, len(fed))
		for k, i := range fed {
			delivered[k] = w.secondary(i)
		}
		return delivered
	}
	before := make([]complex128, len(fed))
	for k, i := range fed {
		before[k], w.st.EMF[i] = w.st.EMF[i], 0
	}
	alone := answer()
	rows := make([][]complex128, len(fed)) // of deliver - share*deliver = alone
	for k := range rows {
		rows[k] = make([]complex128, len(fed))
		rows[k][k] = 1
	}
	for c, i := range fed {
		unit := complex(w.p.sources[i].Volts, 0)
		w.st.EMF[i] = unit
		for k, v := range answer() {
			rows[k][c] -= (v - alone[k]) / unit
		}
		w.st.EMF[i] = 0
	}
	emf, least := network.Eliminate(rows, alone)
	const nothing = 1e-9
	if least < nothing {
		emf = before
	}
	for k, i := range fed {
		w.st.EMF[i] = emf[k]
	}
	w.solveNet()
}

// rectified is what a rectifier delivers by what it is fed in the last solution.
func (w *worker) rectified(d *circuits.Device) float64 {
	in := w.p.Net.Load(w.p.load[d])
	volts, _ := w.live.Between(in.A, in.B)
	return volts * d.Volts / w.p.values[d].Volts
}

// primary is the voltage across the primary of a transformer, with its phase; none
// through a broken winding.
func (w *worker) primary(d *circuits.Device) complex128 {
	l := w.p.load[d]
	if slices.Contains(w.o.OpenLoads, l) {
		return 0
	}
	parts := w.p.Net.Load(l)
	return w.live.Across(parts.A, parts.B, w.p.source[d])
}

// clearShort opens the protective devices that clear a dead short: all are thought
// open, then closed again, the greatest rating first, as long as the short does not
// come back. So of several in a path the least rated opens; which of two that are rated
// alike is a race. What is shorted even with all of them open has nothing to protect it and
// collapses.
func (w *worker) clearShort() {
	closed := slices.Clone(w.st.Closed)
	for _, f := range w.p.fuses {
		w.turn(f, false)
	}
	w.solveFeeds()
	if unprotected := w.live.Shorts(); len(unprotected) > 0 {
		for _, s := range unprotected {
			w.collapse(s)
		}
		copy(w.st.Closed, closed)
		return
	}
	for _, i := range w.ranked() {
		f := w.p.fuses[i]
		if !f.closed(closed) || w.o.opensAll(f.poles) {
			for _, c := range f.poles {
				w.st.Closed[c] = closed[c]
			}
			continue
		}
		w.turn(f, true)
		w.solveFeeds()
		if len(w.live.Shorts()) > 0 {
			w.turn(f, false)
			w.blown[i] = true
			w.raced = w.raced || w.p.twin(i)
		}
	}
}

// ranked gives the protective devices, the greatest rating first, and of those rated alike
// the one first that a race leaves whole.
func (w *worker) ranked() []int {
	order := make([]int, len(w.p.fuses))
	for i := range order {
		order[i] = i
	}
	if w.reverse {
		slices.Reverse(order)
		slices.SortStableFunc(order,
			func(a, b int) int { return cmp.Compare(w.p.fuses[b].equal, w.p.fuses[a].equal) })
	}
	return order
}

// twin tells whether another protective device is rated as one.
func (p *Panel) twin(fuse int) bool {
	for i, f := range p.fuses {
		if i != fuse && f.equal == p.fuses[fuse].equal {
			return true
		}
	}
	return false
}

// collapse holds a shorted source down, and with it those that it works against: the
// sources before it that lead from its hot side to its return with no load in between.
func (w *worker) collapse(s network.Source) {
	search := joined.Search[network.Node, network.Source]{
		Beside: func(at network.Node, lead func(network.Node, network.Source, int)) {
			for other := network.Source(1); other < s; other++ {
				if slices.Contains(w.o.OpenSources, other) || slices.Contains(w.live.Shorts(), other) {
					continue
				}
				p := w.p.Net.Source(other)
				switch a, b := w.live.Super(p.Hot), w.live.Super(p.Return); at {
				case a:
					lead(b, other, 1)
				case b:
					lead(a, other, 1)
				}
			}
		},
	}
	p := w.p.Net.Source(s)
	search.From(w.live.Super(p.Hot), 0)
	against, _ := search.Way(w.live.Super(p.Return))
	for _, s := range slices.Backward(append(against, s)) {
		if !slices.Contains(w.collapsed, s) {
			w.collapsed = append(w.collapsed, s)
		}
	}
}

// overload opens the protective device whose current exceeds its rating the most, as
// a share of it; it reports whether one opened. The current through a closed link is
// that of a short laid across it while it is open.
func (w *worker) overload() bool {
	worst, most := -1, 1.0
	for i, f := range w.p.fuses {
		if f.amps == 0 || f.amps >= w.most || !f.closed(w.st.Closed) || w.o.opensAll(f.poles) {
			continue
		}
		share := w.current(f) / f.amps
		if w.used != nil {
			w.used[i] = max(w.used[i], share)
			continue
		}
		share, depends := w.p.overload(i, share*f.amps, w.o.Temper)
		w.depends = w.depends || depends
		alike := worst >= 0 && math.Abs(share-most) <= 1e-9*most
		w.raced = w.raced || alike
		if share > most*(1+1e-9) || alike && w.reverse {
			worst, most = i, share
		}
	}
	if worst < 0 {
		return false
	}
	f := w.p.fuses[worst]
	if w.carried == nil {
		w.carried = make(map[int]float64)
	}
	w.carried[worst] = most * f.amps
	w.turn(f, false)
	w.blown[worst] = true
	return true
}

// overload is the share of its rating with which a protective device is taken to be loaded by a
// current, with parts of a temper, and tells whether it depends on those.
func (p *Panel) overload(fuse int, amps float64, t Temper) (share float64, depends bool) {
	share = amps / p.fuses[fuse].amps
	if share <= 1/currentSpan || share >= currentSpan || share <= usually*p.used()[fuse] {
		return share, false
	}
	switch t {
	case Eager:
		share *= currentSpan
	case Reluctant:
		share /= currentSpan
	case AsTable:
	}
	return share, true
}

// usually is the factor by which the current through a protective device has to exceed what
// it carries in the good circuit before anybody asks whether it opens: its rating was chosen
// for that. Common practice, no source.
const usually = 1.2

// usedShares gives, by protective device, the greatest share of its rating that it carries in
// the good circuit.
func (p *Panel) usedShares() []float64 {
	used := make([]float64, len(p.fuses))
	w := newWorker(p, &Overlay{})
	w.used = used
	w.settle()
	for i := range p.Circuit.Steps {
		w.step(&p.Circuit.Steps[i])
	}
	return used
}

// turn puts all poles of a protective device.
func (w *worker) turn(f fuse, closed bool) {
	for _, c := range f.poles {
		w.st.Closed[c] = closed
	}
}

// opensAll tells whether an overlay holds all of some conductors open.
func (o *Overlay) opensAll(poles []network.Conductor) bool {
	return !slices.ContainsFunc(poles, func(c network.Conductor) bool { return !slices.Contains(o.Open, c) })
}

// current is that through a protective device as things stand, the most of its poles.
func (w *worker) current(f fuse) (amps float64) {
	for _, c := range f.poles {
		amps = math.Max(amps, w.through(c))
	}
	return amps
}

// through is the current through a pole as things stand.
func (w *worker) through(pole network.Conductor) float64 {
	if !w.st.Closed[pole] || slices.Contains(w.o.Open, pole) {
		return 0
	}
	if ohms, bad := w.o.Joint(pole); bad {
		a, b := w.p.Net.Ends(pole)
		volts, _ := w.live.Between(a, b)
		return volts / ohms
	}
	if amps, ok := w.live.Through(pole, w.st.Closed, &w.o.Overlay); ok {
		return amps
	}
	w.st.Closed[pole] = false
	without := w.p.Net.Live(w.st, &w.o.Overlay)
	w.st.Closed[pole] = true
	return without.Current(w.p.Net.Ends(pole))
}
