package diagnose

import (
	"math"
	"slices"

	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// What a verdict stands on: how likely it is against the good circuit, against what is not in
// the list and against its rivals in the list, and which check makes it likelier.

// odds are the weights of what may be wrong, by what the readings say of each, against the
// greatest of them.
type odds struct{ left, good, unlisted float64 }

// odds gives the weights of what is left, of the good circuit and of what is not in the list.
func (b *belief) odds(left []split.Weighted) odds {
	good := len(b.m.faults)
	most := math.Max(b.unlisted, b.speaks[good])
	for _, w := range left {
		most = math.Max(most, b.speaks[w.Hypothesis])
	}
	o := odds{good: GoodPrior * math.Exp(b.speaks[good]-most), unlisted: UnlistedPrior * math.Exp(b.unlisted-most)}
	for _, w := range left {
		o.left += w.Weight * math.Exp(b.speaks[w.Hypothesis]-most)
	}
	return o
}

// share is how likely the fault is one that is not in the list, there being one.
func (o odds) share() float64 { return o.unlisted / (o.left + o.unlisted) }

// sure tells whether what is left is likely enough to act on, against the good circuit and
// what is not in the list.
func (o odds) sure() bool { return o.left/(o.left+o.good+o.unlisted) >= FoundFrom }

// standing is how likely what is left is against everything, its rivals in the list
// included.
func (b *belief) standing(left []split.Weighted, o odds) float64 {
	all, own := 0.0, 0.0
	doubt, lowest := b.m.doubt(), b.lowest()
	for h, f := range b.m.faults {
		all += f.Prior * math.Pow(doubt, b.behind(h, lowest))
	}
	for _, w := range left {
		own += w.Weight
	}
	return own / all * o.left / (o.left + o.good + o.unlisted)
}

// misfit tells whether a reading disagrees with all that is left, and whether one of those was
// made once only.
func (b *belief) misfit(left []split.Weighted) (odd, once bool) {
	_, odd, once = b.misfits(left)
	return odd, once
}

// misfits gives the entry of a reading that disagrees with all that is left: by choice one
// that was made once only.
func (b *belief) misfits(left []split.Weighted) (entry int, odd, once bool) {
	allowed := b.allowed(true)
	for i, against := range b.against {
		if against == nil || slices.ContainsFunc(left, func(w split.Weighted) bool { return !against[w.Hypothesis] }) {
			continue
		}
		odd = true
		if test, ok := b.m.test(b.m.book.Key(b.history.Entries[i].Located())); ok && allowed(test) {
			return i, true, true
		}
	}
	return 0, odd, false
}

// askAgain proposes once more the check whose reading disagrees with what is left: a mistake
// is seldom made twice.
func (b *belief) askAgain(left []split.Weighted, from split.Mode, by By) *Proposal {
	m := b.m
	entry, _, _ := b.misfits(left)
	test, _ := m.test(m.book.Key(b.history.Entries[entry].Located()))
	return m.propose(test, b.withRest(left), from, by)
}

// ExplainedFrom is the share of the readings that the good circuit would not give, of which what
// is left has to foretell that many rather than leave them open. Common practice, no source.
const ExplainedFrom = 1.0 / 3

// explained tells whether what is left foretells enough of the readings that the good circuit
// would not give.
func (b *belief) explained(left []split.Weighted) bool {
	good := len(b.m.faults)
	odd, foretold := 0.0, 0.0
	for i, against := range b.against {
		if against == nil || !against[good] {
			continue
		}
		odd++
		if slices.ContainsFunc(left, func(w split.Weighted) bool { return !against[w.Hypothesis] && b.open[i][w.Hypothesis] != anything }) {
			foretold++
		}
	}
	return foretold >= ExplainedFrom*odd
}

// explaining chooses a check that what is left foretells, and that the good circuit would answer
// otherwise; nil where there is none.
func (b *belief) explaining(left []split.Weighted, from split.Mode, by By) *Proposal {
	m := b.m
	good := len(m.faults)
	p := parting{found: left[0].Hypothesis, rivals: make([]float64, m.hypotheses()), all: m.prior(good),
		unlikeGood: true, anew: true, from: from, by: by}
	p.rivals[good] = p.all
	test, _ := b.bestProof(p, false)
	if test < 0 {
		return nil
	}
	return m.propose(test, b.withRest(left), from, by)
}

// WorthParting is the share of all that stands against a verdict, by weight, which one more
// check has to speak against. So each makes the rest smaller by a fifth at least, and few are
// asked for. Common practice, no source.
const WorthParting = 0.2

// support chooses a check that makes a verdict likelier where nothing proves it further: the
// one that speaks against most of what stands against it, which are the good circuit, what is
// not in the list and rivals. That may be one that was made already: a mistake is seldom made
// twice.
func (b *belief) support(left []split.Weighted, odds odds, from split.Mode, by By) *Proposal {
	m := b.m
	against, all := b.opposing(left, odds)
	if odds.left/(odds.left+all) >= FoundFrom {
		return nil
	}
	p := parting{rivals: against, all: all - odds.unlisted, from: from, by: by}
	allowed, again := b.allowed(false), b.allowed(true)
	last := b.lastMade()
	best, most := split.Test(-1), 0.0
	for t := range m.table.checks {
		test := split.Test(t)
		l := m.checks[m.table.checks[t]]
		var speaks float64
		if i, made := last[m.book.Key(l)]; made && again(test) {
			for h, w := range against {
				if b.against[i][h] {
					speaks += w * (1 - TwiceWrong) / 2 // the same two points repeat the same mistake
				}
			}
		} else if allowed(test) {
			speaks = b.speaking(&p, left, test, odds.unlisted)
		}
		if speaks < WorthParting*all {
			continue
		}
		score := speaks / all
		if by == ByMinutes {
			score /= ProofMinutes + m.minutes(from, l)
		}
		if score > most*(1+1e-9) {
			best, most = test, score
		}
	}
	if best < 0 {
		return nil
	}
	return m.propose(best, b.withRest(left), from, by)
}

// opposing is what stands against what is left, by hypothesis, in the measure of the odds; and
// all of it, with what is not in the list.
func (b *belief) opposing(left []split.Weighted, odds odds) (weight []float64, all float64) {
	m := b.m
	good := len(m.faults)
	own := m.verdictOf(left)
	weight = make([]float64, m.hypotheses())
	var scale float64
	for _, w := range left {
		scale += w.Weight
	}
	scale = odds.left / scale
	doubt, lowest := m.doubt(), b.lowest()
	all = odds.unlisted
	for h := range weight {
		switch {
		case h == good:
			weight[h] = odds.good
		case !own[h]:
			weight[h] = scale * m.prior(h) * math.Pow(doubt, b.behind(h, lowest))
		}
		all += weight[h]
	}
	return weight, all
}

// speaking is how much of what stands against what is left a check speaks against, if it
// shows what most of what is left foretells.
func (b *belief) speaking(p *parting, left []split.Weighted, test split.Test, unlisted float64) float64 {
	m := b.m
	found := split.Any
	var shows, most, sum float64
	for _, w := range left {
		sum += w.Weight
		o := m.table.split.Outcome(test, w.Hypothesis)
		if o != split.Any && w.Weight > most {
			found, most = o, w.Weight
		}
	}
	if found == split.Any {
		return 0
	}
	for _, w := range left {
		if m.table.split.Outcome(test, w.Hypothesis) == found {
			shows += w.Weight
		}
	}
	l := m.checks[m.table.checks[test]]
	answer := log.Reading{Kind: l.Kind, Value: m.table.parts[test][found].least}
	usual := m.table.split.Outcome(test, split.Hypothesis(len(m.faults))) == found
	against, _ := p.apart(m.table.split, test, found)
	return shows / sum * (against + unlisted*(1-m.unforetold(l, answer, usual)))
}

// lastMade gives the entry in which each check was made last.
func (b *belief) lastMade() map[log.Key]int {
	last := make(map[log.Key]int)
	for i, e := range b.history.Entries {
		if b.against[i] != nil {
			last[b.m.book.Key(e.Located())] = i
		}
	}
	return last
}
