package diagnose

import (
	"cmp"
	"context"
	"encoding/json"
	"math"
	"slices"
	"sort"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
	"deadrung/faultmodel"
)

// By says what the choosing keeps small.
type By int

const (
	ByMinutes By = iota // minutes at the panel
	ByChecks            // every check counts as one
)

// Status is where the search stands.
type Status string

const (
	Continue      Status = "continue"      // several groups are left, and a check that parts them
	Found         Status = "found"         // one group agrees best, and is likely enough to act on
	GroupLeft     Status = "group"         // what agrees best, and no check that is allowed parts it or makes it surer
	Contradiction Status = "contradiction" // every fault disagrees with some reading
	Healthy       Status = "healthy"       // every reading fits the good circuit
	Unlisted      Status = "unlisted"      // no listed fault explains the readings well enough to be believed
)

// GoodPrior is the weight of the good circuit against all faults together: whoever
// looks for a fault has mostly been told of one. Common practice, no source.
const GoodPrior = 0.02

// Turn is what a log leaves possible and what to do next.
type Turn struct {
	Circuit string `json:"circuit"`
	Status  Status `json:"status"`
	// Unlisted is how likely the fault is one that is not in the list; the candidates share
	// the rest.
	Unlisted   float64     `json:"unlisted"`
	Candidates []Candidate `json:"candidates"`
	Next       *Proposal   `json:"next,omitempty"`
	Others     []Proposal  `json:"others"`
	// MayPart is a check that may tell what is left of a verdict apart, and may not: its reading
	// depends on what nobody knows, as where wires touch.
	MayPart *log.Check `json:"may-part,omitempty"`
	// Rules are those of the site, as flags: what is not told apart may be, without them.
	Rules     []string   `json:"rules,omitempty"`
	Conflicts []Conflict `json:"conflicts,omitempty"`

	// Contradicting are readings that no single fault gives both, and Pairs the pairs of
	// faults that explain all readings where no single one does.
	Contradicting []Contradicting `json:"contradicting,omitempty"`
	Pairs         []Pair          `json:"pairs,omitempty"`
	// Intermittent are checks that were made again and gave another answer.
	Intermittent []Intermittent `json:"intermittent,omitempty"`
	// Works is set while what failed works: it comes and goes. Watch is then the check to be
	// watched until it fails again.
	Works bool       `json:"works,omitempty"`
	Watch *log.Check `json:"watch,omitempty"`
	// Unproved says why nothing more proves a verdict that no reading has borne out.
	Unproved Unproved `json:"unproved,omitempty"`
	// KnownGood are the devices that no fault which is left would make do otherwise, while every
	// reading is that of the good circuit; whoever tells them asks [Model.KnownGood].
	KnownGood []string `json:"known-good,omitempty"`
	// Seen is what was found by eye, as far as it counts.
	Seen []log.Seen `json:"seen,omitempty"`
	// Causes may have blown the fuse or tripped the breaker that the verdict is, the
	// likeliest first; CauseChecks are the first checks that would show them.
	Causes      []faultmodel.ID `json:"causes,omitempty"`
	CauseChecks []log.Check     `json:"cause-checks,omitempty"`

	// Left are the indices of the faults that no other fault fits better than.
	Left []int `json:"-"`
	// GoodLeft is set while the good circuit fits as well as they do.
	GoodLeft bool `json:"-"`
	// sound is set while every reading, of one at least, is that of the good circuit.
	sound bool
	// Wrong counts the readings that disagree with what is left.
	Wrong int `json:"-"`
	// Proved is set when a check after the verdict has borne it out.
	Proved bool `json:"-"`
	// Thin is set while one group is left that is not likely enough yet to be called found.
	Thin bool `json:"-"`
	// Groups is how many groups are left.
	Groups int `json:"-"`
}

// Candidate is a fault that may be the one.
type Candidate struct {
	ID          faultmodel.ID     `json:"id"`
	Text        string            `json:"text"`
	Probability float64           `json:"probability"`
	Group       int               `json:"group"`
	Effect      faultmodel.Effect `json:"effect"`
	// Disagree counts the readings that it does not fit.
	Disagree int `json:"-"`
	Index    int `json:"-"`
}

