package training

import (
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
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
	// tells from it, or one with the same repair; of two, where both were named.
	Right bool
	// Repaired is set once the panel is good again, and Proved where the whole operation
	// was worked after that and called right.
	Repaired, Proved bool
}

// Replayed is one check of a replay.
type Replayed struct {
	Judged
	Entry log.Entry
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
	Checks  []log.Check
	Doubts  []Doubt   // after each check
	Spent   []float64 // minutes until after each check
	Minutes float64
}

// Guide lets the guided search find a fault, from what a log tells already, until one
// group is left or nothing tells more.
func Guide(m *diagnose.Model, fault int, known log.Log, by diagnose.By) (Guided, error) {
	var g Guided
	meter := m.Meter(fault)
	show := Display{Model: m}
	history := log.Log{Entries: slices.Clone(known.Entries)}
	for {
		t := m.Turn(history, diagnose.Choosing{By: by, Most: -1})
		if t.Groups < 2 || t.Next == nil {
			return g, nil
		}
		c := t.Next.Check
		r, err := meter.Read(c)
		if err != nil {
			return g, err
		}
		shown := show.Show(c, r, func(e log.Entry) bool { return m.Fits(fault, e) }, len(history.Entries))
		e, err := m.Book().NewEntry(c, &shown.Reading)
		if err != nil {
			return g, err
		}
		history.Entries = append(history.Entries, e)
		g.Minutes += t.Next.Minutes
		g.Checks = append(g.Checks, c)
		g.Doubts = append(g.Doubts, DoubtOf(m, m.Left(history)))
		g.Spent = append(g.Spent, g.Minutes)
	}
}

// Play looks back on a sitting.
func Play(s *Sitting, by diagnose.By) (Replay, error) {
	m, history := s.m, s.log
	r := Replay{Wasted: map[Waste]int{}, Unsafe: s.unsafe, All: s.minutes, Minutes: s.minutes}
	complaint := Complaint(history)
	r.Start = DoubtOf(m, m.Left(complaint))
	stated := len(history.Entries) // entries before the fault was last named
	good := len(history.Entries)   // entries before the panel was put right
	named, left := make(map[int]bool), s.hidden
	for i, a := range history.Acts {
		switch a.Kind {
		case log.HintAct:
			r.Hints = append(r.Hints, a.Strength)
		case log.StateAct:
			r.Stated, stated = a.Fault, a.Before
			r.Minutes = s.actSpent[i]
			f, _ := faultmodel.Find(m.Faults(), string(a.Fault))
			if len(s.hidden) == 1 {
				clear(named) // the last counts
			}
			for _, h := range s.hidden {
				named[h] = named[h] || Names(m, f, h)
			}
		case log.RepairAct:
			r.Repairs++
			r.Proved = false
			if f, err := faultmodel.Find(m.Faults(), string(a.Fault)); err == nil && len(left) > 0 {
				if left = mended(m, left, f); len(left) == 0 {
					good = min(good, a.Before)
				}
			}
		case log.ProveAct:
			r.Proved = *a.Right && s.Good()
		}
	}
	r.Right = len(s.hidden) > 0 && !slices.ContainsFunc(s.hidden, func(h int) bool { return !named[h] })
	r.Repaired = s.Good() && len(s.hidden) > 0
	r.Proved = r.Proved && r.Repaired
	for i, e := range history.Entries[:good] {
		if i < len(complaint.Entries) || e.Answer == nil {
			continue
		}
		j, err := Judge(m, history, i, by)
		if err != nil {
			return r, err
		}
		if j.Waste != Useful {
			r.Wasted[j.Waste]++
		}
		r.Checks = append(r.Checks, Replayed{j, e, s.spent[i], i < stated})
	}
	known := complaint
	for i, h := range s.hidden { // of two the first, and once that is put right the other
		if i > 0 {
			e, seen, err := ComplaintOf(m, h)
			if err != nil {
				return r, err
			}
			if known = (log.Log{}); seen {
				known.Entries = []log.Entry{e}
			}
		}
		g, err := Guide(m, h, known, by)
		if err != nil {
			return r, err
		}
		r.Guided.join(g)
	}
	return r, nil
}

// join adds a search that follows another.
func (g *Guided) join(next Guided) {
	for _, spent := range next.Spent {
		g.Spent = append(g.Spent, g.Minutes+spent)
	}
	g.Checks, g.Doubts = append(g.Checks, next.Checks...), append(g.Doubts, next.Doubts...)
	g.Minutes += next.Minutes
}

// Names tells whether naming one fault finds another: the same one, one that no check
// tells from it, or one with the same repair.
func Names(m *diagnose.Model, stated, hidden int) bool {
	if hidden == diagnose.Good {
		return false
	}
	return m.Group(stated) == m.Group(hidden) || SameRepair(m, stated, hidden)
}

// MostDoubt is the greatest doubt there was, in bits.
func (r *Replay) MostDoubt() float64 {
	most := r.Start.Bits
	for _, c := range r.Checks {
		most = max(most, c.Before.Bits, c.After.Bits)
	}
	return most
}
