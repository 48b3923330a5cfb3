package talk

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// blownWarning stands beside every verdict of an open protective device.
const blownWarning = "Find what blew it before a new one goes in. " +
	"A fuse or breaker seldom opens by itself: " +
	"measure the circuit behind it for a short to the other side and to ground, power locked off."

// Verdict tells what was found, where it sits and what to mind.
func (s *Speaker) Verdict(t *diagnose.Turn) []Point {
	var points []Point
	faults := s.Model.Faults()
	if len(t.Left) == 1 {
		f := faults[t.Left[0]]
		points = append(points, Point{Label: "VERDICT", Text: Sentence(f.Text)},
			Point{Label: "Where", Text: f.Where + "."})
	} else {
		points = append(points, Point{Label: "VERDICT",
			Text: fmt.Sprintf("One of these %d; no check%s tells them apart%s:", len(t.Left), s.allowed(), forCertain(t))})
		const most = 8
		for i, c := range s.Ranked(t) {
			if i == most {
				points = append(points, Point{Mark: "- ",
					Text: fmt.Sprintf("and %d less likely.", len(t.Left)-most)})
				break
			}
			f := faults[c.Index]
			points = append(points, Point{Mark: "- ",
				Text: fmt.Sprintf("%s (%s); %s.", f.Text, Chance(c.Probability), f.Where)})
		}
	}
	points = append(points, s.mayPart(t)...)
	if t.Wrong > 0 {
		points = append(points, Point{Label: "Mind",
			Text: fmt.Sprintf("%s the verdict. Measure again what is doubtful before you trust it.",
				Disagree(t.Wrong))})
		points = append(points, s.pairs(t)...)
	}
	return append(points, s.fuseWarnings(t)...)
}

// forCertain says that a check may tell apart what none does for certain, where there is one.
func forCertain(t *diagnose.Turn) string {
	if t.MayPart == nil {
		return ""
	}
	return " for certain"
}

// mayPart names the check that may tell what is left apart, where there is one.
func (s *Speaker) mayPart(t *diagnose.Turn) []Point {
	if t.MayPart == nil {
		return nil
	}
	return []Point{{Label: "Try", Text: Sentence(s.Condensed(*t.MayPart)) + " " + MayPart}}
}

// MayPart says what a check that may tell faults apart is worth.
const MayPart = "This may tell them apart; some of them may give either reading."

// allowed says of a check that it is one that the rules of the site leave, where there are any.
func (s *Speaker) allowed() string {
	if flags := s.Model.Book().Rules().Flags(); len(flags) > 0 {
		return " under " + strings.Join(flags, " ")
	}
	return ""
}

// Disagree begins a sentence on how many readings disagree with something.
func Disagree(n int) string {
	if n == 1 {
		return "1 reading disagrees with"
	}
	return fmt.Sprintf("%d readings disagree with", n)
}

// Ranked gives the candidates that are left, the likeliest first.
func (s *Speaker) Ranked(t *diagnose.Turn) []diagnose.Candidate {
	var left []diagnose.Candidate
	for _, c := range t.Candidates {
		if slices.Contains(t.Left, c.Index) {
			left = append(left, c)
		}
	}
	return left
}

