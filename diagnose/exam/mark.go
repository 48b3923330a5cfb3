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
	// Right is set where the name is as near as the scheme asks for; Near is how near it is.
	Right bool `json:"right"`
	Near  Near `json:"near"`
	// Possible are the groups of faults that the checks had left when the fault was named, or
	// at the end. Share is the part of their weight that the name has, with all that is right
	// beside it; Settled is set where no check could have told more.
	Possible int     `json:"possible"`
	Share    float64 `json:"share"`
	Settled  bool    `json:"settled"`
	// Cleared is the part of the doubt after the complaint that the checks have cleared.
	Cleared float64 `json:"cleared"`

	Checks     []MarkedCheck     `json:"checks"` // up to where the fault was named
	Looks      int               `json:"looks"`  // of them, which cost nothing
	Premature  int               `json:"premature"`
	Redundant  int               `json:"redundant"`
	Irrelevant int               `json:"irrelevant"`
	Unsafe     []training.Unsafe `json:"unsafe"`

	// Clock is from the first line to the naming of the fault, or the last line: by the record of
	// the instructor's machine, where there is one, while that was serving.
	Clock    float64  `json:"clock-minutes"`
	Breaks   float64  `json:"break-minutes"` // of them between two sessions
	Panel    float64  `json:"panel-minutes"` // by what acts and checks take at a panel
	Late     float64  `json:"late-minutes"`  // beyond what was allowed, when the fault was named
	Expected Expected `json:"expected"`

	Points  Points   `json:"marks"`
	Reasons []Reason `json:"reasons"` // of the marks, part by part
	// Shares are the shares of what was still possible that are as near to the name, by
	// nearness. Replay is the work looked back on; nil where there is none.
	Shares  [Exact + 1]float64 `json:"-"`
	Replay  *training.Replay   `json:"-"`
	Chain   string             `json:"chain"`             // whole, broken or none
	Receipt string             `json:"receipt,omitempty"` // of the log as it was found
	Remarks []string           `json:"remarks"`           // what the instructor should look at
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
	Waste training.Waste  `json:"waste,omitempty"` // never of a look, which costs nothing
	// Better is the check to make there in place of a poor one.
	Better *log.Check  `json:"better,omitempty"`
	Left   int         `json:"groups"` // still possible after it
	Check  log.Check   `json:"-"`
	Saw    log.Reading `json:"-"`
}

// Answers is a file that may be an answer log.
type Answers struct {
	File string
	Text []byte
	// Record is what the instructor's machine has written down of the sitting; nil where it has
	// not.
	Record []byte
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
	Kinds    []Item    `json:"kinds"`   // the same by kind of fault
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
	mk := newMarker(k, models, s)
	if err := mk.hears(); err != nil {
		return nil, err
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
