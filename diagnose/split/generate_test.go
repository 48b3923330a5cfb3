package split

import (
	"math/rand/v2"
)

// relayPanel makes a problem of the shape that relay control circuits give: rungs in parallel
// behind a common feed, each a chain of wires and contacts with a load at its end; faults are
// opens, contacts that stay closed and shorted loads; tests are looks at loads and volts in several
// steps, and ohms with the power off. Faults that no test tells apart are one hypothesis.
func relayPanel(r *rand.Rand, rungs, contacts, steps int) *Problem {
	const wire, contact, load = 0, 1, 2
	type element struct {
		kind   int
		closed []bool // a contact's position by step, the last one with the power off
		relay  int    // the rung whose load moves the contact; -1 is none
	}
	feed := 3 // fuse, stop button and the wire between
	var chains [][]element
	for g := range rungs {
		chain := []element{{kind: wire}}
		for i := range 1 + r.IntN(contacts) {
			c := element{kind: contact, relay: -1}
			if g > 0 && i == 0 && r.IntN(4) > 0 {
				c.relay = max(0, g-1-r.IntN(2))
			}
			for s := range steps + 1 {
				c.closed = append(c.closed, s == 0 || r.IntN(3) > 0)
			}
			chain = append(chain, c, element{kind: wire})
		}
		chains = append(chains, append(chain, element{kind: load}, element{kind: wire}))
	}
	type fault struct {
		rung, at int // rung -1 is the feed
		kind     int
		weight   float64
	}
	const opened, shut = 0, 1
	faults := []fault{}
	for i := range feed {
		faults = append(faults, fault{-1, i, opened, []float64{4, 3, 1.3}[i]})
	}
	for g, chain := range chains {
		for i, e := range chain {
			switch e.kind {
			case wire:
				faults = append(faults, fault{g, i, opened, 1.3})
			case contact:
				faults = append(faults, fault{g, i, opened, 3}, fault{g, i, shut, 0.7})
			case load:
				faults = append(faults, fault{g, i, opened, 2}, fault{g, i, shut, 0.3})
			}
		}
	}
	n := len(faults)
	var columns [][]Outcome // by test, by fault; the good circuit last
	add := func(says func(f fault) Outcome) {
		c := make([]Outcome, n+1)
		for i, f := range faults {
			c[i] = says(f)
		}
		c[n] = says(fault{rung: -2})
		columns = append(columns, c)
	}
	live := func(f fault) bool {
		return f.rung != -1 && !(f.rung >= 0 && f.kind == shut && chains[f.rung][f.at].kind == load)
	}
	var open func(f fault, g, i, s int) bool
	pulled := func(f fault, g, s int) bool {
		for i := range chains[g] {
			if open(f, g, i, s) || f.rung == g && f.at == i && chains[g][i].kind == load {
				return false
			}
		}
		return live(f) && s < steps
	}
	open = func(f fault, g, i, s int) bool {
		e := chains[g][i]
		switch {
		case f.rung == g && f.at == i:
			return f.kind == opened
		case e.kind != contact:
			return false
		case e.relay >= 0:
			return !pulled(f, e.relay, s)
		}
		return !e.closed[s]
	}
	// node says what a meter reads from before element i of a rung to the grounded side: 1 full, 0 nothing.
	node := func(f fault, g, i, s int) Outcome {
		if !live(f) {
			return 0
		}
		before, after := false, false
		for j := range chains[g] {
			if open(f, g, j, s) {
				if j < i {
					before = true
				} else {
					after = true
				}
			}
		}
		loadAt := len(chains[g]) - 2
		switch {
		case before && after:
			return Any
		case before:
			return 0
		case after:
			return 1
		case i <= loadAt:
			return 1
		}
		return 0
	}
	for s := range steps {
		for g, chain := range chains {
			add(func(f fault) Outcome { // look
				if !live(f) {
					return 0
				}
				for i := range chain {
					if open(f, g, i, s) {
						return 0
					}
				}
				return 1
			})
			for i := range chain {
				add(func(f fault) Outcome { return node(f, g, i, s) })
				for _, far := range []int{i + 1, i + 2, len(chain) - 1} {
					if far < len(chain) {
						add(func(f fault) Outcome {
							a, b := node(f, g, i, s), node(f, g, far, s)
							switch {
							case a == Any || b == Any:
								return Any
							case a != b:
								return 1
							}
							return 0
						})
					}
				}
			}
		}
	}
	for i := range feed {
		add(func(f fault) Outcome { // volts along the feed
			if f.rung == -1 && f.at <= i || !live(f) {
				return 0
			}
			return 1
		})
	}
	for g, chain := range chains {
		for i := range chain {
			for _, far := range []int{i + 1, len(chain)} {
				add(func(f fault) Outcome { // ohms: 0 closed, 1 the load's, 2 open
					o := Outcome(0)
					for j := i; j < far; j++ {
						if open(f, g, j, steps) {
							return 2
						}
						if chain[j].kind == load && !(f.rung == g && f.at == j && f.kind == shut) {
							o = 1
						}
					}
					return o
				})
			}
		}
	}
	// Faults alike in every test are one.
	known := make(map[string]int)
	var kept []int
	var prior []float64
	for i := range faults {
		key := make([]byte, len(columns))
		for t, c := range columns {
			key[t] = byte(c[i] + 1)
		}
		at, ok := known[string(key)]
		if !ok {
			at = len(kept)
			known[string(key)] = at
			kept = append(kept, i)
			prior = append(prior, 0)
		}
		prior[at] += faults[i].weight
	}
	b := NewBuilder(len(kept))
	for _, c := range columns {
		var list []Exception
		for at, i := range kept {
			list = append(list, Exception{Hypothesis(at), c[i]})
		}
		b.AddTest(c[n], 3, list)
	}
	table, err := b.Build()
	if err != nil {
		panic(err)
	}
	return &Problem{Table: table, Prior: prior}
}