// Repair gives the repairs of what is left, each once, the likeliest first.
func (s *Speaker) Repair(t *diagnose.Turn) []string {
	var out []string
	for _, c := range s.Ranked(t) {
		if r := s.RepairOf(c.Index); r != "" && !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	const most = 4 // more are no help
	return out[:min(most, len(out))]
}

// RepairOf says how one fault is put right.
func (s *Speaker) RepairOf(fault int) string {
	return s.Model.Faults()[fault].Repair(s.Model.Panel())
}

// fuseWarnings warns of an open protective device: the verdict itself, or opened by
// what is left.
func (s *Speaker) fuseWarnings(t *diagnose.Turn) []Point {
	open := false
	var after []string
	for _, i := range t.Left[:min(len(t.Left), 8)] {
		f := s.Model.Faults()[i]
		if d := s.Circuit.Device(f.Effect.OpenLink); d != nil && d.Type.Kind == circuits.LinkKind {
			open = true
			continue
		}
		for _, d := range s.Model.Blown(i) {
			if name := Called(d); !slices.Contains(after, name) {
				after = append(after, name)
			}
		}
	}
	var points []Point
	if open {
		points = append(points, Point{Label: "WARNING", Text: blownWarning})
		points = append(points, s.causes(t)...)
	}
	if len(after) > 0 {
		points = append(points, Point{Label: "WARNING",
			Text: fmt.Sprintf("This opens %s as well. Clear the fault first, prove it cleared by ohms, "+
				"and only then fit a new fuse or reset.", strings.Join(after, " and "))})
	}
	return points
}

// GroupLeft says what to do where several groups are left and no check is.
func (s *Speaker) GroupLeft(t *diagnose.Turn, cannot int) []string {
	text := []string{fmt.Sprintf("%d groups of faults are left, and no check that can be made%s tells "+
		"them apart.", t.Groups, s.allowed())}
	if t.Groups == 1 {
		text[0] = fmt.Sprintf("No check that can be made%s makes this verdict surer.", s.allowed())
	}
	if t.Unproved != "" {
		text = append(text, unprovedWords[t.Unproved]+".")
	}
	if cannot > 0 {
		text = append(text, fmt.Sprintf("Said to be out of reach: %s. "+
			"Make one of them after all, and the search goes on.", Count(cannot, "check")))
	}
	return append(text,
		"What to do: lock out and inspect them in this order, the likeliest first. "+
			"Put right what you find, then prove the operation.")
}

// Healthy says what to do where every reading fits a good circuit.
func (s *Speaker) Healthy() []string {
	text := []string{
		"HEALTHY: every reading fits a good circuit, and no check is left that would make it surer.",
		"What to do: work the operation and watch for what was reported. " +
			"If it does not show, look for what comes and goes: " +
			"a loose screw, a contact that sticks at times, heat, vibration, low supply. " +
			"Measure while the trouble is there.",
	}
	var hidden []string
	for i, f := range s.Model.Faults() {
		if s.Model.Hidden(i) {
			hidden = append(hidden, f.Text)
		}
	}
	if len(hidden) > 0 {
		text = append(text, fmt.Sprintf("No check of this circuit shows %s: %s.",
			Count(len(hidden), "fault"), Some(hidden, 4)))
	}
	return text
}

// Some lists up to so many texts and counts the rest.
func Some(texts []string, most int) string {
	list := strings.Join(texts[:min(most, len(texts))], "; ")
	if more := len(texts) - most; more > 0 {
		list += fmt.Sprintf("; and %d more", more)
	}
	return list
}

// Contradiction says what to do where no single fault fits every reading.
func (s *Speaker) Contradiction(t *diagnose.Turn, history log.Log) []Point {
	points := []Point{{Text: "CONTRADICTION: no single fault fits every reading. " +
		"Doubtful, the most doubtful first:"}}
	if t.Status == diagnose.Unlisted {
		points[0].Text = s.unlisted(t)
	}
	numbers := guide.Numbers(history.Entries)
	for _, c := range t.Conflicts[:min(4, len(t.Conflicts))] {
		name := "known before"
		if n := numbers[c.Index]; n > 0 {
			name = fmt.Sprintf("check %d", n)
		}
		text := fmt.Sprintf("%s: %s", name, s.Entry(history.Entries[c.Index]))
		if without := s.Dropping(c); without != "" {
			text += "; " + without
		}
		points = append(points, Point{Mark: "- ", Text: text})
	}
	points = append(points, s.Doubts(t, history)...)
	if t.Status == diagnose.Unlisted {
		return append(points, Point{Text: "What to do: read the supply at its source and the volts at each load that does not " +
			"do its work. " + s.beyond()})
	}
	return append(points,
		Point{Text: "What to do: measure a doubtful one again, or drop it. A slipped lead, the wrong screw, " +
			"the wrong step is the usual cause. If all stand, there are two faults, or one that is not on the list."})
}

// Wear tells whether the list has faults of wear.
func (s *Speaker) Wear() bool {
	return slices.ContainsFunc(s.Model.Faults(), func(f faultmodel.Fault) bool { return f.Wear })
}

// beyond says what may be wrong that the list has not.
func (s *Speaker) beyond() string {
	text := "A stray feed is not on the list; or a reading is wrong, or there are two faults."
	if s.Wear() {
		return text
	}
	return "A low supply, a bad joint, a leak or a wrong coil is not on the list: --worn puts them there, " +
		"and the same log goes on. " + text
}

// unlisted says that no listed fault is believed, which come nearest, and what to measure.
func (s *Speaker) unlisted(t *diagnose.Turn) string {
	text := "The readings fit no single fault that I know."
	if t.Wrong == 0 {
		text = "No fault that I know explains the readings well enough to act on it."
	}
	var nearest []string
	for _, c := range s.Ranked(t) {
		nearest = append(nearest, c.Text)
	}
	if len(nearest) > 0 {
		text += " Nearest: " + strings.Join(nearest[:min(3, len(nearest))], "; or ") + "."
	}
	if t.Next != nil {
		text += " Measure here next: " + s.Condensed(t.Next.Check) + "."
	}
	if len(t.Conflicts) > 0 {
		text += " What does not fit, the most doubtful first:"
	}
	return text
}

// Entry tells a line of the log.
func (s *Speaker) Entry(e log.Entry) string {
	return fmt.Sprintf("%s: %s", s.Condensed(e.Check), s.Answer(e.Check, e.Answer))
}

// Possible lists what is still possible, group by group with its chance, the likeliest
// first.
func (s *Speaker) Possible(t *diagnose.Turn, most int) []Point {
	type group struct {
		texts       []string
		probability float64
	}
	var order []int
	groups := make(map[int]*group)
	for _, c := range s.Ranked(t) {
		g := groups[c.Group]
		if g == nil {
			g = &group{}
			groups[c.Group] = g
			order = append(order, c.Group)
		}
		g.texts = append(g.texts, c.Text)
		g.probability += c.Probability
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case groups[a].probability > groups[b].probability:
			return -1
		case groups[a].probability < groups[b].probability:
			return 1
		}
		return 0
	})
	var out []Point
	for i, n := range order {
		if i == most {
			rest := 0
			for _, n := range order[i:] {
				rest += len(groups[n].texts)
			}
			out = append(out, Point{Label: "",
				Text: fmt.Sprintf("and %d less likely, in %s", rest, Count(len(order)-i, "group"))})
			break
		}
		g := groups[n]
		const named = 4
		text := strings.Join(g.texts[:min(named, len(g.texts))], "; or ")
		if more := len(g.texts) - named; more > 0 {
			text += fmt.Sprintf("; or %d more like it", more)
		}
		share := Chance(g.probability)
		if g.probability < 0.01 {
			share = "<1 %"
		}
		out = append(out, Point{Label: share, Text: text})
	}
	if guide.Sound(t) {
		out = append(out, Point{Label: "", Text: "nothing at all: a good circuit fits every reading"})
	} else if t.GoodLeft {
		out = append(out, Point{Label: "", Text: "nothing at all: a good circuit fits as well"})
	}
	return out
}