// Proposal is a check worth making.
type Proposal struct {
	Check    log.Check  `json:"check"`
	Outcomes []Answered `json:"outcomes"`
	Bits     float64    `json:"bits"`
	Minutes  float64    `json:"minutes"`
	// Within is how many seconds there are for a look in a step in which a timer runs on.
	Within float64 `json:"within,omitempty"`
	// Anew is set where the circuit has to be begun anew for the check: it stands in a step in
	// which a timer runs on.
	Anew bool `json:"anew,omitempty"`
	// Longer says by step on the way how many seconds to wait longer than the file says, until a
	// timer that is a little slow has timed out as well.
	Longer map[string]float64 `json:"longer,omitempty"`
	// Proof is set on the check that proves a verdict.
	Proof bool `json:"proof,omitempty"`
	// Usual is what the good circuit would show.
	Usual log.Reading `json:"-"`
}

// Answered is one answer that a check can give, and what it leaves possible. With Low and Read
// it is whatever lies from Low up, open among it.
type Answered struct {
	Low         *float64        `json:"low,omitempty"`
	High        *float64        `json:"high,omitempty"`
	Read        string          `json:"read,omitempty"`
	Saw         string          `json:"saw,omitempty"`
	Probability float64         `json:"probability"`
	Candidates  []faultmodel.ID `json:"candidates"`
	// Good is set where the good circuit would give this answer.
	Good bool `json:"-"`
}

// Looked is the answer to a look that is so as a number, see [log.Reading.Number].
func Looked(number float64) Answered {
	r := log.Reading{Kind: log.Look, On: number > 0}
	if number == log.ByTurns {
		r.Seems = log.Flashing
	}
	return Answered{Saw: r.Saw()}
}

// Between gives an answer for readings of ohms or volts from low to high, ends included.
func Between(kind log.Kind, low, high float64) Answered {
	l, h := log.Round(low), log.Round(high)
	switch {
	case !kind.Off() || !math.IsInf(high, 1):
		return Answered{Low: &l, High: &h}
	case kind == log.Ohms && low < OpenFrom:
		return Answered{Low: &l, Read: "OL"}
	}
	return Answered{Read: "OL"}
}

// Conflict is a line of the log that what is left disagrees with.
type Conflict struct {
	Line  int             `json:"line"`
	Entry json.RawMessage `json:"entry"`
	Share float64         `json:"share"` // of what is left, by probability
	// Leaves are the faults that fit every other reading, the likeliest first.
	Leaves []faultmodel.ID `json:"leaves"`
	Index  int             `json:"-"` // into Log.Entries
}

// Choosing says how the next check is chosen.
type Choosing struct {
	By   By
	Most int // how many further checks to name; zero is three, less than zero none, and no pairs of faults
	// Foresee, if not nil, says that nobody waits for the turn yet: it is worked out so that it is
	// known when it is asked for. It is called now and then meanwhile, and tells whether somebody
	// waits for a turn now; what is not of that turn then comes to nothing.
	Foresee func() bool
}

// belief is what a log leaves of the hypotheses.
type belief struct {
	m        *Model
	history  log.Log
	disagree []int // by hypothesis: readings that it does not fit
	// halves are, by hypothesis, those that it does not fit and that count by half: answers
	// that nobody was sure of, looks that are neither on nor off, what was found by eye. Two
	// of them weigh one sure reading, and no verdict is proved by them.
	halves   []int
	least    int // the fewest that a fault disagrees with
	against  [][]bool
	open     [][]opening // by entry, by hypothesis: how far it leaves the reading open
	first    []int       // by entry that counts: where its answer was given first
	speaks   []float64   // by hypothesis: how likely the readings are with it, a logarithm
	unlisted float64     // the same with something that is not in the list
	run      run
}

// hypotheses counts the faults and the good circuit, which comes last.
func (m *Model) hypotheses() int { return len(m.faults) + 1 }

// fault gives the fault of a hypothesis, or Good.
func (m *Model) fault(h int) int {
	if h == len(m.faults) {
		return Good
	}
	return h
}

