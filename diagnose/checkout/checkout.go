// Package checkout chooses what proves a new build before power is first put on: the ohms
// checks that show every mistake of wiring, and the order in which the power then comes on.
//
// A model goes in, of which only the panel, the faults of wiring and what an ohmmeter shows
// are asked; a [Plan] comes out. The fewest checks are chosen by package split.
//
// The checks come in three parts, each for the faults that the easier ones cannot show: nothing
// lifted and operators as in the first step; operators held otherwise; wires lifted off a
// terminal, or off two where one is of an electronic supply or sensor. A fault counts as shown only where
// no ohms within the coils' tolerance hide it, and the plan is proved for one fault at a time.
// Numbers that a mated plug joins, or that are both bonded, count as one.
package checkout

import (
	"cmp"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// Plan is a check-out: ohms checks that together read otherwise for every wiring fault that ohms can show.
type Plan struct {
	// Parts are made in their order. Those for which a wire is lifted come first: what
	// follows proves that it is landed again, but for the terminals in Tug.
	Rounds []Round
	// Faults is the number of wiring faults that were thought of.
	Faults int
	// Unseen are those that none of the checks considered shows for certain.
	Unseen []Unseen
	// Ungrounded is set where the circuit has no bonded metalwork, so that nothing is
	// proved against it.
	Ungrounded bool
}

// Options say how the checks are put.
type Options struct {
	// Rung gives the rung that a terminal is drawn on, 0 for none; checks at one place are made in
	// their order. Without it all are on none.
	Rung func(circuits.Terminal) int
}

// Checks gives all checks in the order in which they are made.
func (p Plan) Checks() []Check {
	var all []Check
	for i := range p.Rounds {
		all = append(all, p.Rounds[i].Checks...)
	}
	return all
}

// Agrees tells whether a reading of the check is that of a good circuit.
func (c Check) Agrees(r log.Reading) bool { return r.Value >= c.Low && r.Value <= c.High }

// Round is a set of checks of one sort. Each shows the faults that those sorts
// which are less trouble cannot show.
type Round struct {
	Sort   Sort
	Checks []Check // in the order of a walk: by step, place, cable and rung
	Faults int     // that it is there for
	// Tried is how many checks were chosen from. On a large panel that is not every pair of terminals.
	Tried int
	// Bound is a proved lower bound on how many of these show the faults; the checks are the
	// fewest of them where it is their number.
	Bound int
}

// Fewest tells whether the checks are proved to be the fewest of those that were tried.
func (p *Round) Fewest() bool { return p.Bound == len(p.Checks) }

// Sort is how much trouble a check is.
type Sort int

const (
	Lifted Sort = iota // wires lifted off a terminal
	Plain              // operators as in the first step, nothing lifted
	Held               // operators held as in another step
)

// Check is one check of a check-out.
type Check struct {
	Check     log.Check
	Usual     log.Reading
	Low, High float64  // the readings that agree; High is OL where OL agrees
	Through   []string // devices between the leads, from red to black
	Ends      [2]End   // where the leads go, red first
	Lifted    []End    // off which every wire is lifted
	Area      int      // the place where it is made, as the book numbers places that count as one
	Rung      int      // the later one of the two leads' rungs; 0 if they are on none
	Shows     int      // how many of the faults it shows
	// Tug are those terminals with lifted wires of which no check that follows shows for
	// certain that every wire is landed again.
	Tug []circuits.Terminal
}

// Unseen is a wiring fault that the checks do not show.
type Unseen struct {
	Text string
	// Near is set where a reading changes, but by no more than coils differ from their
	// rated ohms.
	Near bool
}

// fault is one wiring fault.
type fault struct {
	text    string
	overlay work.Overlay
	touch   bool // of two wire numbers, and nothing else
}

// Limits of the search.
const (
	// manyPoints is the number of landed terminals above which not every pair of them is
	// considered, but those that a check-out mostly uses.
	manyPoints = 100
	// coverPositions bounds the search for the fewest checks.
	coverPositions = 300000
	// farPoints is how many points of a wire number whose wire is lifted are considered.
	farPoints = 12
)

// planner is what the choosing asks of a panel again and again.
type planner struct {
	model *diagnose.Model
	panel *work.Panel
	book  *log.Book
	own   []network.Source   // by node: the source that it belongs to
	good  *diagnose.Ohmmeter // what is foretold of the good circuit
}

func newPlanner(m *diagnose.Model) *planner {
	return &planner{m, m.Panel(), m.Book(), m.Panel().SourcesOf(), m.Ohmmeter(work.Overlay{})}
}

// Of chooses the checks. It considers every fault of the model that is a mistake of
// wiring: an open wire or bridge, a wire end on another terminal, exchanged wires, a wire
// number to ground; and any two wire numbers that touch, wherever they run. A fault counts
// as shown where no reading that agrees with the good circuit agrees with it, whatever its
// coils are within their tolerance.
func Of(m *diagnose.Model, o Options) Plan {
	pl, meter := newPlanner(m), m.Meter(diagnose.Good)
	faults, ungrounded := pl.wiringFaults()
	out := Plan{Faults: len(faults), Ungrounded: ungrounded}
	if o.Rung == nil {
		o.Rung = func(circuits.Terminal) int { return 0 }
	}
	left := make([]int, len(faults))
	for i := range left {
		left[i] = i
	}
	round := func(sort Sort, tries []log.Located) {
		tries = slices.DeleteFunc(tries, func(l log.Located) bool { return !pl.book.Within(l) })
		if len(left) == 0 || len(tries) == 0 {
			return
		}
		shows := pl.showing(tries, faults, left)
		cover := split.FewestTests(shows, coverPositions)
		p := Round{Sort: sort, Tried: len(tries), Bound: cover.Bound}
		count := make([]int, len(tries))
		for _, s := range shows {
			for _, t := range s {
				count[t]++
			}
		}
		for _, t := range cover.Tests {
			c := pl.outCheck(tries[t], meter, o.Rung)
			c.Shows = count[t]
			p.Checks = append(p.Checks, c)
		}
		var still []int
		for i, s := range shows {
			if len(s) == 0 {
				still = append(still, left[i])
			}
		}
		p.Faults = len(left) - len(still)
		left = still
		pl.byWalk(p.Checks)
		if len(p.Checks) > 0 {
			out.Rounds = append(out.Rounds, p)
		}
	}
	pairs := pl.outPairs()
	round(Plain, pl.ohmsAt(0, pairs))
	var held []log.Located
	for step := range pl.panel.Circuit.Steps {
		if step > 0 && pl.book.Held(step) == step {
			held = append(held, pl.ohmsAt(step, pairs)...)
		}
	}
	round(Held, held)
	lifted := pl.liftedPairs()
	round(Lifted, slices.Concat(lifted, pl.withoutElectronics(pl.ohmsAt(0, pairs)), pl.withoutElectronics(lifted)))
	slices.SortStableFunc(out.Rounds, func(a, b Round) int { return cmp.Compare(a.Sort, b.Sort) })
	pl.landedAgain(out.Rounds)
	for _, i := range left {
		out.Unseen = append(out.Unseen, Unseen{Text: faults[i].text, Near: pl.near(pairs, faults[i])})
	}
	return out
}

// outCheck gives a check with all that a sheet says of it.
func (pl *planner) outCheck(l log.Located, meter *diagnose.Meter, rung func(circuits.Terminal) int) Check {
	r, _ := meter.Read(pl.book.Check(l)) // it names what there is
	low, high := pl.model.Band(l, pl.good.Read(l))
	c := Check{Check: pl.book.Check(l), Usual: r, Low: low, High: high,
		Rung: max(rung(pl.panel.Terminal(l.A)), rung(pl.panel.Terminal(l.B)))}
	c.Ends = [2]End{pl.end(c.Check.Ohms[0]), pl.end(c.Check.Ohms[1])}
	for _, t := range c.Check.Lifted {
		c.Lifted = append(c.Lifted, pl.end(t))
	}
	c.Area, _, _ = pl.book.Area(l)
	if r.Value < diagnose.OpenFrom {
		c.Through = pl.through(l)
	}
	return c
}
