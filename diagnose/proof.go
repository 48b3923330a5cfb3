package diagnose

import (
	"slices"

	"deadrung/diagnose/split"
)

// NegligibleRival is the share of a verdict's own prior below which all its rivals
// together are left alone. Common practice, no source.
const NegligibleRival = 0.002

// rivals are what one wrong reading could have hidden behind a verdict: faults of other
// groups, and the good circuit, that disagree with one reading more than the verdict.
type rivals struct {
	weight []float64 // by hypothesis
	all    float64   // zero if they are negligible
	own    float64   // the weight of the verdict itself
}

// likely tells whether the rivals together are likely enough, one of fifty readings being
// wrong, to have the reading that speaks against them made again.
func (r rivals) likely() bool { return r.all > LikelyRivals*r.own }

// LikelyRivals is how many times likelier than the verdict its rivals must be, before
// any reading, for that. Common practice, no source: a tenth of the fifty.
const LikelyRivals = 5.0

func (b *belief) rivals(group int32) rivals {
	m := b.m
	r := rivals{weight: make([]float64, m.hypotheses())}
	for h, g := range m.table.group {
		switch {
		case g == group && h < len(m.faults):
			r.own += m.prior(h)
		case g != group && b.disagree[h] <= b.least+1:
			r.weight[h] = m.prior(h)
			r.all += m.prior(h)
		}
	}
	if r.all < NegligibleRival*r.own {
		r.all = 0
	}
	return r
}

// proved tells whether a reading that the good circuit would not give bears a verdict
// out after it first stood, and nothing has spoken against it since.
func (b *belief) proved(group int32) bool {
	m := b.m
	good := len(m.faults)
	disagree := make([]int, m.hypotheses())
	stood, proved := false, false
	for i, e := range b.log.Entries {
		if b.against[i] == nil {
			continue
		}
		fits := false
		for h, g := range m.table.group {
			if g == group && h < good && !b.against[i][h] {
				fits = true
				if stood && b.against[i][good] && m.foretell(h, e.at).Firm {
					proved = true
				}
			}
			if b.against[i][h] {
				disagree[h]++
			}
		}
		if !fits {
			proved = false
		}
		least := slices.Min(disagree[:good])
		stood = true
		for h := range m.faults {
			stood = stood && (disagree[h] > least || m.table.group[h] == group)
		}
	}
	return proved
}

// proof chooses the check that proves a verdict: the one that parts it from most of its
// rivals, at a place where none was made yet if there is one, of another kind by choice.
// The first proof also has to read otherwise than the good circuit. If one check does not
// part it from all rivals that matter, more are asked for.
func (b *belief) proof(left []split.Weighted, from split.Mode, by By) *Proposal {
	m := b.m
	found := left[0].Hypothesis
	group := m.table.group[found]
	r := b.rivals(group)
	good := len(m.faults)
	first := !b.proved(group)
	if first {
		r.weight[good] = max(r.weight[good], m.prior(good))
	}
	var all float64
	for _, w := range r.weight {
		all += w
	}
	if all == 0 {
		return nil
	}
	test, _ := b.bestProof(found, r.weight, all, first, from, by, false)
	if test < 0 && r.likely() {
		test, _ = b.bestProof(found, r.weight, all, first, from, by, true)
	}
	if test < 0 {
		return nil
	}
	doubted := slices.Clone(left)
	var own float64
	for _, w := range left {
		own += w.Weight
	}
	for h, w := range r.weight {
		if w > 0 {
			doubted = append(doubted, split.Weighted{Hypothesis: split.Hypothesis(h), Weight: w / all * own / RightToWrong})
		}
	}
	p := m.propose(test, doubted, from, by)
	if p != nil {
		p.Proof = true
	}
	return p
}

// propose puts one test to those in doubt; nil if it does not part them.
func (m *Model) propose(test split.Test, doubted []split.Weighted, from split.Mode, by By) *Proposal {
	choices := only(m.problem(by), doubted, from, test)
	if len(choices) == 0 {
		return nil
	}
	p := m.proposal(choices[0], doubted, from)
	return &p
}

// bestProof is the check that parts a hypothesis from most of its rivals, by their weight,
// and the weight that it parts; less than zero for none.
func (b *belief) bestProof(found split.Hypothesis, weight []float64, all float64, first bool, from split.Mode, by By, again bool) (best split.Test, parts float64) {
	m := b.m
	allowed := b.allowed(again)
	spots := make(map[spot]bool)
	kinds := make(map[Kind]bool)
	for _, e := range b.log.Entries {
		if e.Answer != nil {
			spots[e.at.spot()] = true
			kinds[e.at.kind] = true
		}
	}
	good := split.Hypothesis(len(m.faults))
	best = -1
	most := 0.0
	for t := range m.table.checks {
		test := split.Test(t)
		own := m.table.split.Outcome(test, found)
		if own == split.Any || !allowed(test) {
			continue
		}
		usual := m.table.split.Outcome(test, good)
		if first && (usual == own || usual == split.Any) {
			continue
		}
		apart := 0.0 // of the rivals, by weight
		if usual != own && usual != split.Any {
			apart = all
		}
		for h, o := range m.table.split.Exceptions(test) {
			is := o != own && o != split.Any
			switch was := usual != own && usual != split.Any; {
			case was && !is:
				apart -= weight[h]
			case is && !was:
				apart += weight[h]
			}
		}
		if apart <= 1e-12*all {
			continue
		}
		l := m.checks[m.table.checks[t]]
		// What the check leaves in doubt, and no less than one wrong reading in fifty; the
		// factors below are judgement, common practice, no source.
		score := 1 / (1 - apart/all + 0.02)
		if spots[l.spot()] {
			score *= 0.5 // the same two points repeat the same mistake
		}
		if !kinds[l.kind] {
			score *= 1.1
		}
		if by == ByMinutes {
			score /= ProofMinutes + m.minutes(from, l)
		}
		if score > most*(1+1e-9) {
			best, most, parts = test, score, apart
		}
	}
	return best, parts
}

// soundness chooses a check that makes surer that there is no fault at all, as long as
// faults that one reading alone rules out weigh something; nil if there are none.
func (b *belief) soundness(from split.Mode, by By) *Proposal {
	m := b.m
	good := split.Hypothesis(len(m.faults))
	weight := make([]float64, m.hypotheses())
	doubted := []split.Weighted{{Hypothesis: good, Weight: GoodPrior}}
	var all float64
	for h := range m.faults {
		if b.disagree[h] == 1 && m.table.group[h] != m.table.group[good] {
			weight[h] = m.prior(h)
			all += weight[h]
			doubted = append(doubted, split.Weighted{Hypothesis: split.Hypothesis(h), Weight: weight[h] / RightToWrong})
		}
	}
	test, parts := b.bestProof(good, weight, all, false, from, by, false)
	if test < 0 || parts < NegligibleFaults {
		return nil
	}
	return m.propose(test, doubted, from, by)
}

// NegligibleFaults is the share of all priors below which faults that one reading alone
// rules out are not worth one more check before a circuit is called healthy.
// Common practice, no source.
const NegligibleFaults = 0.005

// ProofMinutes is what a wrong verdict is worth to avoid, against the minutes of a
// check: parts that are replaced for nothing cost more. Common practice, no source.
const ProofMinutes = 5.0
