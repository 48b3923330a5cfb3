package checkout

import (
	"encoding/binary"
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

	reach  *diagnose.Reach // what the lifting reaches; nil where nothing is lifted, or that is not small
	ground *ground         // with which only the lifting off one terminal is to come; nil where that is not small
	at     network.Node    // that terminal
	nodes  nodeSet         // what that lifting reaches, and where the leads go
}

// ground is a condition that others are, but for the wires lifted off one more terminal: with those of a
// source lifted, each other terminal. What a fault reaches is worked out once for all of them.
type ground struct {
	step   int
	lifted []circuits.Terminal
}

// nodeSet is a set of nodes, a bit for each.
type nodeSet []uint64

func (s nodeSet) add(n network.Node) {
	if i := int(n) / 64; i < len(s) {
		s[i] |= 1 << (n % 64)
	}
}

func (s nodeSet) meets(o nodeSet) bool {
	for i, x := range s {
		if x&o[i] != 0 {
			return true
		}
	}
	return false
}

func (pl *planner) noNodes() nodeSet { return make(nodeSet, pl.panel.Net.Nodes()/64+1) }

// try is a check that may be made, and what agrees with the good circuit. There are many, which are
// gone through often.
type try struct {
	a, b      network.Node
	rated     float64
	low, high float64
}

// ways sorts checks by their conditions.
func (pl *planner) ways(checks []log.Located) ([]*way, []try) {
	var ways []*way
	tries := make([]try, len(checks))
	index := make(map[string]*way)
	for i := range checks {
		l := &checks[i]
		key := fmt.Sprint(l.Step, l.Lifted)
		w := index[key]
		if w == nil {
			w = &way{step: l.Step, lifted: l.Lifted, good: pl.good.Locked(l.Step, l.Lifted),
				byNode: make(map[network.Node][]int32)}
			index[key] = w
			ways = append(ways, w)
		}
		ohms, firm := w.good.Ohms(l.A, l.B)
		low, high := pl.bandOf(ohms)
		tries[i] = try{l.A, l.B, ohms, low, high}
		if firm {
			w.all = append(w.all, int32(i))
			w.byNode[l.A] = append(w.byNode[l.A], int32(i))
			w.byNode[l.B] = append(w.byNode[l.B], int32(i))
		}
	}
	return ways, tries
}

// bandOf gives the readings that agree with computed ohms, wherever they are.
func (pl *planner) bandOf(ohms float64) (low, high float64) {
	return pl.model.Band(log.Located{Kind: log.Ohms}, log.Reading{Kind: log.Ohms, Value: ohms, Firm: true, Known: true})
}

// showing gives, for each of some faults, the checks that show it: indices into checks,
// rising. Only checks at points that a fault moves are looked at, and of numbers whose touching comes
// to the same only one pair is worked.
func (pl *planner) showing(checks []log.Located, faults []fault, which []int) [][]int32 {
	ways, tries := pl.ways(checks)
	same := pl.same(ways, faults, which)
	var overlays []work.Overlay
	var worked []int // by overlay: which fault
	for k, i := range which {
		if same[k] == k {
			overlays = append(overlays, faults[i].overlay)
			worked = append(worked, k)
		}
	}
	pl.reach(ways, tries)
	out := make([][]int32, len(which))
	pl.model.EachOhmmeter(overlays, func(i int, t *diagnose.Ohmmeter) {
		out[worked[i]] = pl.shownBy(t, pl.within(t, &faults[which[worked[i]]], ways), tries)
	})
	for k := range out {
		out[k] = out[same[k]]
	}
	return out
}

// same gives for each fault the first one that no check of some ways tells from it, itself where there
// is none: wire numbers touch that closed contacts join to those of an earlier pair.
func (pl *planner) same(ways []*way, faults []fault, which []int) []int {
	first := make(map[string]int)
	lifted := slices.ContainsFunc(ways, func(w *way) bool { return len(w.lifted) > 0 })
	same := make([]int, len(which))
	for k, i := range which {
		same[k] = k
		if !faults[i].touch || lifted || pl.panel.Keeps() { // with a wire lifted, or with relays that stay, they are not alike
			continue
		}
		touch := faults[i].overlay.Joins[0]
		var key []byte
		for _, w := range ways {
			a, b := w.good.Super(touch[0]), w.good.Super(touch[1])
			key = binary.AppendVarint(binary.AppendVarint(key, int64(min(a, b))), int64(max(a, b)))
		}
		if at, ok := first[string(key)]; ok {
			same[k] = at
		} else {
			first[string(key)] = k
		}
	}
	return same
}

