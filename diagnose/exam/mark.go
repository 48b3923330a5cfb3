package exam

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// State is what became of one candidate's work on one fault.
type State string

const (
	Complete State = "complete" // a fault was named
	HalfWay  State = "half-way" // checks were made, and no fault named
	Begun    State = "begun"    // neither
	Missing  State = "missing"  // there is no answer log
)

// Marked is one candidate's work on one fault.
type Marked struct {
	Candidate Candidate     `json:"candidate"`
	Task      int           `json:"task"` // from one
	Circuit   string        `json:"circuit"`
	Fault     faultmodel.ID `json:"fault"`
	Text      string        `json:"text"`
	State     State         `json:"state"`
	File      string        `json:"file,omitempty"`
	Stated    faultmodel.ID `json:"stated,omitempty"`
	Right     bool          `json:"right"`
	// Possible are the groups of faults that the checks had left when the fault was named.
	Possible int `json:"possible"`

	Checks     []MarkedCheck     `json:"checks"` // up to where the fault was named
	Premature  int               `json:"premature"`
	Redundant  int               `json:"redundant"`
	Irrelevant int               `json:"irrelevant"`
	Unsafe     []training.Unsafe `json:"unsafe"`

	Clock    float64  `json:"clock-minutes"` // from the first line to the naming of the fault, or the last line
	Breaks   float64  `json:"break-minutes"` // of them between two sessions
	Panel    float64  `json:"panel-minutes"` // by what acts and checks take at a panel
	Late     float64  `json:"late-minutes"`  // beyond what was allowed, when the fault was named
	Expected Expected `json:"expected"`

	Points  Points   `json:"marks"`
	Chain   string   `json:"chain"`             // whole, broken or none
	Receipt string   `json:"receipt,omitempty"` // of the log as it was found
	Remarks []string `json:"remarks"`           // what the instructor should look at
}

// Expected is what the guided search takes for the fault.
type Expected struct {
	Checks  float64 `json:"checks"`
	Minutes float64 `json:"minutes"`
}

// Points are the marks for one fault, by part.
type Points struct {
	Fault  float64 `json:"fault"`
	Checks float64 `json:"checks"`
	Safety float64 `json:"safety"`
	Time   float64 `json:"time"`
	Total  float64 `json:"total"`
}

// MarkedCheck is a check that was made, and what it was worth.
type MarkedCheck struct {
	Line  int             `json:"line"`
	Entry json.RawMessage `json:"entry"`
	At    string          `json:"at,omitempty"`
	Bits  float64         `json:"bits"`
	Best  float64         `json:"best-bits"`
	Waste training.Waste  `json:"waste,omitempty"`
	Check log.Check       `json:"-"`
	Saw   log.Reading     `json:"-"`
}

// Answers is a file that may be an answer log.
type Answers struct {
	File string
	Text []byte
	// Asked is how many checks the instructor's machine has answered, where that is known.
	Asked *int
}

// Sitting names the sitting that an answer log is of; empty if it says none.
func (a Answers) Sitting() string {
	for line := range bytes.Lines(a.Text) {
		var head struct {
			Sitting string `json:"sitting"`
		}
		if json.Unmarshal(bytes.TrimPrefix(line, []byte("\uFEFF")), &head) == nil && head.Sitting != "" {
			return head.Sitting
		}
	}
	return ""
}

// Result is a marked exam.
type Result struct {
	Exam     string    `json:"exam"`
	Title    string    `json:"title"`
	Form     Form      `json:"form"`
	Scheme   Scheme    `json:"weights"`
	Marked   []Marked  `json:"marked"`
	Class    []Total   `json:"class"`
	Items    []Item    `json:"items"`
	Strange  []Strange `json:"strange"` // files that are no answers to this exam
	Complete bool      `json:"complete"`
}

// Total is one candidate's result.
type Total struct {
	Candidate Candidate `json:"candidate"`
	Points    Points    `json:"marks"` // means over the faults
	Percent   float64   `json:"percent"`
	Passed    bool      `json:"passed"`
	Found     int       `json:"found"`
	Of        int       `json:"of"`
	Missing   int       `json:"missing"`
	Remarks   int       `json:"remarks"`
}

// Strange is a file that is no answer to this exam.
type Strange struct {
	File string `json:"file"`
	Why  string `json:"why"`
}

