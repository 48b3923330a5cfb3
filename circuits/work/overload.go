package work

import (
	"math"
	"slices"
)

// Whether a fault overloads a protective device is judged by the most that it may add to the
// current there. Only where that is not enough the current is worked out, and what opens is where
// the fault turns off (turnoff.go).

// within tells whether every protective device holds. The one that opens, if any, is in over.
func (f *Follower) within(g *moment) bool {
	if len(g.current) == 0 && f.most == f.p.most {
		return true
	}
	f.added = f.more()
	worst, most, alike := -1, 1.0, false
	known := f.eachDevice(g, func(k int, was float64) bool {
		if !f.doubtful(k, was, f.added) {
			return true
		}
		amps, ok := f.current(f.p.fuses[k])
		if share := f.share(k, amps); share > most*(1+1e-9) {
			worst, most, alike = k, share, false
		} else if worst >= 0 && math.Abs(share-most) <= 1e-9*most {
			alike = true
		}
		return ok
	})
	if known && !alike {
		f.over = worst
	}
	return known && worst < 0
}

// bears tells whether so many amperes more than on the course leave no protective device in doubt.
func (f *Follower) bears(g *moment, more float64) bool {
	return len(g.current) == 0 && f.most == f.p.most ||
		f.eachDevice(g, func(k int, was float64) bool { return !f.doubtful(k, was, more) })
}

// eachDevice visits the protective devices that could be overloaded, and what each carries on the
// course at the most, as long as visit has it go on.
func (f *Follower) eachDevice(g *moment, visit func(k int, was float64) bool) bool {
	i := 0
	for k, fu := range f.p.fuses {
		was := f.p.most // at most so much through those that no load could overload
		switch {
		case fu.amps == 0:
			continue
		case fu.amps < f.p.most:
			was = g.current[i]
			i++
		case fu.amps >= f.most:
			continue
		}
		if !visit(k, was) {
			return false
		}
	}
	return true
}

// doubtful tells whether it takes the current to know that a device holds, and that it would with
// other parts, where that is not known to matter yet.
func (f *Follower) doubtful(k int, was, more float64) bool {
	amps := f.p.fuses[k].amps
	return was+more > amps || !f.depends && was+more*currentSpan > amps ||
		f.o.Temper == Eager && was+more > amps/currentSpan && was+more > usually*f.p.used()[k]*amps
}

// share is by how much a current exceeds the rating of a device, with the parts of the fault.
func (f *Follower) share(k int, amps float64) float64 {
	share, depends := f.p.overload(k, amps, f.o.Temper)
	f.depends = f.depends || depends
	return share
}

// current is that through a device as the fault is solved, the most of its poles. It reports false
// where it cannot be told.
func (f *Follower) current(fu fuse) (most float64, ok bool) {
	for _, c := range fu.poles {
		if ohms, bad := f.o.Joint(c); bad {
			a, b := f.p.Net.Ends(c)
			most = math.Max(most, f.local.Between(a, b)/ohms)
			continue
		}
		if !f.base.Closed(c) || slices.Contains(f.change.Opened, c) {
			continue
		}
		amps, ok := f.local.Through(c, &f.change.Change)
		if !ok {
			return 0, false
		}
		most = math.Max(most, amps)
	}
	return most, true
}
