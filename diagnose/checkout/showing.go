package checkout

import (
	"fmt"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// way is the checks in one condition.
type way struct {
	step   int
	lifted []circuits.Terminal
	good   diagnose.Locked
	all    []int32
	byNode map[network.Node][]int32
}

// try is a check that may be made, and what agrees with the good circuit.
type try struct {
	log.Located
	rated     float64
	low, high float64
}

// ways sorts checks by their conditions.
func (pl *planner) ways(checks []log.Located) ([]*way, []try) {
	var ways []*way
	tries := make([]try, len(checks))
	index := make(map[string]*way)
	for i, l := range checks {
		key := fmt.Sprint(l.Step, l.Lifted)
		w := index[key]
		if w == nil {
			w = &way{step: l.Step, lifted: l.Lifted, good: pl.good.Locked(l.Step, l.Lifted),
				byNode: make(map[network.Node][]int32)}
			index[key] = w
			ways = append(ways, w)
		}
		ohms, firm := w.good.Ohms(l.A, l.B)
		low, high := pl.bandOf(l, ohms)
		tries[i] = try{l, ohms, low, high}
		if firm {
			w.all = append(w.all, int32(i))
			w.byNode[l.A] = append(w.byNode[l.A], int32(i))
			w.byNode[l.B] = append(w.byNode[l.B], int32(i))
		}
	}
	return ways, tries
}

// bandOf gives the readings that agree with computed ohms.
func (pl *planner) bandOf(l log.Located, ohms float64) (low, high float64) {
	return pl.model.Band(l, log.Reading{Kind: log.Ohms, Value: ohms, Firm: true, Known: true})
}

// showing gives, for each of some faults, the checks that show it: indices into checks,
// rising. Only checks at points that a fault moves are looked at.
func (pl *planner) showing(checks []log.Located, faults []fault, which []int) [][]int32 {
	ways, tries := pl.ways(checks)
	overlays := make([]work.Overlay, len(which))
	for k, i := range which {
		overlays[k] = faults[i].overlay
	}
	out := make([][]int32, len(which))
	pl.model.EachOhmmeter(overlays, func(k int, t *diagnose.Ohmmeter) {
		for _, w := range ways {
			own := t.Locked(w.step, w.lifted)
			look := func(i int32) {
				ohms, firm := own.Ohms(tries[i].A, tries[i].B)
				if !firm || ohms == tries[i].rated {
					return
				}
				if low, high := pl.bandOf(tries[i].Located, ohms); high < tries[i].low || tries[i].high < low {
					out[k] = append(out[k], i)
				}
			}
			nodes, ok := own.Differing(w.good)
			if !ok {
				for _, i := range w.all {
					look(i)
				}
				continue
			}
			looked := make(map[network.Node]bool, len(nodes))
			for _, n := range nodes {
				for _, i := range w.byNode[n] {
					if other := tries[i].A + tries[i].B - n; !looked[other] {
						look(i)
					}
				}
				looked[n] = true
			}
		}
		slices.Sort(out[k])
	})
	return out
}

// landedAgain finds the terminals of each check whose lifted wires no later check proves to
// be landed again.
func (pl *planner) landedAgain(rounds []Round) {
	var all []*Check
	for i := range rounds {
		for k := range rounds[i].Checks {
			all = append(all, &rounds[i].Checks[k])
		}
	}
	lastShown := make(map[network.Conductor]int) // the last check that shows a wire left off
	for i, c := range all {
		for _, t := range c.Check.Lifted {
			for _, w := range pl.panel.Landings(pl.panel.Node(t)) {
				if _, done := lastShown[w]; !done {
					lastShown[w] = pl.lastShowing(all, work.Overlay{Overlay: network.Overlay{Open: []network.Conductor{w}}})
				}
				if lastShown[w] <= i && !slices.Contains(c.Tug, t) {
					c.Tug = append(c.Tug, t)
				}
			}
		}
	}
}

// lastShowing gives the last of the checks that a fault makes disagree; -1 if none.
func (pl *planner) lastShowing(checks []*Check, fault work.Overlay) int {
	bad := pl.model.Ohmmeter(fault)
	for i := len(checks) - 1; i >= 0; i-- {
		l, err := pl.book.Locate(checks[i].Check)
		if err != nil {
			continue // cannot be: it was made here
		}
		if r := bad.Read(l); r.Firm && !checks[i].Agrees(r) {
			return i
		}
	}
	return -1
}

// near tells whether a fault changes a reading so that it does not agree with the good
// circuit at rated ohms.
func (pl *planner) near(pairs [][2]network.Node, f fault) bool {
	own := pl.model.Ohmmeter(f.overlay)
	for _, p := range pairs {
		l := log.Located{Kind: log.Ohms, A: p[0], B: p[1]}
		a, b := pl.good.Read(l), own.Read(l)
		if low, high := pl.model.Band(l, a); a.Firm && b.Firm && (b.Value < low || b.Value > high) {
			return true
		}
	}
	return false
}
