package diagnose

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// CheckOut is what proves a new build before power is first put on: ohms checks that
// together read otherwise for every wiring fault that ohms can show.
type CheckOut struct {
	// Parts are made in their order. Those for which a wire is lifted come first: what
	// follows proves that it is landed again, but for the terminals in Tug.
	Parts []CheckOutPart
	// Faults is the number of wiring faults that were thought of.
	Faults int
	// Unseen are those that none of the checks considered shows for certain.
	Unseen []UnseenFault
	// Ungrounded is set where the circuit has no bonded metalwork, so that nothing is
	// proved against it.
	Ungrounded bool
}

// CheckOutOptions say what checks there may be.
type CheckOutOptions struct {
	// NoLifting leaves out those for which a wire is lifted. What they alone show is then
	// among the unseen.
	NoLifting bool
	// Rung gives the rung that a terminal is drawn on, 0 for none; checks are made in their
	// order. Without it all are on none.
	Rung func(circuits.Terminal) int
}

// Checks gives all checks in the order in which they are made.
func (c CheckOut) Checks() []OutCheck {
	var all []OutCheck
	for _, p := range c.Parts {
		all = append(all, p.Checks...)
	}
	return all
}

// Agrees tells whether a reading of the check is that of a good circuit.
func (c OutCheck) Agrees(r log.Reading) bool { return r.Value >= c.Low && r.Value <= c.High }

// CheckOutPart is a set of checks of one sort. Each part shows the faults that those sorts
// which are less trouble cannot show.
type CheckOutPart struct {
	Sort   CheckOutSort
	Checks []OutCheck // in rung order
	Faults int        // that it is there for
	// Bound is a proved lower bound on how many checks of the sort show these; they are
	// the fewest where it is their number.
	Bound int
}

// Fewest tells whether the checks are proved to be the fewest.
func (p *CheckOutPart) Fewest() bool { return p.Bound == len(p.Checks) }

// CheckOutSort is how much trouble a check is.
type CheckOutSort int

const (
	LiftedOut CheckOutSort = iota // wires lifted off a terminal
	PlainOut                      // operators as in the first step, nothing lifted
	HeldOut                       // operators held as in another step
)

// OutCheck is one check of a check-out.
type OutCheck struct {
	Check     log.Check
	Usual     log.Reading
	Low, High float64  // the readings that agree; High is OL where OL agrees
	Through   []string // devices between the leads, from red to black
	Rung      int      // the later one of the two leads' rungs; 0 if they are on none
	Shows     int      // how many of the faults it shows
	// Tug are those terminals with lifted wires of which no check that follows shows for
	// certain that every wire is landed again.
	Tug []circuits.Terminal
}

// UnseenFault is a wiring fault that the checks do not show.
type UnseenFault struct {
	Text string
	// Near is set where a reading changes, but by no more than coils differ from their
	// rated ohms.
	Near bool
}

