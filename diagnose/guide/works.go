package guide

import (
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// What comes and goes: while it works no check tells anything of it. The session says what to
// watch and how to bring it back, and goes on with the search when it fails again.

// works takes down that what failed works at the moment, or fails again.
func (w *taking) works(kind log.ActKind) error {
	watched := w.Turn().Watch
	a := log.Act{Kind: kind, At: w.at, Before: len(w.log.Entries)}
	if err := w.keep(a.AppendTo); err != nil {
		return err
	}
	w.log.Acts = append(slices.Clip(w.log.Acts), a)
	w.turn = nil
	if kind == log.FailsAct {
		w.tell(Event{Kind: FailsAgain})
		if watched != nil { // it stands as it stood when it failed
			w.state.Stand = After(w.m.Panel().Circuit, *watched)
		}
	}
	w.settle()
	return nil
}

// provoke tells what to watch and how to bring the trouble back.
func (w *taking) provoke() {
	watched := w.Turn().Watch
	from := w.state.Stand
	if watched != nil {
		w.caution(&diagnose.Proposal{Check: *watched})
		from = w.state.Stand
	}
	w.tell(Event{Kind: ItWorks, Check: watched, From: from})
}

// whileItWorks takes what is said while it works.
func (w *taking) whileItWorks(a Answer) error {
	switch a.Take {
	case "fails":
		return w.works(log.FailsAct)
	case "again":
		w.provoke()
		return nil
	}
	return w.common(a)
}
