package split

import (
	"slices"
)

// Options say how to choose. The zero value takes the best test by one step: the one that tells
// most for its cost, expected bits about the groups left divided by the cost.
type Options struct {
	// Most is how many choices to return; 0 is one.
	Most int
	// Allowed, if not nil, says which tests may be chosen. It may be called from several goroutines.
	Allowed func(Test) bool
	// MostVague, if above 0, leaves out tests that more than this share of what is left does not
	// decide, by weight. It counts where tests are ranked by one step.
	MostVague float64
	// Distinct keeps, of tests that part what is left alike, only the best. Looking ahead always does.
	Distinct bool

	// Depth is for how many turns to look ahead; 0 takes the best by one step. One turn (rollout)
	// tries each of the best few: what will the work cost if it is made now, and the best by one
	// step ever after? More turns do the same at every turn.
	Depth int
	// Width is how many of the best tests by one step are tried at each turn.
	Width int
	// Budget is how many positions may be worked out for a choice, shared evenly by the tests tried
	// at the first turn. If it does not last for all of them, only one turn is looked ahead, or, if
	// it does not last for that either, none. It counts work, not time, so that answers are always
	// the same.
	Budget int
	// Ended, if not nil, tells whether the time for looking ahead is over: from then on tests are
	// taken by one step, and answers depend on how quick the machine is. It is called from
	// several goroutines.
	Ended func() bool
}

// ended tells whether the time for looking ahead is over.
func (o *Options) ended() bool { return o.Ended != nil && o.Ended() }

// A Choice is a test worth making.
type Choice struct {
	Test Test
	// Bits is what the answer is expected to tell about the groups left.
	Bits float64
	// Cost is what the test costs where the work stands, and Then where it leaves the work.
	Cost float64
	Then Mode
	// Answers are the answers that can come, in rising order of outcome.
	Answers []Answer
	// Expected is the cost to finish that is expected, this test included. By one step it is an
	// estimate: as if all later tests told as much for their cost.
	Expected float64
}

// An Answer is one that can come, how likely it is, and what it leaves. A hypothesis that does
// not decide the test is left by every answer, and its weight is shared over them in proportion
// to what the others weigh there.
type Answer struct {
	Outcome     Outcome
	Probability float64
	Hypotheses  []Hypothesis
}

// Next ranks the tests that part what is left, best first, and returns the first few. It returns
// none if one group is left or no allowed test parts what is left. Of equally good tests the
// cheaper comes first, then the one added first. The answer does not depend on the number of
// processors.
func (p *Problem) Next(left []Weighted, from Mode, o Options) []Choice {
	return p.choose(left, from, &o, nil)
}

// A Policy says which test to make at a position, and false if none.
type Policy func(left []Weighted, from Mode) (Test, bool)

// Policy returns the policy that takes the first choice of Next. It remembers what it worked out,
// and so is quick with what may be left after a position that it has seen; for that, Allowed must
// always give the same answers. It must not be used by several goroutines at once.
func (p *Problem) Policy(o Options) Policy {
	o.Most = 1
	if o.Depth == 0 {
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
	if o.Depth > 0 {
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
	return Choice{Test: r.test, Bits: r.bits, Cost: r.cost, Then: r.then, Answers: p.answers(left, r.test),
		Expected: r.cost}
}

// parts divides what is left by its answers to a test.
func (p *Problem) answers(left []Weighted, test Test) []Answer {
	var answers []Answer
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
			i = len(answers)
			at[o] = i
			answers = append(answers, Answer{Outcome: o})
		}
		answers[i].Probability += l.Weight
		answers[i].Hypotheses = append(answers[i].Hypotheses, l.Hypothesis)
		decided += l.Weight
	}
	for i := range answers {
		answers[i].Probability /= decided
		answers[i].Hypotheses = append(answers[i].Hypotheses, open...)
		slices.Sort(answers[i].Hypotheses)
	}
	slices.SortFunc(answers, func(a, b Answer) int { return int(a.Outcome) - int(b.Outcome) })
	return answers
}

// divide returns what each answer to a test leaves, with weights, in the order of answers.
func (p *Problem) divide(left []Weighted, test Test) ([]Answer, [][]Weighted) {
	answers := p.answers(left, test)
	place := make(map[Outcome]int, len(answers))
	after := make([][]Weighted, len(answers))
	for i, part := range answers {
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
		for i, part := range answers {
			after[i] = append(after[i], Weighted{l.Hypothesis, l.Weight * part.Probability})
		}
	}
	return answers, after
}
