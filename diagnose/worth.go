package diagnose

import (
	"context"
	"math"
	"slices"

	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// Worth is what any check, on the list or of somebody's own, tells about faults that are
// still possible.
type Worth struct {
	m       *Model
	outcome []split.Outcome // by hypothesis
	problem *split.Problem  // of this one test
}

// Weigh works out what every fault answers to a check. The error says what is wrong with
// the check.
func (m *Model) Weigh(c log.Check) (*Worth, error) {
	l, err := m.book.Locate(c)
	if err != nil {
		return nil, err
	}
	w := &Worth{m: m, outcome: make([]split.Outcome, m.hypotheses())}
	readings := m.Readings(l)
	usual := readings[len(m.faults)]
	var values []log.Reading
	for _, r := range readings {
		if m.settles(l, usual, r) {
			values = append(values, r)
		}
	}
	parts := m.part(l, values)
	for h, r := range readings {
		w.outcome[h] = m.outcome(l, usual, parts, r)
	}
	b := split.NewBuilder(len(readings))
	except := make([]split.Exception, len(readings))
	for h, o := range w.outcome {
		except[h] = split.Exception{Hypothesis: split.Hypothesis(h), Outcome: o}
	}
	b.AddTest(split.Any, max(1, len(parts)), except)
	table, err := b.Build()
	if err != nil {
		panic("diagnose: a table that cannot be: " + err.Error())
	}
	w.problem = &split.Problem{Table: table, Group: m.table.group}
	return w, nil
}

// Readings gives what a check shows with each fault, and last with the good circuit.
func (m *Model) Readings(l log.Located) []log.Reading {
	readings := make([]log.Reading, m.hypotheses())
	if i, ok := m.index[m.book.Key(l)]; ok {
		readings[len(m.faults)] = m.usual[i]
		along, _ := m.onCourses(i, nil)
		for f, q := range m.follows {
			readings[f] = along[q]
		}
		for _, c := range m.cells[i] {
			readings[c.fault] = c.reading
		}
	} else {
		share(context.Background(), len(readings), nothing, func(_ struct{}, h int) { readings[h] = m.foretell(m.fault(h), l) })
	}
	return readings
}

// Bits is what the answer is expected to tell about which group of some faults it is, by
// their priors: the mutual information of answer and group, in bits. A fault that leaves
// the answer open shares its weight over the answers as the others weigh there. Good may
// stand among the faults.
func (w *Worth) Bits(faults []int) float64 {
	if choices := only(w.problem, w.m.weighted(faults), 0, 0); len(choices) > 0 {
		return choices[0].Bits
	}
	return 0
}

// Parts divides faults by their answers; those that leave the answer open stand in every
// part. The check tells nothing of the faults where there are fewer than two.
func (w *Worth) Parts(faults []int) [][]int {
	var parts [][]int
	var open []int
	at := make(map[split.Outcome]int)
	for _, f := range faults {
		o := w.outcome[w.m.hypothesis(f)]
		if o == split.Any {
			open = append(open, f)
			continue
		}
		i, ok := at[o]
		if !ok {
			i = len(parts)
			at[o] = i
			parts = append(parts, nil)
		}
		parts[i] = append(parts[i], f)
	}
	for i := range parts {
		parts[i] = append(parts[i], open...)
	}
	return parts
}

// hypothesis is that of a fault or of Good.
func (m *worked) hypothesis(fault int) int {
	if fault == Good {
		return len(m.faults)
	}
	return fault
}

// weighted gives faults their priors.
func (m *Model) weighted(faults []int) []split.Weighted {
	out := make([]split.Weighted, 0, len(faults))
	for _, f := range faults {
		h := m.hypothesis(f)
		out = append(out, split.Weighted{Hypothesis: split.Hypothesis(h), Weight: m.prior(h)})
	}
	slices.SortFunc(out, func(a, b split.Weighted) int { return int(a.Hypothesis) - int(b.Hypothesis) })
	return out
}

// Left gives the faults that a log leaves possible: those that disagree with the fewest
// of its readings.
func (m *Model) Left(history log.Log) []int {
	var left []int
	for _, w := range m.believe(history).left() {
		left = append(left, int(w.Hypothesis))
	}
	return left
}

// Doubted gives what one wrong reading could still hide: the faults that a log leaves
// possible, those that disagree with one reading more, and Good where it does too.
func (m *Model) Doubted(history log.Log) []int {
	b := m.believe(history)
	var out []int
	for h, d := range b.disagree {
		if d <= b.least+1 || m.fault(h) == Good {
			out = append(out, m.fault(h))
		}
	}
	return out
}

// Doubt is the entropy, in bits, of which group of some faults it is, by their priors.
func (m *Model) Doubt(faults []int) float64 {
	weight := make(map[int32]float64)
	var all float64
	for _, w := range m.weighted(faults) {
		weight[m.table.group[w.Hypothesis]] += w.Weight
		all += w.Weight
	}
	shares := make([]float64, 0, len(weight))
	for _, x := range weight {
		shares = append(shares, x/all)
	}
	slices.Sort(shares) // the order of a map must not show
	var bits float64
	for _, q := range shares {
		if q > 0 {
			bits -= q * math.Log2(q)
		}
	}
	return max(0, bits)
}

// Groups counts the groups of some faults.
func (m *Model) Groups(faults []int) int {
	return m.countGroups(m.weighted(faults))
}

// Needed is what the guided loop needs for a fault, until one group is left.
type Needed struct {
	Checks  float64 // expected, where an answer is left open on the way
	Minutes float64
}

// Needed works out what the guided loop needs for each fault, from nothing.
func (m *Model) Needed(by By) ([]Needed, error) { return m.needed(m.problem(ByMinutes), 0, by) }

// NeededAfter works out what the guided loop needs from a log on, for each fault that it
// leaves possible; nothing for the others.
func (m *Model) NeededAfter(history log.Log, by By) ([]Needed, error) {
	p := m.problem(ByMinutes)
	left := make([]float64, len(p.Prior))
	for _, f := range m.Left(history) {
		left[f] = p.Prior[f]
	}
	p.Prior = left
	return m.needed(p, m.modeAfter(history), by)
}

func (m *Model) needed(p *split.Problem, from split.Mode, by By) ([]Needed, error) {
	tree, err := p.Evaluate(from, m.policy(by))
	if err != nil {
		return nil, err
	}
	out := make([]Needed, len(m.faults))
	for f := range out {
		out[f] = Needed{tree.By[f].Tests.Mean, tree.By[f].Cost.Mean}
	}
	return out, nil
}
