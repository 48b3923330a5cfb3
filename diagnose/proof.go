package diagnose

import (
	"cmp"
	"math"
	"slices"

	"deadrung/circuits/network"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// NegligibleRival is the share of a verdict's own prior below which all its rivals
// together are left alone. Common practice, no source.
const NegligibleRival = 0.002

// verdict tells, by hypothesis, which are one verdict: what is left, and what no check tells
// from that.
type verdict []bool

// verdictOf is the verdict of what is left.
func (m *Model) verdictOf(left []split.Weighted) verdict {
	groups := make(map[int32]bool)
	for _, w := range left {
		groups[m.table.group[w.Hypothesis]] = true
	}
	v := make(verdict, m.hypotheses())
	for h, g := range m.table.group {
		v[h] = groups[g]
	}
	return v
}

// rivals are what one wrong reading could have hidden behind a verdict, by hypothesis:
// the priors of faults of other groups, and of the good circuit, that disagree with no
// more than one reading. Where a reading is known to be wrong already there are none: a
// second one in the same session is not guarded against.
func (b *belief) rivals(own verdict) (weight []float64, all float64) {
	m := b.m
	weight = make([]float64, m.hypotheses())
	var verdict float64
	for h := range weight {
		switch {
		case own[h]:
			verdict += m.prior(h)
		case b.disagree[h] <= 1:
			weight[h] = m.prior(h)
			all += m.prior(h)
		}
	}
	if all < NegligibleRival*verdict || b.provedBy(own).enough() {
		return weight, 0
	}
	return weight, all
}

// EnoughProofs is how many readings that bear a verdict out are enough after it first stood, if
// one was taken across the part itself, then or before. Common practice, no source.
const EnoughProofs = 3

// proven is what bears a verdict out.
type proven struct {
	// proved is set once a reading that the good circuit would not give has borne it out after
	// it first stood, of another kind or at another place than those before it, and nothing has
	// spoken against it since.
	proved bool
	// atPart is set once a reading across the part itself has, then or before.
	atPart bool
	// agreeing counts the readings that agree with it since it stood.
	agreeing int
	// again counts those since then that were made at the same two points, or of the same thing,
	// as one before.
	again int
}

// enough tells whether no further proof is asked for.
func (p proven) enough() bool { return p.atPart && p.agreeing >= EnoughProofs }

// MostAgain is how many checks are asked for once more to make a verdict surer, and how often
// one thing is looked at or measured between the same two points. Common practice, no source.
const MostAgain = 2

// provedBy tells what bears a verdict out. An answer that was given again counts where it was
// given first.
func (b *belief) provedBy(own verdict) proven {
	m := b.m
	good := len(m.faults)
	disagree := make([]int, m.hypotheses())
	var p proven
	stood, since := false, math.MaxInt
	seen := make(map[log.Spot]bool)
	for _, i := range b.inOrder() {
		e := b.history.Entries[i]
		if half(*e.Answer) {
			continue
		}
		l := e.Located()
		fits, anew := false, !seen[l.Spot()]
		seen[l.Spot()] = true
		for h, is := range own {
			if is && h < good && !b.against[i][h] {
				fits = true
				fed := m.fedAtPart(h, l, p.atPart)
				tells := b.against[i][good] || fed
				proves := !p.proved && stood && anew && tells
				across := !p.atPart && (fed || tells && m.acrossPart(h, m.partEnds(h), l))
				// Most change nothing, and an ohmmeter's readings are costly to foretell.
				if (proves || across) && m.foretell(h, l).Firm {
					p.proved = p.proved || proves
					p.atPart = p.atPart || across
				}
			}
			if b.against[i][h] {
				disagree[h]++
			}
		}
		switch {
		case !fits:
			p = proven{}
		case stood && anew:
			p.agreeing++
		case stood:
			p.again++
		}
		least := slices.Min(disagree[:good])
		alone := true
		for h := range m.faults {
			alone = alone && (disagree[h] > least || own[h])
		}
		if alone && !stood {
			stood, since = true, b.first[i]
		}
	}
	for i, against := range b.against {
		if against != nil && i > since && b.first[i] <= since {
			p.again++
		}
	}
	return p
}

// inOrder gives the entries that count, in the order in which their answers were given first.
func (b *belief) inOrder() []int {
	var order []int
	for i, against := range b.against {
		if against != nil {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(i, k int) int { return cmp.Compare(b.first[i], b.first[k]) })
	return order
}

// proof chooses the check that proves a verdict: the one that parts it from most of its
// rivals, of another kind or at another place than any that was made, across the part itself
// by choice: the same two points, or the same thing seen once more, repeat the same mistake.
// The first proof also has to read otherwise than the good circuit, or find the volts at a load
// that does nothing. If one check does not part it from all rivals that matter, more are asked
// for. Where only a check that was made parts it from them, or that one much better once nothing
// else can bear the verdict out, it is asked for again, which proves nothing: it is not marked
// as a proof.
func (b *belief) proof(left []split.Weighted, from split.Mode, by By) *Proposal {
	m := b.m
	if next := b.proofAtLoad(left, from, by); next != nil {
		return next
	}
	p := parting{found: left[0].Hypothesis, anew: true, from: from, by: by}
	own := m.verdictOf(left)
	p.rivals, p.all = b.rivals(own)
	good := len(m.faults)
	so := b.provedBy(own)
	p.wereAtPart, p.noMore = so.atPart, so.again >= MostAgain
	first := p
	if first.unlikeGood = !so.proved; first.unlikeGood {
		first.rivals = slices.Clone(p.rivals)
		first.rivals[good] = m.prior(good)
		first.all += m.prior(good) - p.rivals[good]
	}
	test, worth := split.Test(-1), 0.0
	repeats, fallsShort := false, so.proved // what was not made yet does not bear the verdict out
	for _, again := range []bool{false, true} {
		for i, p := range []parting{first, p} {
			if p.all == 0 || again && p.noMore || test >= 0 && !(again && fallsShort) {
				continue
			}
			if best, score := b.bestProof(p, again); score > worth {
				test, worth, repeats = best, score, again
			}
			fallsShort = fallsShort || i == 0 && test < 0
		}
	}
	if test < 0 {
		return nil
	}
	p = first
	doubted := slices.Clone(left)
	var all float64
	for _, w := range left {
		all += w.Weight
	}
	for h, w := range p.rivals {
		if w > 0 {
			doubted = append(doubted, split.Weighted{Hypothesis: split.Hypothesis(h), Weight: w / p.all * all / RightToWrong})
		}
	}
	next := m.propose(test, doubted, from, by)
	if next != nil {
		next.Proof = !repeats
	}
	return next
}

// proofAtLoad is the check that a load which does nothing has its full volts at its own
// terminals: without it a bad joint in its way, or a low supply, looks the same. It is nil where
// the verdict is something else, and where such a check was made or cannot be made.
func (b *belief) proofAtLoad(left []split.Weighted, from split.Mode, by By) *Proposal {
	m := b.m
	likeliest := mostLikely(left)
	a, z, ok := m.idle(int(likeliest.Hypothesis))
	if !ok {
		return nil
	}
	wereNear, wereThere := b.fullAt(a, z)
	if wereThere {
		return nil
	}
	allowed := b.allowed(false)
	best, least, found := split.Test(-1), math.Inf(1), false
	for t, i := range m.table.checks {
		l, test := m.checks[i], split.Test(t)
		near, there := m.acrossLoad(l, a, z)
		if !near || !there && (found || wereNear) || !allowed(test) {
			continue
		}
		o := m.table.split.Outcome(test, likeliest.Hypothesis)
		if o == split.Any || !m.full(l, log.Reading{Kind: log.Volts, Value: m.table.parts[t][o].most}) {
			continue
		}
		if minutes := m.minutes(from, l); minutes < least || there && !found {
			best, least, found = test, minutes, there
		}
	}
	if best < 0 {
		return nil
	}
	next := m.propose(best, b.withRest(left), from, by)
	if next != nil {
		next.Proof = true
	}
	return next
}

// mostLikely is the likeliest of what is left.
func mostLikely(left []split.Weighted) split.Weighted {
	return slices.MaxFunc(left, func(a, b split.Weighted) int { return cmp.Compare(a.Weight, b.Weight) })
}

// acrossLoad tells whether a check reads the volts between the wire numbers of a load's two
// terminals, and whether on those very terminals: a wire from there may have a bad joint.
func (m *Model) acrossLoad(l log.Located, a, z network.Node) (near, there bool) {
	near = m.joined(l.A, a) && m.joined(l.B, z) || m.joined(l.A, z) && m.joined(l.B, a)
	return l.Kind == log.Volts && near, l.Kind == log.Volts && atPart([][2]network.Node{{a, z}}, l)
}

// fullAt tells whether full volts were read near a load, and whether on its very terminals.
func (b *belief) fullAt(a, z network.Node) (near, there bool) {
	for i, e := range b.history.Entries {
		if b.against[i] == nil || !b.m.full(e.Located(), *e.Answer) {
			continue
		}
		n, t := b.m.acrossLoad(e.Located(), a, z)
		near, there = near || n, there || t
	}
	return near, there
}

// unfed tells whether the verdict is a load that does nothing, and neither its volts were read
// nor the part itself measured: a bad joint in its way looks the same.
func (b *belief) unfed(left []split.Weighted, by proven) bool {
	a, z, ok := b.m.idle(int(mostLikely(left).Hypothesis))
	if !ok || by.atPart {
		return false
	}
	near, _ := b.fullAt(a, z)
	return !near
}

// withRest is what is left, and all else as what one wrong reading may have hidden.
func (b *belief) withRest(left []split.Weighted) []split.Weighted {
	doubted, lowest := slices.Clone(left), b.lowest()
	for h := range b.m.hypotheses() {
		if b.score(h) > lowest || h == len(b.m.faults) {
			doubted = append(doubted, split.Weighted{Hypothesis: split.Hypothesis(h), Weight: b.m.prior(h) / RightToWrong})
		}
	}
	return doubted
}

// idle gives the ends of the load that a fault leaves idle with its volts on: it is open, or
// its armature stays released.
func (m *Model) idle(fault int) (a, z network.Node, ok bool) {
	e := m.faults[fault].Effect
	name := e.OpenLoad
	if e.Stuck != "" && e.Position == "released" {
		name = e.Stuck
	}
	for _, d := range m.panel.Circuit.Devices {
		if load := m.panel.Load(d); d.Name == name && load != 0 {
			parts := m.panel.Net.Load(load)
			return parts.A, parts.B, true
		}
	}
	return 0, 0, false
}

// joined tells whether two nodes are one, or terminals of one wire number.
func (m *Model) joined(a, b network.Node) bool {
	return a == b || m.panel.Number(a) >= 0 && m.panel.Number(a) == m.panel.Number(b)
}

// full tells whether a reading is the full supply.
func (m *Model) full(l log.Located, r log.Reading) bool {
	return r.Value >= PresentFrom*m.nominal(l.A, l.B)
}

// propose puts one test to those in doubt; nil if it does not part them.
func (m *Model) propose(test split.Test, doubted []split.Weighted, from split.Mode, by By) *Proposal {
	choices := only(m.problem(by), doubted, from, test)
	if len(choices) == 0 {
		return nil
	}
	p := m.proposal(choices[0], from)
	return &p
}

// parting is what a proof is to do: part a hypothesis from its rivals.
type parting struct {
	found      split.Hypothesis
	rivals     []float64 // by hypothesis: how much it weighs
	all        float64   // they together
	sharing    []float64 // once asked for
	mass       []float64 // room for what each outcome weighs
	unlikeGood bool      // the good circuit must read otherwise
	wereAtPart bool      // the part itself was measured before
	noMore     bool      // nothing is asked for once more
	anew       bool      // nothing of its kind was read there yet, by choice
	from       split.Mode
	by         By
}

// bestProof is the check that parts a hypothesis from most of its rivals, by their weight, less
// than zero for none; and what it is worth.
func (b *belief) bestProof(p parting, again bool) (split.Test, float64) {
	m := b.m
	allowed, fresh, tight := b.allowed(again), b.fresh(), b.tight(&p)
	spots := make(map[log.Spot]int)
	kinds := make(map[log.Kind]bool)
	for _, e := range b.history.Entries {
		if e.Answer != nil {
			spots[e.Located().Spot()]++
			kinds[e.Located().Kind] = true
		}
	}
	good := split.Hypothesis(len(m.faults))
	ends := m.partEnds(int(p.found))
	best, most := split.Test(-1), 0.0
	for t := range m.table.checks {
		test := split.Test(t)
		own := m.table.split.Outcome(test, p.found)
		if own == split.Any || !allowed(test) {
			continue
		}
		usual := m.table.split.Outcome(test, good)
		l := m.checks[m.table.checks[t]]
		if p.unlikeGood && (usual == own || usual == split.Any) &&
			!(p.wereAtPart && m.fedAtPart(int(p.found), l, true)) {
			continue
		}
		if made := spots[l.Spot()]; p.anew && (!again && made > 0 || again && made > MostAgain) {
			continue
		}
		apart, bits := tight(l).apart(m.table.split, test, own)
		if apart <= 1e-12*p.all {
			continue
		}
		// What the check leaves in doubt, and no less than one wrong reading in fifty; the
		// factors below are judgement, common practice, no source.
		// Where the verdict does not stand, the answer also parts its rivals from each other.
		score := (1 + bits) / (1 - apart/p.all + 0.02)
		if spots[l.Spot()] > 0 {
			score *= 0.5 // the same two points repeat the same mistake
		}
		if p.anew && m.acrossPart(int(p.found), ends, l) {
			score *= PartWorth
		}
		if !kinds[l.Kind] {
			score *= 1.1
		}
		if m.hurried(l) || !fresh(test) {
			score *= 0.5 // who is late sees something else
		}
		if p.by == ByMinutes {
			score /= ProofMinutes + m.minutes(p.from, l)
		}
		if score > most*(1+1e-9) {
			best, most = test, score
		}
	}
	return best, most
}

// apart is the weight of the rivals that answer a check otherwise than the verdict, and
// how many bits the answer tells about the rivals.
func (p *parting) apart(t *split.Table, test split.Test, own split.Outcome) (weight, bits float64) {
	if p.sharing == nil { // rivals by the pattern of answers that they follow
		p.sharing = make([]float64, t.Patterns())
		for h, w := range p.rivals {
			p.sharing[t.Pattern(split.Hypothesis(h))] += w
		}
	}
	open := 0.0
	p.mass = append(p.mass[:0], make([]float64, t.Outcomes(test))...)
	mass := p.mass
	add := func(o split.Outcome, w float64) {
		if o == split.Any {
			open += w
		} else {
			mass[o] += w
		}
	}
	for q, w := range p.sharing {
		if w > 0 {
			add(t.PatternOutcome(test, int32(q)), w)
		}
	}
	who, what := t.OwnRow(test)
	for i, h := range who {
		if w := p.rivals[h]; w > 0 {
			add(t.PatternOutcome(test, t.Pattern(h)), -w)
			add(what[i], w)
		}
	}
	decided := p.all - open
	for _, w := range mass {
		if w > 1e-12*p.all {
			bits -= w / p.all * math.Log2(w/decided)
		}
	}
	return decided - mass[own], bits
}

// soundness chooses a check that makes surer that there is no fault at all, as long as
// faults that one reading alone rules out weigh something; nil if there are none.
func (b *belief) soundness(from split.Mode, by By) *Proposal {
	return b.sounder(1, NegligibleFaults, from, by)
}

// sounder chooses the check that parts the good circuit from most of the faults that so many
// readings speak against; nil if those together, or those that the check would show, weigh
// less than what is negligible.
func (b *belief) sounder(against int, negligible float64, from split.Mode, by By) *Proposal {
	m := b.m
	good := split.Hypothesis(len(m.faults))
	p := parting{found: good, rivals: make([]float64, m.hypotheses()), from: from, by: by}
	doubted := []split.Weighted{{Hypothesis: good, Weight: GoodPrior}}
	wrong := math.Pow(RightToWrong, -float64(against))
	for h := range m.faults {
		if b.disagree[h] == against && m.table.group[h] != m.table.group[good] {
			p.rivals[h] = m.prior(h)
			p.all += m.prior(h)
			doubted = append(doubted, split.Weighted{Hypothesis: split.Hypothesis(h), Weight: m.prior(h) * wrong})
		}
	}
	if p.all < negligible {
		return nil
	}
	test, _ := b.bestProof(p, false)
	if test < 0 {
		return nil
	}
	l := m.checks[m.table.checks[test]]
	if parts, _ := b.tight(&p)(l).apart(m.table.split, test, m.table.split.Outcome(test, good)); parts < negligible {
		return nil
	}
	return m.propose(test, doubted, from, by)
}

// NegligibleFaults is the share of all priors below which the faults that one reading
// alone rules out are not worth one more check before a circuit is called healthy: all of
// them together, and those that the check would look at again. One reading in fifty is wrong,
// so that with it they weigh less than a hundredth of the good circuit, which is GoodPrior.
const NegligibleFaults = GoodPrior * (RightToWrong + 1) / 160

// FewLeft is the share of all priors from which on, while every reading is that of the good
// circuit, checks are chosen to show whatever is left rather than to part it: most likely
// there is nothing to find. Common practice, no source.
const FewLeft = 0.3

// ProofMinutes is what a wrong verdict is worth to avoid, against the minutes of a
// check: parts that are replaced for nothing cost more. Common practice, no source.
const ProofMinutes = 5.0
