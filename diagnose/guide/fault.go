package guide

import (
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// where takes where the fault is, and which of those there.
func (w *taking) where(a Answer) error {
	word := a.Where
	if a.Take != "" {
		kind, thing := a.Take.Of()
		switch kind {
		case "list":
			w.state.At = FaultWhere
			return nil
		case "fault":
			f, err := faultmodel.Find(w.m.Faults(), thing)
			if err != nil {
				return err
			}
			return w.picked(f)
		}
		word = thing
	}
	switch found := FaultsAt(w.m, word); len(found) {
	case 0:
		w.tell(Event{Kind: NoFaultAt, Text: word})
		w.state.At = Fault
	case 1:
		return w.picked(found[0])
	default:
		w.state.At, w.state.Where = FaultWhich, word
	}
	return nil
}

// picked takes the fault that is named or put right.
func (w *taking) picked(f int) error {
	switch {
	case w.state.Mends:
		return w.mended(f)
	case !w.rules.Repairs:
		w.state.At, w.state.Fault = Confirm, w.m.Faults()[f].ID
		return nil
	}
	return w.named(f)
}

// named takes the fault that is named. In an exam that ends the work.
func (w *taking) named(f int) error {
	act := log.Act{Kind: log.StateAct, Fault: w.m.Faults()[f].ID}
	w.state.At, w.state.Fault = Act, ""
	if err := w.do(act); err != nil {
		return err
	}
	w.state.Named = act.Fault
	e := Event{Kind: FaultNamed, Fault: act.Fault}
	if w.rules.Coach == CoachAlways {
		e.Stands = w.stands(f)
	}
	w.tell(e)
	if w.ended() {
		w.state.At = Over
	}
	return nil
}

// stands tells how a fault stands against the readings.
func (w *taking) stands(f int) *NamedStands {
	log := w.Log()
	var n NamedStands
	for i, e := range log.Entries {
		if i >= log.Since() && !w.m.Fits(f, e) {
			n.Against++
		}
	}
	left := w.m.Left(log)
	n.Faults, n.Groups = len(left), w.m.Groups(left)
	return &n
}

// mended puts a fault right. Whether that was it, the operation tells.
func (w *taking) mended(f int) error {
	act := log.Act{Kind: log.RepairAct, Fault: w.m.Faults()[f].ID}
	w.state.At = Act
	if err := w.do(act); err != nil {
		return err
	}
	w.tell(Event{Kind: Done, Act: &act})
	return nil
}

// FaultsAt lists the faults that a word means, as [faultmodel.At] does.
func FaultsAt(m *diagnose.Model, word string) []int { return faultmodel.At(m.Faults(), word) }
