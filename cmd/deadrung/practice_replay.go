package main

import (
	"encoding/json"
	"fmt"
	"strings"

	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// replay shows how it went: each check, what was known before and after it, the best
// check there, and the doubt as a bar.
func (t *trainee) replay(r *training.Replay) {
	t.Out.Blank()
	t.Out.Para("", "REPLAY. A bar is the doubt in bits: half as many faults, one bit less.")
	most := paper.MostDoubt(r)
	t.Out.Hang("     ", fmt.Sprintf("%s  at the start: %s", talk.Bar(r.Start.Bits, most), dialogue.DoubtWords(r.Start)))
	for i, c := range r.Checks {
		if c.Entry.Repaired {
			t.Out.Hang("     ", fmt.Sprintf("%s  a repair was made and did not put the panel right; "+
				"what was read before it no longer counts: %s", talk.Bar(c.Before.Bits, most), dialogue.DoubtWords(c.Before)))
		}
		t.Out.Hang(fmt.Sprintf("%3d. ", i+1), t.Speak.Entry(c.Entry))
		t.Out.Hang("     ",
			fmt.Sprintf("%s  %s after %s", talk.Bar(c.After.Bits, most), dialogue.DoubtWords(c.After), talk.Span(c.Spent)))
		t.Out.Hang("     ", talk.Sentence(t.worthShort(&c.Judged)))
	}
	t.Out.Blank()
	for _, line := range t.outcome(r) {
		t.Out.Para("", line)
	}
}

// outcome says what came of a practice, a sentence or two a line. The hidden fault is
// named once it is over.
func (t *trainee) outcome(r *training.Replay) []string {
	lines := []string{t.compared(r), t.wasted(r)}
	lines = append(lines, unsafeWords(r.Unsafe)...)
	if len(r.Hints) > 0 {
		lines = append(lines, fmt.Sprintf("Hints: %d.", len(r.Hints)))
	}
	if !t.over() {
		return append(lines, "The practice is not over.")
	}
	f := t.Model.Faults()[t.sitting().Hidden()]
	lines = append(lines, fmt.Sprintf("THE HIDDEN FAULT: %s (%s).", f.Text, f.ID))
	if d := t.difficulty(); d != nil {
		lines = append(lines, fmt.Sprintf("Difficulty %s: %s checks expected, "+
			"first looks misleading by %s.", talk.Short(d.Value), talk.Short(d.Checks), talk.Short(d.Mislead)))
	}
	if t.origin != nil {
		lines = append(lines, fmt.Sprintf("%s The case: %s.", t.origin.source, t.origin.answer))
	}
	return append(lines, t.verdicts(r)...)
}

// worthShort is what a check was worth, without what is left.
func (t *trainee) worthShort(j *training.Judged) string {
	text, _, _ := strings.Cut(t.Worth(j), " Still possible: ")
	return text
}

// compared holds the checks and minutes against what the guided search needs.
func (t *trainee) compared(r *training.Replay) string {
	if !t.over() {
		return fmt.Sprintf("You: %s, %s so far.", talk.Count(len(r.Checks), "check"), talk.Span(r.Minutes))
	}
	until := " until the fault was named"
	if r.Stated == "" {
		until = ""
	}
	return fmt.Sprintf("You: %s, %s%s. The guided search: %s, %s.",
		talk.Count(r.Searched(), "check"), talk.Span(r.Minutes), until,
		talk.Count(len(r.Guided.Checks), "check"), talk.Span(r.Guided.Minutes))
}

// wasted counts the wasted checks.
func (t *trainee) wasted(r *training.Replay) string {
	var parts []string
	for _, w := range []training.Waste{training.Premature, training.Redundant, training.Irrelevant} {
		if n := r.Wasted[w]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, w))
		}
	}
	if len(parts) == 0 {
		return "No check was wasted."
	}
	return "Wasted checks: " + strings.Join(parts, ", ") + "."
}

// unsafeWords list the unsafe acts, equal ones once.
func unsafeWords(all []training.Unsafe) []string {
	var lines []string
	for _, d := range training.Dangers {
		n := 0
		for _, u := range all {
			if u.Kind == d.Kind {
				n++
			}
		}
		switch {
		case n == 1:
			lines = append(lines, fmt.Sprintf("UNSAFE: %s. %s", d.Text, talk.Sentence(d.Right)))
		case n > 1:
			lines = append(lines, fmt.Sprintf("UNSAFE, %d times: %s. %s", n, d.Text, talk.Sentence(d.Right)))
		}
	}
	return lines
}

// verdicts say whether the fault was named, put right and proved.
func (t *trainee) verdicts(r *training.Replay) []string {
	var lines []string
	switch {
	case r.Stated == "":
		lines = append(lines, "You did not name it.")
	case r.Right && string(r.Stated) != string(t.Model.Faults()[t.sitting().Hidden()].ID):
		lines = append(lines,
			fmt.Sprintf("You named %s: that is right, for no check or no repair tells the two apart.", r.Stated))
	case r.Right:
		lines = append(lines, "You named it: right.")
	default:
		lines = append(lines, fmt.Sprintf("You named %s: wrong.", r.Stated))
	}
	switch {
	case r.Proved && r.Repairs > 1:
		lines = append(lines, fmt.Sprintf("The panel was put right with %s, and the operation proved.",
			talk.Count(r.Repairs, "repair")))
	case r.Proved:
		lines = append(lines, "The panel was put right, and the operation proved.")
	case r.Repaired:
		lines = append(lines, "The panel was put right; the operation was not proved.")
	case t.sitting().Ended() == training.Proved:
		lines = append(lines,
			"The panel was NOT put right: the operation was called right, and the fault is still there.")
	default:
		lines = append(lines, "The panel was not put right.")
	}
	return lines
}

