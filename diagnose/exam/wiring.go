package exam

import (
	"crypto/sha256"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/plan"
	"deadrung/circuits/wirelist"
)

// SetWiring sets an exam in wiring: everybody plans the wires of the same ladder. It hides
// nothing but the drawing with its numbers, so it has no key; made is when it was set (RFC 3339).
func SetWiring(title string, minutes float64, class []Candidate, circuit CircuitFile, made string) *Exam {
	h := sha256.New()
	fmt.Fprintf(h, "wiring %q %q %g %x\n", made, title, minutes, SumOf([]CircuitFile{circuit}))
	return &Exam{Version: Version, ID: fmt.Sprintf("%x", h.Sum(nil)[:4]), Title: title, Form: Wiring, Minutes: minutes,
		Circuits: []CircuitFile{circuit}, Class: class}
}

// WiringMark is what one candidate's plan is worth.
type WiringMark struct {
	Candidate Candidate       `json:"candidate"`
	File      string          `json:"file,omitempty"` // empty where none was handed in
	Wires     []plan.Wire     `json:"-"`
	Right     bool            `json:"right"`
	Whole     int             `json:"whole"` // conductors
	Mistakes  []plan.Kind     `json:"mistakes"`
	Reasons   []Reason        `json:"reasons"`
	Total     float64         `json:"total"`
	Percent   float64         `json:"percent"`
	Passed    bool            `json:"passed"`
	Remarks   []string        `json:"remarks,omitempty"`
	Judgement *plan.Judgement `json:"-"`
}

// Absent tells whether nothing was handed in that could be read.
func (m *WiringMark) Absent() bool { return m.Judgement == nil }

// WiringItem tells how a class did at one conductor.
type WiringItem struct {
	Wire  string `json:"wire"`  // its number on the drawing
	Whole int    `json:"whole"` // so many had it whole
	There int    `json:"there"` // of so many who handed in a plan
	// Discrimination is how far those had it whole who had more of the other conductors: a
	// correlation, from -1 to 1; nil where all did alike.
	Discrimination *float64 `json:"discrimination"`
	Few            bool     `json:"few"` // so few were there that the figures say little
}

// WiringResult is an exam in wiring, marked.
type WiringResult struct {
	Exam       string       `json:"exam"`
	Title      string       `json:"title"`
	Form       Form         `json:"form"`
	Circuit    string       `json:"circuit"`
	Conductors int          `json:"conductors"`
	Marks      []WiringMark `json:"marks"`
	Items      []WiringItem `json:"items"`
	Strange    []Strange    `json:"strange"`
	Scheme     Scheme       `json:"scheme"`
}

// MarkWiring marks the plans of a class, lists in CSV whose names begin with the number of the
// candidate. Nothing stops it: what is missing or cannot be read is said, and the rest is marked.
func MarkWiring(e *Exam, c *circuits.Circuit, s Scheme, answers []Answers) *WiringResult {
	r := &WiringResult{Exam: e.ID, Title: e.Title, Form: Wiring, Circuit: c.Title, Conductors: len(c.Numbers),
		Items: []WiringItem{}, Strange: []Strange{}, Scheme: s}
	of := make(map[int]*WiringMark)
	r.Marks = make([]WiringMark, len(e.Class))
	for i, who := range e.Class {
		r.Marks[i] = WiringMark{Candidate: who, Mistakes: []plan.Kind{}}
		of[who.Number] = &r.Marks[i]
	}
	for _, a := range answers {
		name := filepath.Base(a.File)
		number, _ := strconv.Atoi(name[:len(name)-len(strings.TrimLeft(name, "0123456789"))])
		m := of[number]
		switch {
		case m == nil:
			r.Strange = append(r.Strange, Strange{a.File, "its name does not begin with the number of a candidate"})
			continue
		case m.File != "":
			r.Strange = append(r.Strange, Strange{a.File, fmt.Sprintf("candidate %s has handed in %s already", m.Candidate.Label(), filepath.Base(m.File))})
			continue
		}
		m.File = a.File
		rows, problems := wirelist.ReadPlan(a.File, a.Text, nil)
		if err := problems.Err(); err != nil {
			m.Remarks = append(m.Remarks, "the plan cannot be read: "+err.Error())
			continue
		}
		m.Wires = wirelist.PlanOf(c, rows)
		m.mark(c, s)
	}
	for i := range r.Marks {
		if m := &r.Marks[i]; m.File == "" {
			m.Remarks = append(m.Remarks, "no plan was handed in")
		}
	}
	r.items(c)
	return r
}

// mark gives a plan its marks, each with its reason.
func (m *WiringMark) mark(c *circuits.Circuit, s Scheme) {
	j := plan.Judge(c, m.Wires)
	m.Judgement, m.Right, m.Whole = j, j.Right(), j.Done()
	numbers, landings := 0, 0
	for _, x := range j.Mistakes {
		m.Mistakes = append(m.Mistakes, x.Kind)
		switch x.Kind {
		case plan.TwoNumbers, plan.OneNumber:
			numbers++
		case plan.Crowded:
			landings++
		}
	}
	all := len(c.Numbers)
	done := float64(m.Whole) / float64(max(1, all))
	less := func(n int) float64 { return max(0, 1-float64(n)/float64(max(1, all))) * done }
	short := 0
	for _, h := range plan.Energise(c, m.Wires) {
		if h.What == plan.Opens || h.What == plan.Collapses {
			short++
		}
	}
	safe := done
	why := "nothing is shorted when it is energised, as far as the wiring went"
	if short > 0 {
		safe, why = 0, "energised, it would short the supply or blow a fuse; nobody passes with a short"
	}
	m.Reasons = []Reason{
		{"joined", s.Joined * done, s.Joined, fmt.Sprintf("%d of %s whole", m.Whole, circuits.Counted(all, "conductor"))},
		{"numbers", s.Numbers * less(numbers), s.Numbers, circuits.Counted(numbers, "mistake") + " with numbers, as far as the wiring went"},
		{"landings", s.Landings * less(landings), s.Landings, circuits.Counted(landings, "terminal") + " with more than two wires, as far as the wiring went"},
		{"no short", s.Short * safe, s.Short, why},
	}
	for _, x := range m.Reasons {
		m.Total += x.Had
	}
	m.Percent = 100 * m.Total / s.Wiring()
	m.Passed = m.Percent >= s.Pass && short == 0 // nobody passes with a short
}

// items tells how the class did at each conductor.
func (r *WiringResult) items(c *circuits.Circuit) {
	for n := range c.Numbers {
		it := WiringItem{Wire: c.Numbers[n].Name}
		var had, others []float64
		for i := range r.Marks {
			m := &r.Marks[i]
			if m.Absent() {
				continue
			}
			it.There++
			x := 0.0
			if m.Judgement.Whole[n] {
				it.Whole++
				x = 1
			}
			had, others = append(had, x), append(others, float64(m.Whole)-x)
		}
		it.Few = it.There <= FewThere
		if d, ok := correlation(had, others); ok {
			it.Discrimination = &d
		}
		r.Items = append(r.Items, it)
	}
}
