package training

import (
	"slices"

	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// Replay is a sitting looked back on.
type Replay struct {
	Checks []Replayed // up to the repair that put the panel right
	// Start is what was not known when the work began.
	Start Doubt
	// Guided is what the guided search would have done from the same complaint.
	Guided Guided
	// Minutes are those spent until the fault was named for the last time, or all of them
	// where it never was; All are those of the whole sitting.
	Minutes, All float64
	Wasted       map[Waste]int
	Unsafe       []Unsafe
	Hints        []int // by their strengths
	Repairs      int
	Stated       faultmodel.ID // the last; empty if none
	// Right is set where the fault that was named is the hidden one, or one that no check
	// tells from it, or one with the same repair.
	Right bool
	// Repaired is set once the panel is good again, and Proved where the whole operation
	// was worked after that and called right.
	Repaired, Proved bool
}

// Replayed is one check of a replay.
type Replayed struct {
	Judged
	Entry diagnose.Entry
	// Spent are the minutes at the panel until after it.
	Spent float64
	// Search is set on checks from before the fault was named for the last time.
	Search bool
}

// Searched counts the checks that were made until the fault was named for the last time.
func (r *Replay) Searched() int {
	n := 0
	for _, c := range r.Checks {
		if c.Search {
			n++
		}
	}
	return n
}

// Guided is the guided search, answered by the panel with a fault.
type Guided struct {
	Checks  []diagnose.Check
	Doubts  []Doubt   // after each check
	Spent   []float64 // minutes until after each check
	Minutes float64
}

// Guide lets the guided search find a fault, from what a log tells already, until one
// group is left or nothing tells more.
func Guide(m *diagnose.Model, fault int, known diagnose.Log, by diagnose.By) (Guided, error) {
	var g Guided
	meter := m.Meter(fault)
	show := Display{Model: m}
	log := diagnose.Log{Entries: slices.Clone(known.Entries)}
	for {
		t := m.Turn(log, diagnose.Choosing{By: by, Most: -1})
		if t.Groups < 2 || t.Next == nil {
			return g, nil
		}
		c := t.Next.Check
		r, err := meter.Read(c)
		if err != nil {
			return g, err
		}
		shown := show.Show(c, r, func(e diagnose.Entry) bool { return m.Fits(fault, e) }, len(log.Entries))
		e, err := m.NewEntry(c, &shown.Reading)
		if err != nil {
			return g, err
		}
		log.Entries = append(log.Entries, e)
		g.Minutes += t.Next.Minutes
		g.Checks = append(g.Checks, c)
		g.Doubts = append(g.Doubts, DoubtOf(m, m.Left(log)))
		g.Spent = append(g.Spent, g.Minutes)
	}
}

// Play looks back on a sitting.
func Play(s *Sitting, by diagnose.By) (Replay, error) {
	m, log := s.m, s.log
	r := Replay{Wasted: map[Waste]int{}, Unsafe: s.unsafe, All: s.minutes, Minutes: s.minutes}
	complaint := Complaint(log)
	r.Start = DoubtOf(m, m.Left(complaint))
	stated := len(log.Entries) // entries before the fault was last named
	good := len(log.Entries)   // entries before the panel was put right
	for i, a := range log.Acts {
		switch a.Kind {
		case diagnose.HintAct:
			r.Hints = append(r.Hints, a.Strength)
		case diagnose.StateAct:
			r.Stated, stated = a.Fault, a.Before
			r.Minutes = s.actSpent[i]
			f, _ := faultmodel.Find(m.Faults(), string(a.Fault))
			r.Right = Names(m, f, s.hidden)
		case diagnose.RepairAct:
			r.Repairs++
			r.Proved = false
			if f, err := faultmodel.Find(m.Faults(), string(a.Fault)); err == nil && s.PutsRight(f) {
				good = min(good, a.Before)
			}
		case diagnose.ProveAct:
			r.Proved = *a.Right && s.now == diagnose.Good
		}
	}
	r.Repaired = s.now == diagnose.Good && s.hidden != diagnose.Good
	r.Proved = r.Proved && r.Repaired
	for i, e := range log.Entries[:good] {
		if i < len(complaint.Entries) || e.Answer == nil {
			continue
		}
		j, err := Judge(m, log, i, by)
		if err != nil {
			return r, err
		}
		if j.Waste != Useful {
			r.Wasted[j.Waste]++
		}
		r.Checks = append(r.Checks, Replayed{j, e, s.spent[i], i < stated})
	}
	if s.hidden == diagnose.Good {
		return r, nil
	}
	var err error
	r.Guided, err = Guide(m, s.hidden, complaint, by)
	return r, err
}

// Names tells whether naming one fault finds another: the same one, one that no check
// tells from it, or one with the same repair.
func Names(m *diagnose.Model, stated, hidden int) bool {
	if hidden == diagnose.Good {
		return false
	}
	return m.Group(stated) == m.Group(hidden) || SameRepair(m, stated, hidden)
}