// believe holds every hypothesis against every reading of a log since the last repair. A
// check that was made again counts once, with its last answer.
func (m *Model) believe(history log.Log) *belief {
	b := &belief{m: m, history: history, disagree: make([]int, m.hypotheses()),
		halves: make([]int, m.hypotheses()), speaks: make([]float64, m.hypotheses())}
	last := make(map[log.Key]int)
	before := make([]int, len(history.Entries)) // the same check, made before; -1 for none
	for i, e := range history.Entries {
		before[i] = -1
		if e.Answer != nil && i >= history.Since() {
			k := m.book.Key(e.Located())
			if last, made := last[k]; made {
				before[i] = last
			}
			last[k] = i
		}
	}
	b.against = make([][]bool, len(history.Entries))
	b.open = make([][]opening, len(history.Entries))
	b.first = make([]int, len(history.Entries))
	entries := m.scaled(history)
	for i, e := range entries {
		if e.Answer == nil || i < history.Since() {
			continue
		}
		l := e.Located()
		passed := b.run.passed(m, l)
		anew := b.anew(passed, l)
		b.run.goOn(l, anew)
		if last[m.book.Key(l)] != i {
			continue
		}
		no, open := m.hold(e)
		if !anew {
			m.forgive(passed, e, no, open)
		}
		b.against[i], b.open[i] = no, open
		b.weigh(l, *e.Answer, no, open)
		b.first[i] = i
		for k := before[i]; k >= 0; k = before[k] {
			was := m.disagreeing(entries[k])
			if k == before[i] {
				b.weighAgain(was, no)
			}
			if !slices.Equal(was, no) {
				break
			}
			b.first[i] = k
		}
		for h, no := range b.against[i] {
			switch {
			case no && half(*e.Answer):
				b.halves[h]++
			case no:
				b.disagree[h]++
			}
		}
	}
	b.weighSeen()
	b.least = math.MaxInt
	lowest := b.lowest()
	for h := range m.faults {
		if b.score(h) == lowest {
			b.least = min(b.least, b.disagree[h])
		}
	}
	return b
}

// disagreeing tells, by hypothesis, which do not fit an entry.
func (m *Model) disagreeing(e log.Entry) []bool {
	no, _ := m.hold(e)
	return no
}

// opening is how far a hypothesis leaves a reading open.
type opening int8

const (
	foretold opening = iota // it foretells the reading
	floating                // nothing, or a part of the supply: a conductor floats
	anything                // it tells nothing of it
)

// openingOf is how far a foretold reading leaves a check open.
func openingOf(foretells log.Reading) opening {
	switch {
	case foretells.Firm:
		return foretold
	case foretells.Floats:
		return floating
	}
	return anything
}

// hold holds every hypothesis against an entry: which do not fit it, and how far each leaves its
// reading open. The readings of checks that may be proposed are at hand; any other is worked
// out for every fault.
func (m *Model) hold(e log.Entry) (no []bool, open []opening) {
	no, open = make([]bool, m.hypotheses()), make([]opening, m.hypotheses())
	if e.Answer.Seems != "" {
		return m.holdSeeming(e)
	}
	judge := func(r log.Reading) (bool, opening) { return !m.agree(e.Located(), r, *e.Answer), openingOf(r) }
	if i, ok := m.index[m.book.Key(e.Located())]; ok {
		against, vague := make([]bool, len(m.beside)), make([]opening, len(m.beside))
		for q := range against {
			against[q], vague[q] = judge(m.along(int32(q), i))
		}
		for f, q := range m.follows {
			no[f], open[f] = against[q], vague[q]
		}
		no[len(m.faults)], open[len(m.faults)] = against[0], vague[0]
		for _, c := range m.cells[i] {
			no[c.fault], open[c.fault] = judge(c.reading)
		}
		return no, open
	}
	share(context.Background(), m.hypotheses(), nothing, func(_ struct{}, h int) {
		no[h], open[h] = judge(m.foretell(m.fault(h), e.Located()))
	})
	return no, open
}

// prior is that of a hypothesis.
func (m *Model) prior(h int) float64 {
	if h == len(m.faults) {
		return GoodPrior
	}
	return m.faults[h].Prior
}

