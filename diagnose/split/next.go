package split

import (
	"math"
	"slices"
)

// A Strategy says how far to look.
type Strategy int8

const (
	// OneStep takes the test that its rule finds best by itself.
	OneStep Strategy = iota
	// Rollout tries each of the best few by one step: what will the work cost if it is made now, and the best by
	// one step ever after?
	Rollout
	// Lookahead does the same a number of turns deep, with the best few at every turn.
	Lookahead
)

// A Rule says which test is best by one step.
type Rule int8

const (
	// Gain takes the test that tells most for its cost: expected bits about the groups left, divided by the cost.
	Gain Rule = iota
	// ExpectedSize takes the test after which the least weight is expected to be left.
	ExpectedSize
	// MostParts takes the test that makes most parts.
	MostParts
	// SmallestLargest takes the test whose heaviest part weighs least.
	SmallestLargest
)

// Options say how to choose. The zero value takes the best test by one step, by gain for its cost.
type Options struct {
	Strategy Strategy
	// Rule ranks by one step. Rules other than Gain take account of costs only where tests are equally good.
	Rule Rule
	// Most is how many choices to return; 0 is one.
	Most int
	// Allowed, if not nil, says which tests may be chosen. It may be called from several goroutines.
	Allowed func(Test) bool
	// PreferDecided leaves out tests that some hypothesis left does not decide, unless no other test parts what is
	// left.
	PreferDecided bool
	// MostVague, if above 0, leaves out tests that more than this share of what is left does not decide, by weight. It
	// counts where tests are ranked by one step.
	MostVague float64
	// Distinct keeps, of tests that part what is left alike, only the best. Rollout and Lookahead always do.
	Distinct bool

	// Width is how many of the best tests by one step Rollout and Lookahead try at each turn; 0 is 8, less than 0
	// all.
	Width int
	// Depth is how many turns Lookahead tries them; 0 is two, less than 0 is to the end.
	Depth int
	// Budget is how many positions Rollout and Lookahead may work out for a choice, shared evenly by the tests tried
	// at the first turn; 0 is 100 000, less than 0 any number. If it does not last for all of them, Lookahead is
	// replaced by Rollout, and Rollout by OneStep. It counts work, not time, so that answers are always the same.
	Budget int
}

const (
	usualWidth  = 8
	usualDepth  = 2
	usualBudget = 100_000
)

func (o *Options) width(p *Problem) int {
	switch {
	case o.Width == 0:
		return usualWidth
	case o.Width < 0:
		return max(1, p.Table.Tests())
	}
	return o.Width
}

func (o *Options) budget() int {
	switch {
	case o.Budget == 0:
		return usualBudget
	case o.Budget < 0:
		return math.MaxInt
	}
	return o.Budget
}

// A Choice is a test worth making.
type Choice struct {
	Test Test
	// Bits is what the answer is expected to tell about the groups left.
	Bits float64
	// Cost is what the test costs where the work stands, and Then where it leaves the work.
	Cost float64
	Then Mode
	// Parts are the answers that can come, in rising order of outcome.
	Parts []Part
	// Expected is the cost to finish that is expected, this test included. By OneStep it is an estimate: as if all
	// later tests told as much for their cost.
	Expected float64
}

// A Part is one answer, how likely it is, and what it leaves. A hypothesis that does not decide the test is
// in every part, and its weight is shared over the parts in proportion to what the others weigh there.
type Part struct {
	Outcome     Outcome
	Probability float64
	Hypotheses  []Hypothesis
}

// Next ranks the tests that part what is left, best first, and returns the first few. It returns none if one group
// is left or no allowed test parts what is left. Equally good tests are ranked so: first one that tries a hypothesis
// that is left (Problem.Answers), then the cheaper, then the one added first. The answer does not depend on
// the number of processors.
func (p *Problem) Next(left []Weighted, from Mode, o Options) []Choice {
	return p.choose(left, from, &o, nil)
}