// reach finds what the lifting of each way reaches, and what it has in common with others.
func (pl *planner) reach(ways []*way, tries []try) {
	grounds := make(map[string]*ground)
	pl.model.Survey(func(t *diagnose.Ohmmeter) {
		for _, w := range ways {
			if len(w.lifted) == 0 {
				continue
			}
			reach, ok := t.Locked(w.step, w.lifted).Reach()
			if !ok {
				continue
			}
			w.reach = &reach
			for i, last := range w.lifted {
				rest := slices.Delete(slices.Clone(w.lifted), i, i+1)
				if beside, ok := t.Locked(w.step, rest).Reach(); !ok || !beside.Beside(&reach) {
					continue
				}
				key := fmt.Sprint(w.step, rest)
				if grounds[key] == nil {
					grounds[key] = &ground{w.step, rest}
				}
				w.ground, w.at, w.nodes = grounds[key], pl.panel.Node(last), pl.noNodes()
				for _, n := range reach.Nodes {
					w.nodes.add(n)
				}
				w.nodes.add(w.at) // its wires lead elsewhere, and what touches goes with them
				for _, k := range w.all {
					w.nodes.add(tries[k].a)
					w.nodes.add(tries[k].b)
				}
				break
			}
		}
	})
}

// reached is what a fault reaches on a ground.
type reached struct {
	nodes nodeSet
	reach diagnose.Reach
}

// within gives those of some ways in which a fault can change a reading. These are not the ways where
// the wires that are lifted reach nothing that the fault reaches, and the leads neither, unless one
// of them opens a ring that the other then parts.
func (pl *planner) within(t *diagnose.Ohmmeter, f *fault, ways []*way) []*way {
	known := make(map[*ground]*reached)
	return slices.DeleteFunc(slices.Clone(ways), func(w *way) bool {
		if w.ground == nil {
			return false
		}
		r, done := known[w.ground]
		if !done {
			r = pl.reachedBy(t, f, w.ground)
			known[w.ground] = r
		}
		return r != nil && r.reach.Beside(w.reach) && !r.nodes.meets(w.nodes) &&
			!slices.ContainsFunc(r.reach.Super(w.at), func(n network.Node) bool { return slices.Contains(r.reach.Rings, n) })
	})
}

// reachedBy works out what a fault reaches on a ground; nil where that is not small.
func (pl *planner) reachedBy(t *diagnose.Ohmmeter, f *fault, g *ground) *reached {
	reach, ok := t.Locked(g.step, g.lifted).Reach()
	if !ok {
		return nil
	}
	r := &reached{pl.noNodes(), reach}
	for _, n := range reach.Nodes {
		r.nodes.add(n)
	}
	for _, l := range reach.Loads { // what hangs by one of them may be cut off where else it hangs
		p := pl.panel.Net.Load(l)
		r.nodes.add(p.A)
		r.nodes.add(p.B)
	}
	o := &f.overlay
	for _, c := range o.Open {
		a, b := pl.panel.Net.Ends(c)
		r.nodes.add(a)
		r.nodes.add(b)
	}
	for _, j := range o.Joins {
		r.nodes.add(j[0])
		r.nodes.add(j[1])
	}
	for _, l := range o.Landings {
		a, b := pl.panel.Net.Ends(l.Conductor)
		for _, n := range []network.Node{a, b, l.From, l.To} {
			r.nodes.add(n)
		}
	}
	return r
}

// shownBy gives the checks whose readings with a fault do not agree with the good circuit.
func (pl *planner) shownBy(t *diagnose.Ohmmeter, ways []*way, tries []try) []int32 {
	var shown []int32
	looked := make([]int32, pl.panel.Net.Nodes()+1) // in which way a node was last looked at, from 1
	for at, w := range ways {
		own := t.Locked(w.step, w.lifted)
		look := func(i int32) {
			c := &tries[i]
			ohms, firm := own.Ohms(c.a, c.b)
			if !firm || ohms == c.rated {
				return
			}
			if low, high := pl.bandOf(ohms); high < c.low || c.high < low {
				shown = append(shown, i)
			}
		}
		nodes, ok := own.Differing(w.good, w.reach)
		if !ok {
			for _, i := range w.all {
				look(i)
			}
			continue
		}
		mark := int32(at + 1)
		for _, n := range nodes {
			if len(w.byNode[n]) == 0 {
				continue
			}
			for _, i := range w.byNode[n] {
				if other := tries[i].a + tries[i].b - n; looked[other] != mark {
					look(i)
				}
			}
			looked[n] = mark
		}
	}
	slices.Sort(shown)
	return shown
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
