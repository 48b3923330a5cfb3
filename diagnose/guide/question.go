package guide

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// Key is one choice of a question: a word, as "why", or a kind of thing and the thing, as
// "step:2", "device:H1", "terminal:CR1:A1".
type Key string

// Of gives the kind of thing that a key means, and the thing; a word has no thing.
func (k Key) Of() (kind, thing string) {
	kind, thing, _ = strings.Cut(string(k), ":")
	return kind, thing
}

// Index is the number behind the kind of a key; -1 for none.
func (k Key) Index() int {
	_, thing := k.Of()
	if i, err := strconv.Atoi(thing); err == nil {
		return i
	}
	return -1
}

func keyOf(kind string, thing any) Key { return Key(fmt.Sprintf("%s:%v", kind, thing)) }

// Wants is what may be given in place of a choice.
type Wants string

const (
	OnlyChoice Wants = ""
	AReading   Wants = "reading" // of the check that is asked for
	ACheck     Wants = "check"   // a look, or the terminals of one with a meter
	AWhere     Wants = "where"   // a device, a terminal, a wire number or the ID of a fault
	ASight     Wants = "sight"   // where something was found by eye, and what
	AText      Wants = "text"
	AComplaint Wants = "complaint" // a look with its step, and what was seen
)

// Question is what a session asks.
type Question struct {
	Ask     Place `json:"ask"`
	Choices []Key `json:"choices,omitempty"`
	Wants   Wants `json:"wants,omitempty"`
	// Panel is set where the panel answers, or what stands for it, and not the person.
	Panel bool `json:"panel,omitempty"`

	Check *log.Check         `json:"check,omitempty"` // whose reading is wanted
	Kind  log.Kind           `json:"kind,omitempty"`  // of the check that is chosen
	Step  int                `json:"step,omitempty"`
	Hold  bool               `json:"hold,omitempty"`
	Lead  int                `json:"lead,omitempty"` // 0 the red one, 1 the black one
	Mends bool               `json:"mends,omitempty"`
	Whole bool               `json:"whole,omitempty"` // every step that is left, not one
	Fault faultmodel.ID      `json:"fault,omitempty"`
	Stand diagnose.Condition `json:"-"` // where the panel stands
	// Between is set where the circuit was moved by hand and stands between two steps.
	Between bool `json:"between,omitempty"`
	// Worked is the step to whose end the circuit was worked before the power went off, -1
	// for none; Nth counts the readings taken before.
	Worked int `json:"worked,omitempty"`
	Nth    int `json:"nth,omitempty"`
	// Must is what a good circuit shows at the end of the step, and Seen what is seen; nil
	// where the person looks.
	Must *Sight `json:"must,omitempty"`
	Seen *Sight `json:"seen,omitempty"`
}

// Sight is what can be seen of a circuit at the end of a step, by the names of devices.
type Sight struct {
	On  []string `json:"on,omitempty"`
	Off []string `json:"off,omitempty"`
	Odd []string `json:"odd,omitempty"` // chatters or glimmers
}

// Answer is an answer to a question: one of its choices, or what it wants.
type Answer struct {
	Take    Key
	About   string // behind a "why": the fault that is asked about; behind an "other": which
	Reading *log.Reading
	Shown   *training.Shown // by the panel
	Check   *log.Check      // without its step
	Where   string
	Text    string  // what was seen there, or a note
	Wait    float64 // seconds, with a "wait"
	At      string  // the time of the answer (RFC 3339, or none)
}

// kept gives an answer with its reading as the log keeps it.
func (a Answer) kept() (Answer, error) {
	if a.Shown != nil {
		shown := *a.Shown
		r, err := shown.Reading.Kept()
		shown.Reading, a.Shown = r, &shown
		return a, err
	}
	if a.Reading != nil {
		r, err := a.Reading.Kept()
		a.Reading = &r
		return a, err
	}
	return a, nil
}

// Take is the answer that takes a choice.
func Take(k Key) Answer { return Answer{Take: k} }

// Has tells whether a question has a choice.
func (q Question) Has(k Key) bool { return slices.Contains(q.Choices, k) }