// Mark marks the answers to an exam. Nothing stops it: what is missing or damaged is said
// in the remarks, and all the rest is marked. Models are those of the exam's circuits.
func Mark(e *Exam, k *Key, models []*diagnose.Model, s Scheme, answers []Answers) (*Result, error) {
	r := &Result{Exam: k.Exam, Title: k.Title, Form: k.Form, Scheme: s, Strange: []Strange{}, Complete: true}
	by := make(map[string][]Answers)
	for _, a := range answers {
		switch id := a.Sitting(); {
		case id == "":
			r.Strange = append(r.Strange, Strange{a.File, "it does not say of which sitting it is"})
		case !k.has(id):
			r.Strange = append(r.Strange, Strange{a.File,
				fmt.Sprintf("it is of the sitting %s, which this exam does not have", id)})
		default:
			by[id] = append(by[id], a)
		}
	}
	measure := diagnose.ByMinutes
	if k.By == "checks" {
		measure = diagnose.ByChecks
	}
	mk := marker{key: k, models: models, scheme: s, by: measure,
		expected: make([][]diagnose.Needed, len(models))}
	for i, m := range models {
		var err error
		if mk.expected[i], err = m.Needed(measure); err != nil {
			return nil, err
		}
	}
	for _, c := range k.Keys {
		for t := range c.Tasks {
			marked, err := mk.mark(c, t, by[SittingID(k.Exam, c.Number, t+1)])
			if err != nil {
				return nil, err
			}
			r.Marked = append(r.Marked, marked)
			r.Complete = r.Complete && marked.State == Complete && marked.Chain == chainWhole
		}
	}
	r.total()
	r.items(models)
	return r, nil
}

// has tells whether the exam has a sitting of that name.
func (k *Key) has(sitting string) bool {
	for _, c := range k.Keys {
		for t := range c.Tasks {
			if SittingID(k.Exam, c.Number, t+1) == sitting {
				return true
			}
		}
	}
	return false
}

type marker struct {
	key      *Key
	models   []*diagnose.Model
	scheme   Scheme
	by       diagnose.By
	expected [][]diagnose.Needed
}

func (mk *marker) mark(c CandidateKey, task int, answers []Answers) (Marked, error) {
	t := c.Tasks[task]
	m := mk.models[t.Circuit]
	hidden, err := faultmodel.Find(m.Faults(), string(t.Fault))
	if err != nil {
		return Marked{}, fmt.Errorf("the key does not belong to this circuit: %w", err)
	}
	x := mk.expected[t.Circuit][hidden]
	d := Marked{Candidate: c.Candidate, Task: task + 1, Circuit: m.Panel().Circuit.Title,
		Fault: t.Fault, Text: m.Faults()[hidden].Text,
		State: Missing, Checks: []MarkedCheck{}, Unsafe: []training.Unsafe{}, Remarks: []string{},
		Chain: chainNone, Expected: Expected{Tenth(x.Checks), Tenth(x.Minutes)}}
	remark := func(format string, args ...any) { d.Remarks = append(d.Remarks, fmt.Sprintf(format, args...)) }
	if len(answers) == 0 {
		remark("no answer log was handed in")
		return d, nil
	}
	sitting := SittingID(mk.key.Exam, c.Number, task+1)
	best := mk.read(answers[0], m, c.Chain, sitting)
	for _, a := range answers[1:] {
		other := mk.read(a, m, c.Chain, sitting)
		if other.better(best) {
			best, other = other, best
		}
		if !bytes.Equal(best.Text, other.Text) {
			remark("%s is of the same sitting and differs; it is not marked", other.File)
		}
	}
	d.File, d.Receipt, d.Chain = best.File, best.receipt, chainWhole
	if n := best.followed.Broken; n > 0 {
		d.Chain = chainBroken
		remark("the chain breaks at line %d: it was changed or added, or lines are missing before it; nothing from there on is marked", n)
	}
	if n := best.followed.Torn; n > 0 {
		remark("line %d: the last line is cut short, as by a crash, and is not marked: %s", n, best.cutShort())
	}
	for _, p := range best.problems {
		remark("line %d: %s", p.Pos.Line, p.What)
	}
	history := best.log
	end, stated := len(history.Entries), -1
	for i, a := range history.Acts {
		if a.Kind == log.StateAct {
			stated, end = i, a.Before
			break
		}
	}
	switch {
	case stated >= 0:
		d.State, d.Stated = Complete, history.Acts[stated].Fault
		f, err := faultmodel.Find(m.Faults(), string(d.Stated))
		d.Right = err == nil && training.Names(m, f, hidden)
		d.Possible = m.Groups(m.Left(log.Log{Entries: history.Entries[:end]}))
		if len(history.Entries) > end {
			remark("%d checks after the fault was named are not marked", len(history.Entries)-end)
		}
	case len(history.Entries) > 0:
		d.State = HalfWay
		remark("the candidate stopped before naming a fault")
	default:
		d.State = Begun
		remark("no check was made and no fault named")
	}
	if line := foreign(best.linked, history); line > 0 {
		d.Chain = chainBroken
		remark("line %d is not one that a sitting writes", line)
	}
	if best.Asked != nil {
		if n := answered(history); n != *best.Asked {
			remark("the instructor's machine answered %d checks, and the log has %d", *best.Asked, n)
		}
	}
	mk.times(&d, best.linked, remark)
	if err := mk.checks(&d, m, history, end); err != nil {
		return d, err
	}
	mk.again(&d, m, hidden, t, history, remark)
	d.Points = mk.scheme.Points(&d)
	return d, nil
}