// mustTable builds a table of tests that are given as the outcomes of all hypotheses.
func mustTable(hypotheses int, tests [][]Outcome) *Table {
	b := NewBuilder(hypotheses)
	for _, says := range tests {
		outcomes := Outcome(0)
		list := make([]Exception, hypotheses)
		for h, o := range says {
			list[h] = Exception{Hypothesis(h), o}
			outcomes = max(outcomes, o)
		}
		b.AddTest(says[0], int(outcomes)+1, list)
	}
	table, err := b.Build()
	if err != nil {
		panic(err)
	}
	return table
}

// chain makes a problem of items in line, with a test at every cut point.
func chain(weights ...float64) *Problem {
	var tests [][]Outcome
	for cut := 1; cut < len(weights); cut++ {
		says := make([]Outcome, len(weights))
		for i := cut; i < len(weights); i++ {
			says[i] = 1
		}
		tests = append(tests, says)
	}
	return &Problem{Table: mustTable(len(weights), tests), Prior: weights}
}

// allSplits makes a problem where every split in two is a test.
func allSplits(weights ...float64) *Problem {
	n := len(weights)
	var tests [][]Outcome
	for set := 1; set < 1<<(n-1); set++ {
		says := make([]Outcome, n)
		for i := range n {
			says[i] = Outcome(set >> i & 1)
		}
		tests = append(tests, says)
	}
	return &Problem{Table: mustTable(n, tests), Prior: weights}
}

// coins makes the problem of the one coin among n that is too heavy or too light, to be found with a balance:
// hypothesis 2i is that coin i is heavy, 2i+1 that it is light.
func coins(n int) *Problem {
	var tests [][]Outcome
	pans := make([]int, n) // 0 off the balance, 1 left, -1 right
	var weigh func(i, first, balance int)
	weigh = func(i, first, balance int) {
		switch {
		case max(balance, -balance) > n-i:
			return
		case i < n:
			for _, pan := range []int{0, 1, -1} {
				if pan == -1 && first == 0 {
					continue // the other way round is the same weighing
				}
				pans[i] = pan
				weigh(i+1, first|pan, balance+pan)
			}
			return
		case first == 0:
			return
		}
		says := make([]Outcome, 2*n)
		for c, pan := range pans {
			says[2*c], says[2*c+1] = Outcome(1+pan), Outcome(1-pan)
		}
		tests = append(tests, says)
	}
	weigh(0, 0, 0)
	p := &Problem{Table: mustTable(2*n, tests), Prior: make([]float64, 2*n)}
	for h := range p.Prior {
		p.Prior[h] = 1
	}
	return p
}

// listCosts is a cost for each test, whatever the mode.
type listCosts []float64

func (c listCosts) Cost(from Mode, t Test) (float64, Mode) { return c[t], from }

// randomProblem makes a problem with several outcomes, and with groups and undecided hypotheses if
// wanted. Tests are sparse, with few exceptions, or dense, by turns.
func randomProblem(r *rand.Rand, hypotheses, tests int, grouped, open bool) *Problem {
	b := NewBuilder(hypotheses)
	for t := range tests {
		outcomes := 2 + r.IntN(3)
		draw := func() Outcome {
			if open && r.IntN(4) == 0 {
				return Any
			}
			return Outcome(r.IntN(outcomes))
		}
		var exceptions []Exception
		for h := range hypotheses {
			if r.IntN(2+t%2*4) == 0 {
				exceptions = append(exceptions, Exception{Hypothesis(h), draw()})
			}
		}
		usual := draw()
		if t%2 == 1 {
			usual = 0
		}
		b.AddTest(usual, outcomes, exceptions)
	}
	table, err := b.Build()
	if err != nil {
		panic(err)
	}
	p := &Problem{Table: table, Prior: make([]float64, hypotheses)}
	for h := range hypotheses {
		p.Prior[h] = 0.05 + r.Float64()
	}
	if grouped {
		p.Group = make([]int32, hypotheses)
		for h := range hypotheses {
			p.Group[h] = int32(r.IntN(hypotheses/2 + 1))
		}
	}
	return p
}