// doubt is the factor by which a reading that disagrees makes a hypothesis less
// likely. A reading is wrong altogether about 1 time in 50 (common practice, no
// source); the factor is smaller where priors lie further apart than that, so that
// faults are ranked by how little they disagree first, and by prior after that.
func (m *Model) doubt() float64 {
	low, high := math.Inf(1), GoodPrior
	for h := range m.hypotheses() {
		if p := m.prior(h); p > 0 {
			low, high = math.Min(low, p), math.Max(high, p)
		}
	}
	return math.Min(1/RightToWrong, low/high/2)
}

// left gives the faults that disagree with the fewest readings. The good circuit is not
// among them: the check that proves a verdict tells whether there is a fault at all.
func (b *belief) left() []split.Weighted {
	var left []split.Weighted
	lowest := b.lowest()
	for h := range b.m.faults {
		if b.score(h) == lowest {
			left = append(left, split.Weighted{Hypothesis: split.Hypothesis(h), Weight: b.m.prior(h)})
		}
	}
	return left
}

// quiet tells whether every reading is the good circuit's so far and little is left.
func (b *belief) quiet(left []split.Weighted) bool {
	var sum float64
	for _, w := range left {
		sum += w.Weight
	}
	return b.score(len(b.m.faults)) == 0 && sum <= FewLeft
}

func (m *Model) countGroups(left []split.Weighted) int {
	seen := make(map[int32]bool)
	for _, w := range left {
		seen[m.table.group[w.Hypothesis]] = true
	}
	return len(seen)
}

// Turn says what a log leaves possible, and the best next check.
func (m *Model) Turn(history log.Log, c Choosing) Turn {
	return m.turn(m.believe(history), c)
}

// turn is the turn of a log that has been held against every hypothesis.
func (m *Model) turn(b *belief, c Choosing) Turn {
	left := b.left()
	t := Turn{Circuit: m.panel.Circuit.Title, Wrong: b.least, Others: []Proposal{},
		Rules: m.book.Rules().Flags()}
	for _, w := range left {
		t.Left = append(t.Left, int(w.Hypothesis))
	}
	t.GoodLeft = b.score(len(m.faults)) <= b.lowest()
	odds := b.odds(left)
	t.Unlisted = log.Round(odds.share())
	t.Candidates = b.candidates(1 - odds.share())
	t.Groups = m.countGroups(left)
	from := m.modeAfter(b.history)
	var choices []split.Choice
	one := t.Groups == 1
	if !one && b.quiet(left) {
		t.Next = b.sounder(0, 0, from, c.By)
	}
	if !one && t.Next == nil {
		choices = b.choose(left, from, c, false)
		if len(choices) == 0 && b.least > 0 {
			choices = b.choose(left, from, c, true)
		}
		if one = len(choices) == 0 && m.linked(left); one {
			t.asOne()
		}
	}
	good := len(m.faults)
	switch {
	case b.score(good) == 0 && (b.least > 0 || one && m.table.linked[left[0].Hypothesis] == m.table.linked[good]):
		t.Status, choices = Healthy, nil
		if t.Next = b.soundness(from, c.By); t.Next != nil {
			t.Status = Continue
		}
	case one:
		b.conclude(&t, left, odds, from, c.By)
	case t.Next != nil:
		t.Status = Continue
	case b.least > 0:
		t.Status = Contradiction
	case len(choices) > 0:
		t.Status = Continue
	default:
		t.Status = GroupLeft
	}
	likely := odds.share() >= UnlistedFrom || b.least >= MostOdd
	if b.least >= OddReadings && likely && t.Status != Healthy && b.disagree[len(m.faults)] > 0 {
		t.Status = Unlisted
		if odds.share() >= UnlistedSure || b.least >= MostOdd { // further checks of the list's making tell nothing
			t.Next, choices = nil, nil
		}
	}
	for i, choice := range choices {
		p := m.proposal(choice, from)
		if i == 0 {
			t.Next = &p
		} else {
			t.Others = append(t.Others, p)
		}
	}
	if t.Next != nil {
		b.tellTime(t.Next)
	}
	for i := range t.Others {
		b.tellTime(&t.Others[i])
	}
	if b.least > 0 && b.disagree[len(m.faults)] > 0 {
		t.Conflicts = b.conflicts(left)
		t.Contradicting = b.contradicting(t.Conflicts)
		if c.Most >= 0 {
			t.Pairs = b.pairs()
		}
	}
	t.sound = b.score(len(m.faults)) == 0 && len(b.inOrder()) > 0
	t.Intermittent = b.intermittent()
	t.Seen = b.history.Counting()
	if t.Works = b.history.Working(); t.Works {
		t.Watch = m.watch(&t, b.history)
	}
	if t.Status == Found || t.Status == GroupLeft {
		t.Causes, t.CauseChecks = b.causes(t.Left)
		t.MayPart = b.mayPart(left)
	}
	return t
}