// practised is the machine form of a practice. Until it is over the fault is not named.
type practised struct {
	Circuit    string                 `json:"circuit"`
	Source     string                 `json:"source,omitempty"`
	Seed       uint64                 `json:"seed"`
	Ended      training.Ending        `json:"ended"`
	Fault      faultmodel.ID          `json:"fault,omitempty"`
	Text       string                 `json:"text,omitempty"`
	Difficulty *practisedDifficulty   `json:"difficulty,omitempty"`
	Named      faultmodel.ID          `json:"named"`
	Right      *bool                  `json:"right,omitempty"`
	Repaired   *bool                  `json:"repaired,omitempty"`
	Proved     *bool                  `json:"proved,omitempty"`
	Repairs    int                    `json:"repairs"`
	Start      training.Doubt         `json:"start"`
	Checks     []practisedCheck       `json:"checks"`
	Minutes    float64                `json:"minutes"`
	AllMinutes float64                `json:"all-minutes"`
	Guided     *guided                `json:"guided,omitempty"`
	Wasted     map[training.Waste]int `json:"wasted"`
	Unsafe     []training.Unsafe      `json:"unsafe"`
	Hints      []int                  `json:"hints"`
}

type practisedDifficulty struct {
	Checks  float64 `json:"checks"`
	Mislead float64 `json:"mislead"`
	Value   float64 `json:"value"`
}

type practisedCheck struct {
	Check  json.RawMessage `json:"check"`
	Before training.Doubt  `json:"before"`
	After  training.Doubt  `json:"after"`
	Bits   float64         `json:"bits"`
	Told   float64         `json:"told"`
	Best   *log.Check      `json:"best,omitempty"`
	Most   float64         `json:"most"` // bits of the best
	Waste  training.Waste  `json:"waste,omitempty"`
	Proof  bool            `json:"proof,omitempty"`
	Spent  float64         `json:"spent"` // minutes until after it
}

type guided struct {
	Checks  []log.Check `json:"checks"`
	Bits    []float64   `json:"bits"` // doubt after each
	Spent   []float64   `json:"spent"`
	Minutes float64     `json:"minutes"`
}

// difficulty is that of the hidden fault, worked out once; nil if no check shows it.
func (t *trainee) difficulty() *training.Difficulty {
	if !t.rated {
		t.rated = true
		if d, err := training.DifficultyOf(t.Model, t.sitting().Hidden()); err == nil {
			t.rating = &d
		}
	}
	return t.rating
}

// result is the machine form.
func (t *trainee) result(r *training.Replay) practised {
	p := practised{Circuit: t.Speak.Circuit.Title, Seed: t.seed, Ended: t.sitting().Ended(),
		Named: r.Stated, Repairs: r.Repairs, Start: rounded(r.Start),
		Checks: []practisedCheck{}, Minutes: talk.Hundredths(r.Minutes), AllMinutes: talk.Hundredths(r.All),
		Wasted: r.Wasted, Unsafe: []training.Unsafe{}, Hints: []int{}}
	p.Unsafe = append(p.Unsafe, r.Unsafe...)
	p.Hints = append(p.Hints, r.Hints...)
	if t.origin != nil {
		p.Source = t.origin.source
	}
	if t.over() {
		f := t.Model.Faults()[t.sitting().Hidden()]
		p.Fault, p.Text, p.Right, p.Repaired, p.Proved = f.ID, f.Text, &r.Right, &r.Repaired, &r.Proved
		if d := t.difficulty(); d != nil {
			p.Difficulty = &practisedDifficulty{talk.Hundredths(d.Checks), talk.Hundredths(d.Mislead),
				talk.Hundredths(d.Value)}
		}
		g := guided{Checks: []log.Check{}, Bits: []float64{}, Spent: []float64{},
			Minutes: talk.Hundredths(r.Guided.Minutes)}
		for i, c := range r.Guided.Checks {
			g.Checks, g.Bits, g.Spent = append(g.Checks, c), append(g.Bits,
				talk.Hundredths(r.Guided.Doubts[i].Bits)), append(g.Spent, talk.Hundredths(r.Guided.Spent[i]))
		}
		p.Guided = &g
	}
	for _, c := range r.Checks {
		out := practisedCheck{Check: log.MarshalWith(c.Entry.Check, *c.Entry.Answer),
			Before: rounded(c.Before), After: rounded(c.After),
			Bits: talk.Hundredths(c.Bits), Told: talk.Hundredths(c.Told), Most: talk.Hundredths(c.Most),
			Waste: c.Waste, Proof: c.Proof, Spent: talk.Hundredths(c.Spent)}
		if c.Best != nil {
			out.Best = &c.Best.Check
		}
		p.Checks = append(p.Checks, out)
	}
	return p
}

func rounded(d training.Doubt) training.Doubt {
	d.Bits = talk.Hundredths(d.Bits)
	return d
}

// score is the line of a practice in the file of scores.
func (t *trainee) score(r *training.Replay) training.Score {
	wasted := 0
	for _, n := range r.Wasted {
		wasted += n
	}
	return training.Score{At: t.At(), Circuit: t.Speak.Circuit.Title,
		Fault: t.Model.Faults()[t.sitting().Hidden()].ID, Seed: t.seed,
		Checks: r.Searched(), Needed: float64(len(r.Guided.Checks)), Minutes: talk.Hundredths(r.Minutes),
		NeededMinutes: talk.Hundredths(r.Guided.Minutes),
		Wasted:        wasted, Unsafe: len(r.Unsafe), Hints: len(r.Hints), Right: r.Right, Proved: r.Proved}
}