// checks judges each check up to the end.
func (mk *marker) checks(d *Marked, m *diagnose.Model, history log.Log, end int) error {
	for i, e := range history.Entries[:end] {
		if e.Answer == nil {
			continue
		}
		j, err := training.Judge(m, history, i, mk.by)
		if err != nil {
			return err
		}
		switch j.Waste {
		case training.Premature:
			d.Premature++
		case training.Redundant:
			d.Redundant++
		case training.Irrelevant:
			d.Irrelevant++
		}
		d.Checks = append(d.Checks, MarkedCheck{Line: e.Line,
			Entry: log.MarshalWith(e.Check, *e.Answer), At: e.At,
			Bits: hundredth(j.Bits), Best: hundredth(j.Most), Waste: j.Waste, Check: e.Check, Saw: *e.Answer})
	}
	return nil
}

// Points gives the marks for one fault.
func (s Scheme) Points(d *Marked) Points {
	var p Points
	right := d.Right && (d.Late == 0 || s.Late == "all")
	if right {
		p.Fault = s.Fault
		p.Checks = max(0, s.Checks-s.Premature*float64(d.Premature)-s.Redundant*float64(d.Redundant)-s.Irrelevant*float64(d.Irrelevant))
		p.Time = s.Time * s.share(d)
	}
	if len(d.Checks) > 0 {
		p.Safety = max(0, s.Safety-s.Unsafe*float64(len(d.Unsafe)))
	}
	p.Checks, p.Safety, p.Time = Tenth(p.Checks), Tenth(p.Safety), Tenth(p.Time)
	p.Total = Tenth(p.Fault + p.Checks + p.Safety + p.Time)
	return p
}

// share is the part of the time marks that the time is worth.
func (s Scheme) share(d *Marked) float64 {
	spent := d.Panel
	if s.Clock == "wall" {
		spent = d.Clock
		if s.Breaks == "left out" {
			spent -= d.Breaks
		}
	}
	if d.Expected.Minutes <= 0 {
		return 1
	}
	times := spent / d.Expected.Minutes
	return min(1, max(0, (s.None-times)/(s.None-s.Full)))
}

// Tenth rounds to the first decimal: marks, minutes and checks are given so.
func Tenth(x float64) float64     { return math.Round(x*10) / 10 }
func hundredth(x float64) float64 { return math.Round(x*100) / 100 }

// total adds up each candidate's marks.
func (r *Result) total() {
	for _, d := range r.Marked {
		i := slices.IndexFunc(r.Class, func(t Total) bool { return t.Candidate == d.Candidate })
		if i < 0 {
			i = len(r.Class)
			r.Class = append(r.Class, Total{Candidate: d.Candidate})
		}
		t := &r.Class[i]
		t.Of++
		t.Points.Fault += d.Points.Fault
		t.Points.Checks += d.Points.Checks
		t.Points.Safety += d.Points.Safety
		t.Points.Time += d.Points.Time
		t.Points.Total += d.Points.Total
		t.Remarks += len(d.Remarks)
		if d.Right {
			t.Found++
		}
		if d.State != Complete {
			t.Missing++
		}
	}
	for i := range r.Class {
		t := &r.Class[i]
		n := float64(t.Of)
		t.Points = Points{Tenth(t.Points.Fault / n), Tenth(t.Points.Checks / n),
			Tenth(t.Points.Safety / n), Tenth(t.Points.Time / n), Tenth(t.Points.Total / n)}
		t.Percent = Tenth(100 * t.Points.Total / r.Scheme.All())
		t.Passed = t.Percent >= r.Scheme.Pass
	}
}
