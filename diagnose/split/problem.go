package split

// A Mode is where the work stands: power on or off, which step, where the leads are. It means nothing to this
// package but that costs depend on it.
type Mode int32

// Costs says what a test costs in the mode in which the work stands, and in which mode it leaves
// the work. Costs must be positive, or 0 for what is free, in any unit; the same arguments must
// always give the same answer, from any goroutine.
type Costs interface {
	Cost(from Mode, t Test) (cost float64, then Mode)
}

// UnitCosts is one for every test, whatever the mode: what counts is how many tests are made.
type UnitCosts struct{}

// Cost returns 1 and leaves the mode as it is.
func (UnitCosts) Cost(from Mode, _ Test) (float64, Mode) { return 1, from }

// A Weighted is a hypothesis that is still possible, and how much it weighs against the others.
// Weights need not add up to one. Those that are not above 0 are as if left out.
type Weighted struct {
	Hypothesis Hypothesis
	Weight     float64
}

// A Problem is what there is to choose from. It is not changed by this package and must not be
// changed while it is in use.
type Problem struct {
	Table *Table

	// Prior is the weight of each hypothesis before any test, for All, Evaluate and Optimum.
	Prior []float64

	// Group says which hypotheses need not be told apart: those that share a number. Numbers are 0
	// to one less than the number of hypotheses. The work is done when one group is left, and only
	// what is learned about groups counts as gain. Nil: each hypothesis is a group of its own.
	Group []int32

	// Costs is what tests cost; nil is UnitCosts.
	Costs Costs
}

// All returns every hypothesis with its prior: what is left before the first test.
func (p *Problem) All() []Weighted {
	all := make([]Weighted, 0, len(p.Prior))
	for h, w := range p.Prior {
		if w > 0 {
			all = append(all, Weighted{Hypothesis(h), w})
		}
	}
	return all
}

// group is the group of a hypothesis.
func (p *Problem) group(h Hypothesis) int32 {
	if p.Group == nil {
		return int32(h)
	}
	return p.Group[h]
}

// cost is what a test costs and where it leaves the work.
func (p *Problem) cost(from Mode, t Test) (float64, Mode) {
	if p.Costs == nil {
		return 1, from
	}
	return p.Costs.Cost(from, t)
}