// A Policy says which test to make at a position, and false if none.
type Policy func(left []Weighted, from Mode) (Test, bool)

// Policy returns the policy that takes the first choice of Next. It remembers what it worked out, and so is quick with
// what may be left after a position that it has seen; for that, Allowed must always give the same answers. It must not
// be used by several goroutines at once.
func (p *Problem) Policy(o Options) Policy {
	o.Most = 1
	if o.Strategy == OneStep {
		return func(left []Weighted, from Mode) (Test, bool) {
			if best := p.rank(left, from, &o, 1); len(best) > 0 {
				return best[0].test, true
			}
			return -1, false
		}
	}
	memory := &outlookMemory{}
	return func(left []Weighted, from Mode) (Test, bool) {
		if choices := p.choose(left, from, &o, memory); len(choices) > 0 {
			return choices[0].Test, true
		}
		return -1, false
	}
}

func (p *Problem) choose(left []Weighted, from Mode, o *Options, memory *outlookMemory) []Choice {
	most := max(1, min(o.Most, p.Table.Tests()))
	if o.Strategy != OneStep {
		if seen, ok := p.lookAhead(left, from, o, memory); ok {
			seen = seen[:min(most, len(seen))]
			choices := make([]Choice, len(seen))
			for i, s := range seen {
				choices[i] = p.choice(left, &s.ranked)
				choices[i].Expected = s.expected
			}
			return choices
		}
	}
	best := p.rank(left, from, o, most)
	choices := make([]Choice, len(best))
	doubt := p.doubt(left)
	for i, r := range best {
		choices[i] = p.choice(left, &r)
		if r.bits > 0 {
			choices[i].Expected = max(r.cost, r.cost*doubt/r.bits)
		}
	}
	return choices
}

func (p *Problem) choice(left []Weighted, r *ranked) Choice {
	return Choice{Test: r.test, Bits: r.bits, Cost: r.cost, Then: r.then, Parts: p.parts(left, r.test), Expected: r.cost}
}

// parts divides what is left by its answers to a test.
func (p *Problem) parts(left []Weighted, test Test) []Part {
	var parts []Part
	var open []Hypothesis
	at := make(map[Outcome]int)
	decided := 0.0
	for _, l := range left {
		if !(l.Weight > 0) {
			continue
		}
		o := p.Table.Outcome(test, l.Hypothesis)
		if o == Any {
			open = append(open, l.Hypothesis)
			continue
		}
		i, ok := at[o]
		if !ok {
			i = len(parts)
			at[o] = i
			parts = append(parts, Part{Outcome: o})
		}
		parts[i].Probability += l.Weight
		parts[i].Hypotheses = append(parts[i].Hypotheses, l.Hypothesis)
		decided += l.Weight
	}
	for i := range parts {
		parts[i].Probability /= decided
		parts[i].Hypotheses = append(parts[i].Hypotheses, open...)
		slices.Sort(parts[i].Hypotheses)
	}
	slices.SortFunc(parts, func(a, b Part) int { return int(a.Outcome) - int(b.Outcome) })
	return parts
}

// divide returns what each answer to a test leaves, with weights, in the order of parts.
func (p *Problem) divide(left []Weighted, test Test) ([]Part, [][]Weighted) {
	parts := p.parts(left, test)
	place := make(map[Outcome]int, len(parts))
	after := make([][]Weighted, len(parts))
	for i, part := range parts {
		place[part.Outcome] = i
		after[i] = make([]Weighted, 0, len(part.Hypotheses))
	}
	for _, l := range left {
		if !(l.Weight > 0) {
			continue
		}
		if o := p.Table.Outcome(test, l.Hypothesis); o != Any {
			after[place[o]] = append(after[place[o]], l)
			continue
		}
		for i, part := range parts {
			after[i] = append(after[i], Weighted{l.Hypothesis, l.Weight * part.Probability})
		}
	}
	return parts, after
}