// linked tells whether what is left hangs together: of any two some chain of faults leads from
// one to the other, each of which no check tells from the next.
func (m *Model) linked(left []split.Weighted) bool {
	first := m.table.linked[left[0].Hypothesis]
	return !slices.ContainsFunc(left, func(w split.Weighted) bool { return m.table.linked[w.Hypothesis] != first })
}

// asOne makes one group of what is left, since nothing parts it any more.
func (t *Turn) asOne() {
	t.Groups = 1
	for i := range t.Candidates {
		if slices.Contains(t.Left, t.Candidates[i].Index) {
			t.Candidates[i].Group = t.Candidates[0].Group
		}
	}
}

// conclude says what a verdict is worth: whether it is likely enough to act on, whether it is
// proved, and which check makes it surer.
func (b *belief) conclude(t *Turn, left []split.Weighted, odds odds, from split.Mode, by By) {
	odd, once := b.misfit(left)
	several := b.least >= OddReadings
	leaky := b.leaky(left)
	explained := b.explained(left)
	thin := several || odd || !odds.sure() || !explained || leaky
	repeats := false
	switch {
	case odd && once:
		t.Next = b.askAgain(left, from, by)
	case leaky && !several:
		t.Next = b.proofOfJoin(left, from, by)
	case several || odds.sure():
		if t.Next = b.proof(left, from, by); t.Next != nil {
			repeats = !t.Next.Proof
		}
	}
	if t.Next == nil && !several {
		t.Next = b.support(left, odds, from, by)
	}
	if t.Next == nil && !several && !explained {
		t.Next = b.explaining(left, from, by)
	}
	t.Thin = thin || t.Next != nil && !repeats && b.standing(left, odds) < FoundFrom
	switch {
	case !t.Thin:
		t.Status = Found
		if t.Next == nil {
			by := b.provedBy(b.m.verdictOf(left))
			if t.Proved = by.proved && !b.unfed(left, by); !t.Proved {
				t.Unproved = b.whyUnproved(left, by)
				if t.Unproved == ProofUnfed {
					t.Status = GroupLeft // a bad joint in its way looks the same
				}
			}
		}
	case t.Next != nil:
		t.Status = Continue
		t.Next.Proof = false
	case b.least == 0 && !odd && len(t.Rules) > 0 && b.standing(left, odds) >= NamedFrom:
		t.Status = GroupLeft
	default:
		t.Status = Unlisted
	}
}

// NamedFrom is how likely what is left must be to be named, as what no check tells from the
// rest, where the rules of the site leave no check that would make it likelier: more likely than
// everything else together. Common practice, no source.
const NamedFrom = 0.5

// candidates ranks the faults by how little they disagree, then by prior. Together they are
// as likely as listed says.
func (b *belief) candidates(listed float64) []Candidate {
	m := b.m
	doubt := m.doubt()
	lowest := b.lowest()
	weights := make([]float64, len(m.faults))
	var sum float64
	for h := range m.faults {
		weights[h] = m.faults[h].Prior * math.Pow(doubt, b.behind(h, lowest))
		sum += weights[h]
	}
	var order []int
	for h := range m.faults {
		if weights[h] /= sum; b.score(h) == lowest || weights[h] >= 1e-9 {
			order = append(order, h)
		}
	}
	slices.SortStableFunc(order, func(g, h int) int { return cmp.Compare(weights[h], weights[g]) })
	candidates := make([]Candidate, len(order))
	for i, h := range order {
		f := &m.faults[h]
		candidates[i] = Candidate{
			ID: f.ID, Text: f.Text, Probability: listed * weights[h], Group: int(m.table.group[h]) + 1, Effect: f.Effect,
			Disagree: b.disagree[h], Index: h,
		}
	}
	return candidates
}