// ProofWords tells whether a verdict is proved.
func ProofWords(t *diagnose.Turn) string {
	switch {
	case t.Status != diagnose.Found:
		return ""
	case t.Proved:
		return "A further reading has borne it out."
	case t.Next == nil:
		return unprovedWords[t.Unproved] + ": inspect the part itself before it is replaced."
	}
	return "Not proved yet: prove it before anything is replaced."
}

// unprovedWords tell why nothing more proves a verdict.
var unprovedWords = map[diagnose.Unproved]string{
	diagnose.ProofCannot:    "Not proved: what would prove it was said not to be possible here",
	diagnose.ProofForbidden: "Not proved: under the rules of the site nothing more shows it",
	diagnose.ProofApart:     "Not proved: its two ends are at two places, so that no meter reads across it",
	diagnose.ProofUnfed: "Not proved: nobody can read its volts here while it should act, and a bad joint in its way " +
		"looks the same",
	diagnose.ProofMadeAtPart: "It was measured across the part itself; nothing of another kind or at another place shows it",
	diagnose.ProofNone:       "Not proved: no other check shows it than those that led to it",
}

// MustBe lists what a good circuit does at the end of a step.
func (s *Speaker) MustBe(step int) string {
	var on, off []string
	for _, v := range s.Model.Panel().Visible() {
		r, err := s.Model.Usual(log.Check{Look: v.Name, Step: s.Circuit.Steps[step].Name})
		switch {
		case err != nil || !r.Firm:
		case r.On:
			on = append(on, v.Name)
		default:
			off = append(off, v.Name)
		}
	}
	var parts []string
	if len(on) > 0 {
		parts = append(parts, "on: "+strings.Join(on, ", "))
	}
	if len(off) > 0 {
		parts = append(parts, "off: "+strings.Join(off, ", "))
	}
	return fmt.Sprintf("%s.", strings.Join(parts, "; "))
}