// outFault is one wiring fault.
type outFault struct {
	text    string
	overlay work.Overlay
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

// CheckOut chooses the checks. It considers every fault of the model that is a mistake of
// wiring: an open wire or bridge, a wire end on another terminal, exchanged wires, a wire
// number to ground; and any two wire numbers that touch, wherever they run. A fault counts
// as shown where no reading that agrees with the good circuit agrees with it, whatever its
// coils are within their tolerance.
func (m *Model) CheckOut(o CheckOutOptions) CheckOut {
	faults, ungrounded := m.wiringFaults()
	out := CheckOut{Faults: len(faults), Ungrounded: ungrounded}
	if o.Rung == nil {
		o.Rung = func(circuits.Terminal) int { return 0 }
	}
	left := make([]int, len(faults))
	for i := range left {
		left[i] = i
	}
	part := func(sort CheckOutSort, tries []log.Located) {
		if len(left) == 0 || len(tries) == 0 {
			return
		}
		shows := m.showing(tries, faults, left)
		cover := split.FewestTests(shows, coverPositions)
		p := CheckOutPart{Sort: sort, Bound: cover.Bound}
		count := make([]int, len(tries))
		for _, s := range shows {
			for _, t := range s {
				count[t]++
			}
		}
		for _, t := range cover.Tests {
			c := m.outCheck(tries[t], o.Rung)
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
		slices.SortStableFunc(p.Checks, func(a, b OutCheck) int {
			return cmp.Or(cmp.Compare(m.panel.Circuit.Step(a.Check.Step), m.panel.Circuit.Step(b.Check.Step)), cmp.Compare(a.Rung, b.Rung))
		})
		if len(p.Checks) > 0 {
			out.Parts = append(out.Parts, p)
		}
	}
	pairs := m.outPairs()
	part(PlainOut, m.ohmsAt(0, pairs))
	var held []log.Located
	for step := range m.good {
		if step > 0 && m.book.Held(step) == step {
			held = append(held, m.ohmsAt(step, pairs)...)
		}
	}
	part(HeldOut, held)
	if !o.NoLifting {
		lifted := m.liftedPairs()
		part(LiftedOut, slices.Concat(lifted, m.withoutSupply(m.ohmsAt(0, pairs)), m.withoutSupply(lifted)))
	}
	slices.SortStableFunc(out.Parts, func(a, b CheckOutPart) int { return cmp.Compare(a.Sort, b.Sort) })
	m.landedAgain(out.Parts)
	for _, i := range left {
		out.Unseen = append(out.Unseen, UnseenFault{Text: faults[i].text, Near: m.near(pairs, faults[i])})
	}
	return out
}

// showing gives, for each of some faults, the checks that show it: indices into tries,
// rising. Only checks at points that a fault moves are looked at.
func (m *Model) showing(tries []log.Located, faults []outFault, which []int) [][]int32 {
	type way struct { // checks in one condition
		step   int
		lifted []circuits.Terminal
		good   *network.Off
		all    []int32
		byNode map[network.Node][]int32
	}
	var ways []*way
	index := make(map[string]*way)
	usual := make([]band, len(tries)) // what agrees with the good circuit
	rated := make([]float64, len(tries))
	good := m.offs(Good)
	for i, l := range tries {
		key := fmt.Sprint(l.Step, l.Lifted)
		w := index[key]
		if w == nil {
			w = &way{step: l.Step, lifted: l.Lifted, byNode: make(map[network.Node][]int32)}
			w.good = good.solve(l.Step, l.Lifted, &good.whole)
			index[key] = w
			ways = append(ways, w)
		}
		ohms, firm := w.good.Ohms(l.A, l.B)
		rated[i], usual[i] = ohms, ohmsBand(ohms)
		if firm {
			w.all = append(w.all, int32(i))
			w.byNode[l.A] = append(w.byNode[l.A], int32(i))
			w.byNode[l.B] = append(w.byNode[l.B], int32(i))
		}
	}
	out := make([][]int32, len(which))
	type space struct {
		stamp []int32
		offs  *offSpace
	}
	spaces := func() space { return space{make([]int32, len(tries)), m.offSpace()} }
	share(context.Background(), len(which), spaces, func(s space, k int) {
		f := &faults[which[k]]
		own := m.offsOf(f.overlay).in(s.offs)
		for _, w := range ways {
			ohmsWith := own.whole.local.Ohms
			nodes, ok := []network.Node(nil), true
			if own.small(w.step, w.lifted, &own.whole) {
				nodes = own.whole.local.Nodes()
			} else {
				off := own.solve(w.step, w.lifted, &own.whole)
				ohmsWith = off.Ohms
				nodes, ok = w.good.Differing(off)
			}
			look := func(checks []int32) {
				for _, i := range checks {
					if s.stamp[i] == int32(k+1) {
						continue
					}
					s.stamp[i] = int32(k + 1)
					ohms, firm := ohmsWith(tries[i].A, tries[i].B)
					if ohms == rated[i] {
						continue
					}
					if b := ohmsBand(ohms); firm && (b.high < usual[i].low || usual[i].high < b.low) {
						out[k] = append(out[k], i)
					}
				}
			}
			if !ok {
				look(w.all)
				continue
			}
			for _, n := range nodes {
				look(w.byNode[n])
			}
		}
		slices.Sort(out[k])
	})
	return out
}

// landedAgain finds the terminals of each check whose lifted wires no later check proves to
// be landed again.
func (m *Model) landedAgain(parts []CheckOutPart) {
	var all []*OutCheck
	for i := range parts {
		for k := range parts[i].Checks {
			all = append(all, &parts[i].Checks[k])
		}
	}
	lastShown := make(map[network.Conductor]int) // the last check that shows a wire left off
	for i, c := range all {
		for _, t := range c.Check.Lifted {
			for _, w := range m.panel.Landings(m.panel.Node(t)) {
				if _, done := lastShown[w]; !done {
					lastShown[w] = m.lastShowing(all, work.Overlay{Overlay: network.Overlay{Open: []network.Conductor{w}}})
				}
				if lastShown[w] <= i && !slices.Contains(c.Tug, t) {
					c.Tug = append(c.Tug, t)
				}
			}
		}
	}
}

// lastShowing gives the last of the checks that a fault makes disagree; -1 if none.
func (m *Model) lastShowing(checks []*OutCheck, fault work.Overlay) int {
	bad := m.offsOf(fault)
	for i := len(checks) - 1; i >= 0; i-- {
		l, err := m.book.Locate(checks[i].Check)
		if err != nil {
			continue // cannot be: it was made here
		}
		if r := bad.readWith(l, &bad.whole); r.Firm && !checks[i].Agrees(r) {
			return i
		}
	}
	return -1
}

// near tells whether a fault changes a reading so that it does not agree with the good
// circuit at rated ohms.
func (m *Model) near(pairs []pair, f outFault) bool {
	good := m.offs(Good)
	own := m.offsOf(f.overlay)
	for _, p := range pairs {
		l := log.Located{Kind: log.Ohms, A: p.a, B: p.b}
		a, b := good.readWith(l, &good.whole), own.readWith(l, &own.whole)
		if a.Firm && b.Firm && !ohmsBand(a.Value).holds(b.Value) {
			return true
		}
	}
	return false
}

// outCheck gives a check with all that a sheet says of it.
func (m *Model) outCheck(l log.Located, rung func(circuits.Terminal) int) OutCheck {
	r := m.offs(Good).read(l)
	b := ohmsBand(r.Value)
	c := OutCheck{Check: m.book.Check(l), Usual: r, Low: b.low, High: b.high,
		Rung: max(rung(m.panel.Terminal(l.A)), rung(m.panel.Terminal(l.B)))}
	if r.Value < OpenFrom {
		c.Through = m.through(l)
	}
	return c
}
