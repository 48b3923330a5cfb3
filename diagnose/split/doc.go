// Package split chooses tests, and does nothing else. It knows hypotheses with priors, tests with
// costs, and the outcome that each hypothesis gives on each test, and says which test to make next,
// what a way of choosing will cost, and what the best possible way would cost. It knows no
// circuits.
//
//	b := split.NewBuilder(hypotheses)
//	t := b.AddTest(usual, outcomes, []split.Exception{{Hypothesis: h, Outcome: o}})
//	table, err := b.Build()
//	p := &split.Problem{Table: table, Prior: priors, Group: groups, Costs: costs}
//
//	choices := p.Next(left, mode, split.Options{Most: 5})         what next, the best five
//	tree, err := p.Evaluate(mode, p.Policy(split.Options{}))      the whole chart, and what it costs
//	best := p.Optimum(mode, split.Search{})                       the best chart there is, and a proof
//
// # The table
//
// On a large panel a fault changes a few dozen readings out of hundreds of thousands. A table
// therefore holds, for each test, the usual outcome, which is that of the good circuit and of most
// hypotheses, and the exceptions: by row, to judge all tests when much is left, and by column, to
// judge only tests on which what is left can differ when little is left. Here are four hypotheses
// and three tests; a dot is the usual outcome:
//
//	             h0  h1  h2  h3        rows, by test       columns, by hypothesis
//	t0  usual 0   .   1   1   .        h1=1 h2=1           h0: t2=1
//	t1  usual 0   .   .   1   *        h2=1 h3=*           h1: t0=1
//	t2  usual 2   1   .   .   .        h0=1                h2: t0=1 t1=1
//	                                                       h3: t1=*
//
// A fault that leaves a whole panel dead has a long column, and so has every other fault that does.
// Such hypotheses share a pattern of answers, which is kept once; what each of them holds is the
// exceptions to its pattern (pattern.go). All that follows one pattern is added up at once
// (sharing.go).
//
// The star is Any: h3 leaves t1 open, as a floating conductor does that a meter reads as anything.
// Such a hypothesis stays possible whatever the answer is. It is in every part, its weight shared
// over them in proportion to what the others weigh there, and the answer tells nothing about it:
// with all weights equal, t1 parts {h0 h1 | h2} and h3 is in both, so that it tells three quarters
// of what that split tells.
//
// # One step
//
// The gain of a test is what its answer tells, on average, about which group is true: with q the
// distribution of answers and H entropy in bits,
//
//	gain = H(q) - sum over groups g of P(g) H(q given g)
//
// where the second term is 0 but for groups whose hypotheses do not all answer alike and for
// undecided ones. A scan adds up, test by test, the weights of the exceptions that are left, and
// gives the rest to the usual outcome; it goes through rows or columns, whichever hold less. So a
// choice takes time in proportion to all exceptions of the table at most, and to the exceptions of
// what is left if that is less: some 30 ms for the first choice among 200 000 tests with 30
// exceptions each, under 1 ms with a hundred hypotheses left. Rows are shared out to all
// processors; the order of tests is total, so that the answer is the same on any number of them.
//
// # Looking ahead
//
// The best gain by one step is within a factor of order log n of the optimum, and no rule that
// works in polynomial time does better in general (L. Hyafil, R. Rivest, Constructing optimal
// binary decision trees is NP-complete, 1976; V. Chakaravarthy and others). Gain per cost can be
// arbitrarily bad when costs differ (M. Garey, R. Graham, Performance bounds on the splitting
// algorithm for binary testing, 1974); rollout, which compares the best few tests by what the work
// would cost with each if one step chose ever after, repairs most of it (F. Tu, K. Pattipati,
// Rollout strategies for sequential fault diagnosis, 2003; with modes and switching costs S. Ruan
// and others, 2004). More turns are rollout upon rollout. Neither is ever worse than one step,
// because one step's own choice is among those tried.
//
// # The optimum
//
// Optimum searches positions, a position being what is left and the mode. A move is a test, and
// leads to one position for each answer; the cost of a position is that of its best move, the cost
// of a move its own plus the mean, or the worst, of where it leads. It goes depth first, the move
// with the lowest bound first, with a limit that the work must stay under, and keeps for each
// position the best bounds seen, so that none is worked out twice. Of tests that part a position
// alike it looks at the cheapest alone, here and at all that follows. How positions are bounded is
// told in limits.go. Tables of relay circuits with 50 to 65 groups and some hundred different tests
// are proved in 50 000 to 600 000 positions, which is one second to half a minute.
package split