// allows tells why an answer is none to the question.
func (q Question) allows(a Answer) error {
	wrong := func(what string) error { return fmt.Errorf("%s is no answer at %q", what, q.Ask) }
	switch {
	case !(a.Wait >= 0): // nor one that is no number
		return wrong("a wait of less than no time")
	case a.Take != "":
		if !q.Has(a.Take) {
			return wrong(strconv.Quote(string(a.Take)))
		}
	case a.Shown != nil:
		if q.Wants != AReading || a.Shown.Reading.Kind != q.Check.Kind() {
			return wrong("what a panel shows")
		}
	case q.Wants == AComplaint && a.Check != nil && a.Reading != nil:
		if a.Check.Kind() != log.Look || a.Reading.Kind != log.Look {
			return wrong("what is no look")
		}
	case q.Wants == ASight && a.Where != "" && a.Text != "", q.Wants == AText && a.Text != "":
	case a.Reading != nil:
		if q.Wants != AReading || a.Reading.Kind != q.Check.Kind() {
			return wrong("a reading")
		}
	case a.Check != nil:
		if q.Wants != ACheck || a.Check.Kind() != q.Kind {
			return wrong("a check")
		}
	case a.Where == "" || q.Wants != AWhere:
		return wrong("nothing")
	}
	return nil
}

// Ask gives what the session asks where it stands.
func (s Session) Ask() Question {
	q := Question{Ask: s.state.At}
	steps := s.m.Panel().Circuit.Steps
	add := func(keys ...Key) { q.Choices = append(q.Choices, keys...) }
	addSteps := func() {
		for i := range steps {
			add(keyOf("step", i))
		}
	}
	switch s.state.At {
	case Complaint:
		q.Wants = AComplaint
		add("none")
		addSteps()
		add("stop")
	case FoundByEye:
		q.Wants = ASight
		add("return")
	case Noting:
		q.Wants = AText
		add("return")
	case WrongIn:
		q.Step, q.Wants = s.state.Step, AComplaint
		add("return")
		for _, l := range s.usualLooks(s.state.Step) {
			add(keyOf("device", l.check.Look))
		}
	case Check:
		s.askCheck(&q)
	case Other:
		add("return")
		for i := range s.Turn().Others {
			add(keyOf("other", i))
		}
		add("look", "volts", "ohms")
		if len(s.m.Panel().DiodeConductors()) > 0 {
			add("diode")
		}
	case OwnStep:
		q.Kind = s.state.Kind
		add("return")
		addSteps()
	case OwnCheck:
		q.Kind, q.Step, q.Wants = s.state.Kind, s.state.Step, ACheck
		add("return")
	case Doubtful:
		add("return")
		for _, c := range s.Turn().Conflicts {
			add(keyOf("entry", c.Index))
		}
	case Drop:
		add("return")
		for _, i := range Doubted(s.Turn()) {
			add(keyOf("entry", i))
		}
	case Idle:
		add("possible")
		if s.Turn().Status != diagnose.Healthy {
			add("repeat", "drop")
		}
		add("other", "seen", "complaint", "works", "back", "stop")
	case Works:
		add("fails", "seen", "possible", "again", "stop")
	case Repair:
		add("verdict", "repaired", "other", "seen", "possible", "back", "stop")
		if Doubts(s.Turn()) {
			add("drop")
		}
	case Operation:
		s.askStep(&q)
	default:
		s.askAtPanel(&q)
	}
	return q
}

// askCheck asks for the answer of the check that is proposed.
func (s *Session) askCheck(q *Question) {
	p := s.Proposal()
	q.Check, q.Kind, q.Wants, q.Panel = &p.Check, p.Check.Kind(), AReading, !s.rules.Entered
	q.Nth = len(s.log.Entries)
	q.Choices = append(q.Choices, "why")
	if q.Kind == log.Look {
		q.Choices = append(q.Choices, "on", "off", "dim", "chatters", "flashing", "unknown")
	}
	if odd(s.Turn()) {
		q.Choices = append(q.Choices, "repeat")
	}
	if Doubts(s.Turn()) {
		q.Choices = append(q.Choices, "drop")
	}
	q.Choices = append(q.Choices, "cannot", "other", "seen", "works", "unsure", "note", "complaint", "draw", "possible",
		"back", "again", "stop")
}
