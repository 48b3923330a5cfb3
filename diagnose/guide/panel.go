package guide

import (
	"errors"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// beginWork begins a practice: the panel hides its fault, and the people at it say what is
// wrong. An exam begins without a word. One with a log is gone on with.
func (w *taking) beginWork() error {
	w.state.At = Act
	history := w.sit.Log()
	if w.rules.Helps && len(history.Entries)+len(history.Acts) == 0 {
		if err := w.sit.Begin(w.at); err != nil {
			return err
		}
		if _, _, err := w.sit.Complain(w.at); err != nil {
			return err
		}
	}
	for _, a := range history.Acts {
		if a.Kind == log.StateAct {
			w.state.Named = a.Fault
		}
	}
	if w.ended() {
		w.state.At = Over
	}
	return nil
}

// ended tells whether the work at the panel has come to its end.
func (s *Session) ended() bool {
	if s.rules.Repairs {
		return s.sit.Ended() != training.NotEnded
	}
	return slices.ContainsFunc(s.sit.Log().Acts, func(a log.Act) bool { return a.Kind == log.StateAct })
}

// askAtPanel asks what somebody is asked who chooses the checks.
func (s *Session) askAtPanel(q *Question) {
	add := func(keys ...Key) { q.Choices = append(q.Choices, keys...) }
	p := s.m.Panel()
	if s.sit != nil {
		q.Stand, q.Worked, q.Nth = s.sit.Stand(), s.sit.Worked(), s.sit.Taken()
	}
	q.Kind, q.Hold, q.Mends = s.state.Kind, s.state.Hold, s.state.Mends
	q.Lead = len(s.state.Leads)
	next := q.Stand.Step + 1
	switch s.state.At {
	case Act:
		q.Between = len(s.state.Moved) > 0 || s.state.Waited > 0
		q.Choices = s.acts()
	case ToStep:
		add("return")
		if next < len(p.Circuit.Steps) {
			add("next")
		}
		for i := range p.Circuit.Steps {
			add(keyOf("step", i))
		}
	case ByHand:
		add("return")
		for _, d := range p.Operators() {
			for _, position := range d.Positions {
				add(keyOf("move", d.Name+" "+position))
			}
		}
		add("wait")
	case LookAt:
		add("return")
		for _, d := range p.Visible() {
			add(keyOf("device", d.Name))
		}
	case Leads:
		q.Wants = ACheck
		add("return", "list")
	case LeadPlace:
		add("return")
		for _, place := range Places(p.Circuit) {
			add(keyOf("place", place))
		}
	case LeadDevice:
		add("return")
		for _, d := range s.devicesAt(s.state.Place) {
			add(keyOf("device", d.Name))
		}
	case LeadScrew:
		add("return")
		for _, t := range s.screws(p.Circuit.Device(s.state.Device)) {
			add(keyOf("terminal", t))
		}
	case Lift:
		add("none")
		for _, t := range s.state.Leads {
			add(keyOf("terminal", t))
		}
	case Measure:
		q.Check, q.Kind, q.Wants, q.Panel = s.state.Own, s.state.Own.Kind(), AReading, !s.rules.Entered
		add("return")
		if q.Kind == log.Look && !q.Panel {
			add("on", "off")
		}
	case Mend:
		q.Fault = s.state.Named
		add("return", "named", "other")
	case Fault:
		q.Wants = AWhere
		add("return", "list")
	case FaultWhere:
		add("return")
		for _, d := range p.Circuit.Devices {
			if len(FaultsAt(s.m, d.Name)) > 0 {
				add(keyOf("device", d.Name))
			}
		}
		for _, n := range p.Circuit.Numbers {
			if len(FaultsAt(s.m, n.Name)) > 0 {
				add(keyOf("wire", n.Name))
			}
		}
	case FaultWhich:
		add("return")
		for _, f := range FaultsAt(s.m, s.state.Where) {
			add(keyOf("fault", s.m.Faults()[f].ID))
		}
	case Confirm:
		q.Fault = s.state.Fault
		add("return", "yes")
	case Strength:
		add("return", "strength:1", "strength:2", "strength:3")
	case GiveUp:
		add("return", "yes")
	}
}

// acts are what can be done as the panel stands.
func (s *Session) acts() []Key {
	keys := s.everyAct()
	if at := slices.Index(keys, "ohms"); len(s.m.Panel().DiodeConductors()) > 0 {
		keys = slices.Insert(keys, at+1, "diode")
	}
	return keys
}

// everyAct are those of any panel.
func (s *Session) everyAct() []Key {
	off, locked := s.sit.Stand().Off, s.sit.Locked()
	if !s.rules.Repairs {
		keys := []Key{"done", "look", "volts", "ohms"}
		switch {
		case !off:
			keys = append(keys, "work", "lock", "off", "meter")
		case locked:
			keys = append(keys, "hold", "try", "meter", "dead", "restore")
		default:
			keys = append(keys, "hold", "lock", "try", "meter", "dead", "restore")
		}
		return append(keys, "draw", "wires", "name", "stop")
	}
	keys := []Key{"work", "move", "look", "volts", "ohms", "lock", "off", "meter", "prove"}
	if off {
		keys = []Key{"hold", "ohms", "look", "volts", "meter", "try", "dead"}
		if !locked {
			keys = append(keys, "lock")
		}
		keys = append(keys, "restore")
	}
	keys = append(keys, "name", "repair", "hint")
	if s.rules.Coach != CoachAfter {
		keys = append(keys, "coach")
	}
	return append(keys, "draw", "wires", "readings", "give-up", "stop")
}

// plainActs are what is done at once when it is chosen.
var plainActs = map[Key]log.ActKind{
	"lock": log.LockOutAct, "off": log.SwitchOffAct, "meter": log.TestMeterAct, "try": log.TryAct,
	"dead": log.ProveDeadAct, "restore": log.RestoreAct,
}

// atPanel takes an answer of somebody who chooses the checks. What the panel's condition
// does not allow is refused, and nothing of it is done.
func (w *taking) atPanel(q Question, a Answer) error {
	err := w.taken(q, a)
	if errors.Is(err, training.ErrRefused) {
		w.tell(Event{Kind: Refused, Text: strings.TrimPrefix(err.Error(), training.ErrRefused.Error()+": ")})
		w.state.At = Act
		return nil
	}
	return err
}

func (w *taking) taken(q Question, a Answer) error {
	if a.Take == "return" && w.state.At != Act {
		w.state.At, w.state.Leads = Act, nil
		return nil
	}
	switch w.state.At {
	case Act:
		return w.chosen(a)
	case ToStep:
		return w.toStep(q, a)
	case ByHand:
		return w.byHand(a)
	case LookAt:
		_, name := a.Take.Of()
		return w.bring(log.Check{Look: name})
	case Leads, LeadPlace, LeadDevice, LeadScrew, Lift:
		return w.leads(a)
	case Measure:
		return w.measured(a)
	case Mend:
		if w.state.At = Fault; a.Take == "named" {
			return w.mended(w.fault(w.state.Named))
		}
	case Fault, FaultWhere, FaultWhich:
		return w.where(a)
	case Confirm:
		return w.named(w.fault(w.state.Fault))
	case Strength:
		strength := a.Take.Index()
		w.state.At = Act
		if err := w.do(log.Act{Kind: log.HintAct, Strength: strength}); err != nil {
			return err
		}
		h := training.HintFor(w.m, w.Log(), strength, w.rules.By)
		w.tell(Event{Kind: HintGiven, Hint: &h})
	case GiveUp:
		w.state.At = Over
		return w.do(log.Act{Kind: log.StopAct})
	}
	return nil
}

// chosen takes what is done next.
func (w *taking) chosen(a Answer) error {
	if kind, ok := plainActs[a.Take]; ok {
		switch {
		case kind == log.RestoreAct && w.rules.Helps:
			w.tell(Event{Kind: BackToPower, Before: BeforeWork})
		case kind == log.RestoreAct && w.rules.Entered:
			w.tell(Event{Kind: BackToPower, Before: BeforeBench})
		case (kind == log.LockOutAct || kind == log.SwitchOffAct) && w.rules.Entered:
			w.tell(Event{Kind: LockOut, Before: BeforeBench}) // in full, whatever it costs in marks
		}
		act := log.Act{Kind: kind}
		if err := w.do(act); err != nil {
			return err
		}
		w.tell(Event{Kind: Done, Act: &act})
		return nil
	}
	switch a.Take {
	case "look":
		w.choosing(log.Look, LookAt)
	case "volts":
		w.choosing(log.Volts, Leads)
	case "ohms":
		w.choosing(log.Ohms, Leads)
	case "diode":
		w.choosing(log.Diode, Leads)
	case "work", "hold":
		w.state.At, w.state.Hold = ToStep, a.Take == "hold"
	case "move":
		if w.sit.Stand().Step+1 >= len(w.m.Panel().Circuit.Steps) {
			w.tell(Event{Kind: AtItsEnd})
			return nil
		}
		w.state.At = ByHand
	case "prove":
		return w.beginProof()
	case "name":
		w.state.At, w.state.Mends = Fault, false
	case "repair":
		w.state.Mends = true
		if w.state.At = Fault; w.state.Named != "" && a.About == "" {
			w.state.At = Mend
		}
	case "hint":
		w.state.At = Strength
	case "coach":
		return w.lastWorth(true)
	case "draw":
		w.tell(Event{Kind: DrawPanel})
	case "wires":
		w.tell(Event{Kind: Wires})
	case "readings":
		w.tell(Event{Kind: Readings})
	case "done":
		w.tell(Event{Kind: DoneSoFar})
	case "give-up":
		w.state.At = GiveUp
	}
	return nil
}

// do does an act at the panel; unsafe ones are named at once.
func (w *taking) do(a log.Act) error {
	a.At = w.at
	found, err := w.sit.Do(a)
	w.warn(found)
	if err == nil {
		w.turn = nil
		switch a.Kind {
		case log.WorkAct, log.RestoreAct, log.LockOutAct, log.SwitchOffAct:
			w.state.Moved, w.state.Waited = nil, 0
		}
	}
	return err
}

func (w *taking) warn(found []training.Unsafe) {
	if len(found) > 0 {
		w.tell(Event{Kind: UnsafeActs, Unsafe: found})
	}
}

// toStep works the circuit to the end of a step, or holds the operators as in it.
func (w *taking) toStep(q Question, a Answer) error {
	step := a.Take.Index()
	if a.Take == "next" {
		step = q.Stand.Step + 1
	}
	w.state.At = Act
	e := Event{Kind: Worked, Step: step, From: Standing{Step: q.Stand.Step, Held: -1}}
	act := log.Act{Kind: log.WorkAct, Step: w.m.Panel().Circuit.Steps[step].Name}
	if w.state.Hold {
		act.Kind, e.Held, e.From = log.HoldAct, true, Standing{Step: -1, Locked: true, Held: q.Stand.Step}
	}
	if err := w.do(act); err != nil {
		return err
	}
	w.tell(e)
	return nil
}

// byHand moves one operator, or lets time pass. The circuit stands at the end of a step
// once all that the step does is done; what no step does leads where no reading is known.
func (w *taking) byHand(a Answer) error {
	c := w.m.Panel().Circuit
	next := w.sit.Stand().Step + 1
	step := c.Steps[next]
	w.state.At = Act
	if a.Take == "wait" {
		w.state.Waited = min(w.state.Waited+a.Wait, 1e6)
	} else {
		_, what := a.Take.Of()
		name, position, _ := strings.Cut(what, " ")
		d := c.Device(name)
		mv := Move{name, slices.Index(d.Positions, position)}
		if !slices.ContainsFunc(step.Set, func(s circuits.Setting) bool { return s.Device == d && s.Position == mv.Position }) {
			w.tell(Event{Kind: OffCourse, Step: next})
			return nil
		}
		w.state.Moved = append(w.state.Moved, mv)
		w.tell(Event{Kind: MovedByHand, Moves: []Move{mv}})
	}
	if todo, wait := w.leftOf(step); len(todo) > 0 || wait > 0 {
		w.tell(Event{Kind: StillToDo, Step: next, Moves: todo, Wait: wait})
		return nil
	}
	act := log.Act{Kind: log.WorkAct, Step: step.Name}
	if err := w.do(act); err != nil {
		return err
	}
	w.tell(Event{Kind: Done, Act: &act, Step: next})
	return nil
}

// leftOf tells what of a step is still to be moved and waited.
func (w *taking) leftOf(s circuits.Step) (todo []Move, wait float64) {
	for _, set := range s.Set {
		if mv := (Move{set.Device.Name, set.Position}); !slices.Contains(w.state.Moved, mv) {
			todo = append(todo, mv)
		}
	}
	if s.Wait > w.state.Waited+1e-9 {
		wait = s.Wait - w.state.Waited
	}
	return todo, wait
}

// lastWorth tells what the last check was worth. Who asks is told the better check as well, at
// the price of the hint that tells as much, once a check.
func (w *taking) lastWorth(asked bool) error {
	history := w.Log()
	i := len(history.Entries) - 1
	if i < len(training.Complaint(history).Entries) {
		w.tell(Event{Kind: NoCheckYet})
		return nil
	}
	j, err := training.Judge(w.m, history, i, w.rules.By)
	if err != nil {
		return err
	}
	told := slices.ContainsFunc(history.ActsBefore(i+1), func(a log.Act) bool {
		return a.Kind == log.HintAct && a.Strength == exactHint
	})
	if asked && j.Better() && !told {
		if err := w.do(log.Act{Kind: log.HintAct, Strength: exactHint}); err != nil {
			return err
		}
	}
	w.tell(Event{Kind: Worth, Judged: &j, Withheld: !asked && !told && j.Better()})
	return nil
}

// exactHint is the strength of the hint that names the check.
const exactHint = 3
