package split

import (
	"fmt"
	"math"
	"slices"
)

// A Tree is all that can come when a policy is followed: a chart of tests and answers. Equal
// positions are one node, so that branches may meet again.
type Tree struct {
	// Nodes are in such an order that branches lead to later ones; the first is the start.
	Nodes []Node
	// Tests and Cost are over all hypotheses: means by prior.
	Tests, Cost Figures
	// By has the same for each hypothesis; both figures are 0 for those without prior.
	By []HypothesisFigures

	table *Table
}

// Figures are a mean and the worst that can come.
type Figures struct{ Mean, Worst float64 }

// HypothesisFigures are the numbers of tests and the costs if one hypothesis is true. The mean and the worst
// differ only where it leaves the answer to a test on its way open.
type HypothesisFigures struct{ Tests, Cost Figures }

// A Node is a position and the test made there.
type Node struct {
	From Mode
	Left []Weighted
	// Probability is how likely the work comes by here.
	Probability float64
	// Test is the test made here and Cost what it costs; -1 at an end.
	Test Test
	Cost float64
	// Branches are the answers, in rising order of outcome.
	Branches []Branch
}

// A Branch is an answer, how likely it is at its node, and the number of the node it leads to.
type Branch struct {
	Outcome     Outcome
	Probability float64
	To          int
}

// Evaluate follows a policy from everything that Prior leaves possible, through every answer, until
// one group is left or the policy has no test to make. It is an error if the policy makes a test
// that parts nothing.
func (p *Problem) Evaluate(from Mode, policy Policy) (*Tree, error) {
	e := evaluation{p: p, policy: policy, nodes: make(map[string]int)}
	if _, err := e.node(p.All(), from); err != nil {
		return nil, err
	}
	t := &Tree{Nodes: e.list, table: p.Table}
	t.sort()
	t.spread()
	t.tally()
	return t, nil
}

type evaluation struct {
	p      *Problem
	policy Policy
	nodes  map[string]int
	list   []Node
	key    []byte
}

// node returns the number of the node for a position, and makes it with all that comes after.
func (e *evaluation) node(left []Weighted, from Mode) (int, error) {
	e.key = e.key[:0]
	for _, l := range left {
		e.key = appendWord(e.key, uint64(l.Hypothesis))
		e.key = appendWord(e.key, math.Float64bits(l.Weight))
	}
	key := string(appendWord(e.key, uint64(uint32(from))))
	if at, ok := e.nodes[key]; ok {
		return at, nil
	}
	at := len(e.list)
	e.nodes[key] = at
	e.list = append(e.list, Node{From: from, Left: left, Test: -1})
	if e.p.oneGroup(left) {
		return at, nil
	}
	test, ok := e.policy(left, from)
	if !ok {
		return at, nil
	}
	cost, then := e.p.cost(from, test)
	parts, after := e.p.divide(left, test)
	if len(parts) < 2 {
		return 0, fmt.Errorf("the policy makes test %d, which does not part the %d hypotheses left",
			test, len(left))
	}
	branches := make([]Branch, len(parts))
	for i, part := range parts {
		to, err := e.node(after[i], then)
		if err != nil {
			return 0, err
		}
		branches[i] = Branch{part.Outcome, part.Probability, to}
	}
	n := &e.list[at]
	n.Test, n.Cost, n.Branches = test, cost, branches
	return at, nil
}

func appendWord(to []byte, w uint64) []byte {
	return append(to, byte(w), byte(w>>8), byte(w>>16), byte(w>>24), byte(w>>32), byte(w>>40),
		byte(w>>48), byte(w>>56))
}

// oneGroup says that no two groups are left.
func (p *Problem) oneGroup(left []Weighted) bool {
	for _, l := range left {
		if p.group(l.Hypothesis) != p.group(left[0].Hypothesis) {
			return false
		}
	}
	return true
}

// sort puts nodes before those that their branches lead to. What is left shrinks with every test,
// or keeps its number with less weight.
func (t *Tree) sort() {
	order := make([]int, len(t.Nodes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := &t.Nodes[i], &t.Nodes[j]
		if d := len(b.Left) - len(a.Left); d != 0 {
			return d
		}
		return len(b.Branches) - len(a.Branches)
	})
	place := make([]int, len(order))
	nodes := make([]Node, len(order))
	for at, i := range order {
		place[i] = at
		nodes[at] = t.Nodes[i]
	}
	for i := range nodes {
		for j := range nodes[i].Branches {
			b := &nodes[i].Branches[j]
			b.To = place[b.To]
		}
	}
	t.Nodes = nodes
}

// spread works out how likely each node is.
func (t *Tree) spread() {
	if len(t.Nodes) > 0 {
		t.Nodes[0].Probability = 1
	}
	for i := range t.Nodes {
		n := &t.Nodes[i]
		for _, b := range n.Branches {
			t.Nodes[b.To].Probability += n.Probability * b.Probability
		}
	}
}

// tally works out the figures.
func (t *Tree) tally() {
	t.By = make([]HypothesisFigures, t.table.Hypotheses())
	total := 0.0
	for _, l := range t.Nodes[0].Left {
		f := t.from(l.Hypothesis, 0, make(map[int]HypothesisFigures))
		t.By[l.Hypothesis] = f
		total += l.Weight
		t.Tests.Mean += l.Weight * f.Tests.Mean
		t.Cost.Mean += l.Weight * f.Cost.Mean
		t.Tests.Worst = max(t.Tests.Worst, f.Tests.Worst)
		t.Cost.Worst = max(t.Cost.Worst, f.Cost.Worst)
	}
	if total > 0 {
		t.Tests.Mean /= total
		t.Cost.Mean /= total
	}
}

// from returns the figures from a node on if a hypothesis is true.
func (t *Tree) from(h Hypothesis, at int, known map[int]HypothesisFigures) HypothesisFigures {
	n := &t.Nodes[at]
	if n.Test < 0 {
		return HypothesisFigures{}
	}
	if f, ok := known[at]; ok {
		return f
	}
	says := t.table.Outcome(n.Test, h)
	var f HypothesisFigures
	for _, b := range n.Branches {
		share := 1.0
		if says == Any {
			share = b.Probability
		} else if says != b.Outcome {
			continue
		}
		g := t.from(h, b.To, known)
		f.Tests.Mean += share * (1 + g.Tests.Mean)
		f.Cost.Mean += share * (n.Cost + g.Cost.Mean)
		f.Tests.Worst = max(f.Tests.Worst, 1+g.Tests.Worst)
		f.Cost.Worst = max(f.Cost.Worst, n.Cost+g.Cost.Worst)
	}
	known[at] = f
	return f
}