// allowed leaves out checks that were made and those that cannot be made here. Again
// allows a check that was made once, and one whose two answers speak for different
// faults: the third decides.
func (b *belief) allowed(again bool) func(split.Test) bool {
	made := make(map[log.Key][]int)
	cannot := make(map[log.Spot]bool)
	for i, e := range b.history.Entries {
		if e.Answer == nil {
			cannot[e.Located().Spot()] = true
		} else if i >= b.history.Since() {
			k := b.m.book.Key(e.Located())
			made[k] = append(made[k], i)
		}
	}
	out := func(k log.Key) bool {
		switch times := made[k]; len(times) {
		case 0:
			return false
		case 1:
			return !again
		case 2:
			before := b.m.disagreeing(b.history.Entries[times[0]])
			return !again || slices.Equal(before, b.against[times[1]])
		}
		return true
	}
	no := make([]bool, len(b.m.table.checks))
	for k := range made {
		if t, ok := b.m.test(k); ok {
			no[t] = out(k)
		}
	}
	if len(cannot) > 0 {
		for t, i := range b.m.table.checks {
			no[t] = no[t] || cannot[b.m.checks[i].Spot()]
		}
	}
	return func(t split.Test) bool { return !no[t] }
}

// test gives the test of the table that a check is; false where nothing differs on it, or it
// is none of those considered.
func (m *Model) test(k log.Key) (split.Test, bool) {
	i, ok := m.index[k]
	if !ok {
		return 0, false
	}
	t, ok := slices.BinarySearch(m.table.checks, i)
	return split.Test(t), ok
}

// proposal puts a choice into the terms of the panel.
func (m *Model) proposal(c split.Choice, from split.Mode) Proposal {
	l := m.checks[m.table.checks[c.Test]]
	p := Proposal{Check: m.book.Check(l), Bits: log.Round(c.Bits), Minutes: log.Round(m.minutes(from, l)), Usual: m.usual[m.table.checks[c.Test]]}
	if m.brisk(l) {
		p.Within = math.Floor(m.left[l.Step])
	}
	for _, part := range c.Answers {
		b := m.table.parts[c.Test][part.Outcome]
		a := Between(l.Kind, b.low, b.high)
		if l.Kind == log.Look {
			a = Looked(b.low)
		}
		a.Probability, a.Candidates = log.Round(part.Probability), []faultmodel.ID{}
		for _, h := range part.Hypotheses {
			if f := m.fault(int(h)); f == Good {
				a.Good = true
			} else {
				a.Candidates = append(a.Candidates, m.faults[f].ID)
			}
		}
		p.Outcomes = append(p.Outcomes, a)
	}
	return p
}

// conflicts ranks the lines of the log by how much of what is left disagrees.
func (b *belief) conflicts(left []split.Weighted) []Conflict {
	var sum float64
	for _, w := range left {
		sum += w.Weight
	}
	var out []Conflict
	for i, e := range b.history.Entries {
		if b.against[i] == nil {
			continue
		}
		var share float64
		for _, w := range left {
			if b.against[i][w.Hypothesis] {
				share += w.Weight / sum
			}
		}
		if share > 0 {
			out = append(out, Conflict{Line: e.Line, Entry: log.MarshalWith(e.Check, *e.Answer), Share: log.Round(share),
				Leaves: b.without(i), Index: i})
		}
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Share > out[k].Share })
	return out
}

// Group gives the number of a fault's group, from one.
func (m *Model) Group(fault int) int {
	return int(m.table.group[fault]) + 1
}

// Hidden tells whether no check at all shows a fault.
func (m *Model) Hidden(fault int) bool {
	return m.table.group[fault] == m.table.group[len(m.faults)]
}

// Blown gives the protective devices that a fault opens in the course of the operation.
func (m *Model) Blown(fault int) []*circuits.Device {
	return m.blown[fault]
}
