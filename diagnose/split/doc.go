// Package split chooses tests, and does nothing else: given hypotheses with priors, tests with costs, and the outcome that
// each hypothesis gives on each test, which test should be made next?
//
// Settled for callers (a draft of this page; the methods marked * are still being written):
//
//	b := split.NewBuilder(hypotheses)
//	t := b.AddTest(usual, outcomes, []split.Exception{{h, o}, …})  // split.Any: does not decide
//	table, err := b.Build()
//	p := &split.Problem{Table: table, Prior: …, Group: …, Costs: …}   // p.Check() tells what is wrong
//	choices := p.Next(left, mode, split.Options{Most: 5, PreferDecided: true})
//	choices := p.Next(left, mode, split.Options{Strategy: split.Rollout, Width: 12, Budget: 100_000})  *
//	tree, err := p.Evaluate(mode, p.Policy(split.Options{…}))        * mean, worst, the whole chart
//	best := p.Optimum(mode, split.Search{Budget: …})                 * cost, bound, exact, policy
//	bits := split.Entropy(weights); mean := split.Huffman(weights, 2) *
package split
