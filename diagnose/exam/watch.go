package exam

import (
	"time"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// When a candidate may need somebody to come by. Common practice, no source.
const (
	// IdleAfter is how long nothing may come of a candidate.
	IdleAfter = 3 * time.Minute
	// StuckAfter is how many checks one after the other may tell nothing.
	StuckAfter = 3
)

// Watch looks at the sittings of an exam while they go on.
type Watch struct{ mk *marker }

// NewWatch is for whoever has the key of an exam. Models are those of its circuits.
func NewWatch(k *Key, models []*diagnose.Model, s Scheme) *Watch {
	return &Watch{newMarker(k, models, s)}
}

// Glance is what is seen of one candidate's work on one fault.
type Glance struct {
	Circuit int
	State   State
	Right   bool       // the fault that was named is
	Checks  int        // made so far
	Last    *log.Entry // the last of them; nil for none
	// Start is what was not known when the work began, Now what is not known yet.
	Start, Now training.Doubt
	// Nothing is how many checks, up to the last, have told nothing.
	Nothing int
	Unsafe  []training.Unsafe
	Broken  int           // the first line of the log that does not belong there; zero for none
	Spent   time.Duration // by the record, until the last line
	At      time.Time     // of the last line of the record
}

// Stuck tells whether the last checks told nothing while more is possible than one thing.
func (g Glance) Stuck() bool {
	return g.State != Complete && g.Nothing >= StuckAfter && g.Now.Groups > 1
}

// Glance looks at the work of a candidate on a fault, from one.
func (w *Watch) Glance(c CandidateKey, task int, a Answers) (Glance, error) {
	t := c.Tasks[task-1]
	m := w.mk.models[t.Circuit]
	g := Glance{Circuit: t.Circuit, State: Missing}
	hidden, err := faultmodel.Find(m.Faults(), string(t.Fault))
	if err != nil {
		return g, err
	}
	sitting := SittingID(w.mk.key.Exam, c.Number, task)
	record := ReadRecord(a.Record, w.mk.key.RecordChain(sitting))
	g.Spent, g.At = record.Spent, record.Last
	if len(a.Text) == 0 {
		return g, nil
	}
	read := w.mk.read(a, m, c.Chain, sitting)
	g.Broken = read.followed.Broken
	s := training.NewSitting(m, hidden, 0)
	if err := s.Resume(read.log); err != nil {
		g.Broken = max(g.Broken, 1)
	}
	history := s.Log()
	g.Unsafe, g.State = s.Unsafe(), Begun
	end := len(history.Entries)
	for _, act := range history.Acts {
		if act.Kind == log.StateAct {
			end, g.State = act.Before, Complete
			if stated, err := faultmodel.Find(m.Faults(), string(act.Fault)); err == nil {
				g.Right = w.mk.near[t.Circuit].of(stated, hidden) >= w.mk.scheme.asked()
			}
			break
		}
	}
	g.follow(m, history, end)
	return g, nil
}

// GlanceAtPractice looks at a practice by its log, whose last line came at a time. It is complete
// when the operation was proved or the work given up, and right when the panel was put right.
func GlanceAtPractice(m *diagnose.Model, history log.Log, at time.Time) (Glance, error) {
	g := Glance{State: Begun, At: at}
	s, err := training.Resumed(m, history)
	if err != nil {
		return g, err
	}
	history = s.Log()
	g.Unsafe = s.Unsafe()
	if s.Ended() != training.NotEnded {
		g.State, g.Right = Complete, s.Ended() == training.Proved && s.Good()
	}
	g.follow(m, history, len(history.Entries))
	return g, nil
}

// follow takes the checks of a log up to an entry, and what they have left in doubt.
func (g *Glance) follow(m *diagnose.Model, history log.Log, end int) {
	entries := history.Entries[:end]
	told := training.Complaint(history).Entries
	g.Start = training.DoubtOf(m, m.Left(log.Log{Entries: told}))
	g.Now = training.DoubtOf(m, m.Left(log.Log{Entries: entries}))
	for i := len(entries) - 1; i >= len(told); i-- {
		if entries[i].Answer == nil {
			continue
		}
		if g.Checks++; g.Last == nil {
			g.Last = &entries[i]
		}
		if g.Nothing == g.Checks-1 && m.Doubt(m.Left(log.Log{Entries: entries[:i]})) <= g.Now.Bits+nothingBits {
			g.Nothing++
		}
	}
	if g.State == Begun && g.Checks > 0 {
		g.State = HalfWay
	}
}

// nothingBits is what a check may tell that tells nothing to speak of.
const nothingBits = 0.05

// Replay marks a candidate's work as it is so far.
func (w *Watch) Replay(c CandidateKey, answers map[int]Answers) (*Result, error) {
	if err := w.mk.hears(); err != nil {
		return nil, err
	}
	r := &Result{Exam: w.mk.key.Exam, Title: w.mk.key.Title, Form: w.mk.key.Form, Scheme: w.mk.scheme}
	for i := range c.Tasks {
		a, there := answers[i+1]
		if !there {
			continue
		}
		marked, err := w.mk.mark(c, i, []Answers{a})
		if err != nil {
			return nil, err
		}
		r.Marked = append(r.Marked, marked)
	}
	r.total()
	return r, nil
}
