package paper

import (
	"fmt"
	"strings"
	"sync"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/chart"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// Book is the charts of one circuit, one for each complaint.
type Book struct {
	Model   *diagnose.Model
	speak   *talk.Speaker
	circuit string // as it was named on the command line
	find    string // the command that goes on without the chart
	options chart.Options
	Flows   []*flow
	// Program is the page of the circuit, which goes on in the HTML file where a chart ends; none if
	// empty.
	Program string
}

// flow is one chart in the order in which it is read: its checks numbered, each after the
// one that leads to it.
type flow struct {
	book   *Book
	chart  *chart.Chart
	log    log.Log // the complaint
	cut    float64 // branches rarer than this are left out here
	paper  bool    // only checks are left out, their verdicts stay
	stops  []*stop
	checks int // that are numbered
}

// stop is one fork of a chart: a check with its answers, or an end.
type stop struct {
	fork   *chart.Fork
	index  int            // in the order of reading, from one
	number int            // of a check, in the order of reading; 0 for an end
	from   *stop          // nil for the first
	way    string         // the answer that leads here
	made   int            // the checks made before it
	stand  guide.Standing // how the circuit stands before it
	cut    bool
	exits  []exit
}

// exit is one answer of a stop.
type exit struct {
	way  *chart.Way
	text string // "102 to 138 V"
	to   *stop
}

// NewBook makes a chart for each complaint. Find is the command that goes on without the chart.
func NewBook(m *diagnose.Model, circuit, find string, complaints []log.Log, o chart.Options) *Book {
	b := &Book{Model: m, speak: talk.NewSpeaker(m), circuit: circuit, find: find, options: o}
	b.Flows = make([]*flow, len(complaints))
	var charts sync.WaitGroup
	for i, history := range complaints {
		charts.Go(func() { b.Flows[i] = b.flow(chart.Of(m, history, o), history) })
	}
	charts.Wait()
	return b
}

// flow numbers a chart.
func (b *Book) flow(c *chart.Chart, history log.Log) *flow {
	f := &flow{book: b, chart: c, log: history, cut: c.Cut}
	f.stop(c.Start, nil, "", guide.AsFound)
	return f
}

// shorter numbers the same chart without the checks that are rarer than a share, and
// without those that lead to no verdict then. Verdicts stay, however rare.
func (f *flow) shorter(cut float64) *flow {
	g := &flow{book: f.book, chart: f.chart, log: f.log, cut: max(cut, f.cut), paper: true}
	g.stop(f.chart.Start, nil, "", guide.AsFound)
	return g
}

func (f *flow) stop(fork *chart.Fork, from *stop, way string, stand guide.Standing) *stop {
	s := &stop{fork: fork, from: from, way: way, stand: stand, cut: fork.Cut}
	if from != nil {
		s.made = from.made + 1
	}
	before, checks := len(f.stops), f.checks
	f.stops = append(f.stops, s)
	s.index = len(f.stops)
	switch {
	case s.cut || len(fork.Ways) == 0:
		return s
	case s.verdict():
	case f.paper && from != nil && fork.Odds < f.cut:
		s.cut = true
		return s
	default:
		f.checks++
		s.number = f.checks
	}
	check := fork.Turn.Next.Check
	for i := range fork.Ways {
		w := &fork.Ways[i]
		text := f.book.speak.Outcome(check, w.Answered)
		if w.Stray {
			text = "anything else, " + text
		}
		s.exits = append(s.exits, exit{way: w, text: text})
	}
	leads := false
	for i := range s.exits {
		e := &s.exits[i]
		e.to = f.stop(e.way.To, s, e.text, guide.After(f.book.speak.Circuit, check))
		leads = leads || !e.to.cut
	}
	if f.paper && from != nil && !leads {
		f.stops, f.checks = f.stops[:before+1], checks
		s.cut, s.number, s.exits = true, 0, nil
	}
	return s
}

// proving tells whether a stop is the proof of a verdict.
func (s *stop) proving() bool { return !s.cut && s.fork.Turn.Next != nil && s.fork.Turn.Next.Proof }

// verdict tells whether a stop is a verdict with its proof: one reading bears it out, and
// nothing else that is possible gives another.
func (s *stop) verdict() bool { return s.proving() && len(s.fork.Ways) == 1 }

// proofs gives the stops at which a verdict is proved, one after the other, and the stop
// to which they lead.
func (s *stop) proofs() (proofs []*stop, end *stop) {
	for ; s.verdict(); s = s.exits[0].to {
		proofs = append(proofs, s)
	}
	return proofs, s
}

// further tells whether a stop is a proof after a proof.
func (s *stop) further() bool { return s.proving() && s.from != nil && s.from.proving() }

// notice is the caution before the check of a stop, by how the power changes; none where
// it stays as it is.
func (f *flow) notice(s *stop) talk.Notice {
	if len(s.exits) == 0 {
		return talk.Notice{}
	}
	if k := guide.PowerChange(s.stand, s.fork.Turn.Next.Check); k != "" {
		return f.book.speak.Warned(k)
	}
	return talk.Notice{}
}

// title heads the check of a stop.
func (f *flow) title(s *stop) string {
	return f.book.speak.Title(s.fork.Turn.Next, s.made+1,
		guide.MadeBefore(f.book.Model, s.fork.Log, s.fork.Turn.Next.Check), s.further())
}

// complaint tells what is known to be wrong before the first check.
func (f *flow) complaint() string {
	if len(f.log.Entries) == 0 {
		return "Nothing known: from the first check"
	}
	var parts []string
	for _, e := range f.log.Entries {
		parts = append(parts, f.book.speak.Wrong(e))
	}
	return strings.Join(parts, "; ")
}

// whyCut tells why a branch goes no further here.
func (f *flow) whyCut(s *stop) string {
	switch {
	case s.fork.Odds < f.cut:
		return "rarer than " + percent(f.cut)
	case s.fork.Unforeseen:
		return "a reading that nobody can foretell"
	}
	return fmt.Sprintf("longer than %s", talk.Count(f.chart.Longest, "check"))
}

// cutWords tells that a branch goes no further here, and how to go on.
func (f *flow) cutWords(s *stop) string {
	return fmt.Sprintf("%s: go on with \"%s\"", f.whyCut(s), f.book.find)
}

// percent writes a share without more figures than it was given.
func percent(share float64) string { return fmt.Sprintf("%.3g %%", 100*share) }

// summary tells how much a chart holds, and what it leaves out.
func (f *flow) summary() string {
	verdicts, rare, unforeseen, long := 0, 0, 0, 0
	for _, s := range f.stops {
		switch {
		case s.cut && s.fork.Odds < f.cut:
			rare++
		case s.cut && s.fork.Unforeseen:
			unforeseen++
		case s.cut && !f.paper:
			long++
		case s.cut:
		case s.number == 0 && (s.from == nil || !s.from.verdict()):
			verdicts++
		}
	}
	by := "minutes"
	if f.book.options.By == diagnose.ByChecks {
		by = "the number of checks"
	}
	text := fmt.Sprintf("%s lead to %s, chosen to keep %s small; proofs are not counted.",
		talk.Count(f.checks, "check"), talk.Count(verdicts, "verdict"), by)
	text += fmt.Sprintf(" Of what is possible at its start, by how likely it is, the chart leads %s to a verdict.",
		f.covered())
	if rare > 0 {
		text += fmt.Sprintf(" %s rarer than %s %s cut.", talk.Plural(rare, "branch", "branches"),
			percent(f.cut), talk.Verb(rare, "is", "are"))
	}
	if unforeseen > 0 {
		text += fmt.Sprintf(" %s after a reading that nobody can foretell %s cut.", talk.Plural(unforeseen, "branch", "branches"),
			talk.Verb(unforeseen, "is", "are"))
	}
	if long > 0 {
		text += fmt.Sprintf(" %s longer than %s %s cut.", talk.Plural(long, "branch", "branches"),
			talk.Count(f.chart.Longest, "check"), talk.Verb(long, "is", "are"))
	}
	return text
}

// covered is the share of the faults possible at the start that the chart leads to a verdict,
// by how likely each is.
func (f *flow) covered() string {
	faults := f.book.Model.Faults()
	reached := make(map[int]bool)
	for _, s := range f.stops {
		if t := &s.fork.Turn; !s.cut && (t.Status == diagnose.Found || t.Status == diagnose.GroupLeft) {
			for _, h := range t.Left {
				reached[h] = true
			}
		}
	}
	var all, led float64
	for _, h := range f.chart.Start.Turn.Left {
		all += faults[h].Prior
		if reached[h] {
			led += faults[h].Prior
		}
	}
	switch share := led / all; {
	case all == 0 || share >= 0.9995:
		return "all of it"
	case share > 0.99:
		return fmt.Sprintf("%.1f %%", 100*share)
	default:
		return fmt.Sprintf("%.0f %%", 100*share)
	}
}

// end tells in one line what stands at an end: the verdict, or how to go on.
func (f *flow) end(s *stop) string {
	t := &s.fork.Turn
	var texts []string
	for _, c := range f.book.speak.Ranked(t) {
		texts = append(texts, c.Text)
	}
	const named = 3
	switch {
	case s.cut:
		left := "a good circuit"
		switch {
		case len(texts) == 1:
			left = texts[0]
		case len(texts) > 1:
			left = talk.Count(len(texts), "fault")
		}
		return f.cutWords(s) + " (" + left + ")"
	case t.Status == diagnose.Found || t.Status == diagnose.GroupLeft:
		return talk.SentenceStart(talk.Some(texts, named))
	case t.Status == diagnose.Healthy:
		return "Every reading fits a good circuit"
	case t.Status == diagnose.Unlisted:
		find := f.book.find
		if !f.book.speak.Wear() {
			find += " --worn"
		}
		return fmt.Sprintf("No listed fault explains the readings: go on with \"%s\"", find)
	}
	return fmt.Sprintf("The readings contradict each other: go on with \"%s\"", f.book.find)
}

// proof tells in one line how a verdict is proved.
func (f *flow) proof(s *stop) string {
	p := s.fork.Turn.Next
	text := f.book.speak.Condensed(p.Check) + ": " + s.exits[0].text
	switch f.notice(s).Kind {
	case talk.PowerOff:
		text = "lock out; " + text
	case talk.PowerBack:
		text = "back to power; " + text
	}
	return text
}

// noneFits tells what to do where none of the answers fits, before the command to go on with.
const noneFits = "None of these? Measure again: the right screws, the right step, the leads home. If it stays, or if you cannot get there, go on with "

// printedCautions are the cautions of a chart that has all checks on one page, each on one
// line: that of the circuit, then what comes before checks.
func (b *Book) printedCautions(where string) []string {
	p := b.speak.Model.Panel()
	lines := []string{talk.CautionOf(p).Line(), talk.LockOutOf(p, where).Line(), talk.BackToPowerOnPaper(where).Line()}
	return append(lines, b.liveCautions()...)
}

// liveCautions are those before anything is worked, and before a meter comes on live parts.
func (b *Book) liveCautions() []string {
	var lines []string
	if len(guide.WarningPeople(b.speak.Circuit)) > 0 {
		lines = append(lines, b.speak.Warned(guide.LifeSafety).Line())
	}
	if len(guide.Moving(b.speak.Circuit)) > 0 {
		lines = append(lines, b.speak.Warned(guide.Movement).Line())
	}
	live := b.speak.Warned(guide.LiveWork)
	live.When = "before any volts check"
	meter := b.speak.Warned(guide.ProveMeter)
	meter.When = "before a proof that comes after volts that are not there"
	return append(lines, live.Line(), meter.Line())
}
