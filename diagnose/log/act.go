package log

import (
	"deadrung/faultmodel"
	"fmt"
	"io"
	"strings"
)

// ActKind is something that is done at the panel besides a check.
type ActKind string

const (
	BeginAct     ActKind = "begin"      // a panel with a hidden fault
	LockOutAct   ActKind = "lock-out"   // switched off, locked and tagged
	SwitchOffAct ActKind = "switch-off" // switched off, nothing more
	TryAct       ActKind = "try"        // the start button pressed: nothing may move
	TestMeterAct ActKind = "test-meter" // on a known live source
	ProveDeadAct ActKind = "prove-dead" // phase to phase and each to ground
	RestoreAct   ActKind = "restore"    // leads off, people clear, locks off, power on
	WorkAct      ActKind = "work"       // the circuit worked to the end of a step
	HoldAct      ActKind = "hold"       // power off: operators held as in a step
	AttemptAct   ActKind = "attempt"    // a check begun and stopped: it was not safe
	HintAct      ActKind = "hint"       // asked for, with its strength
	StateAct     ActKind = "state"      // the fault named
	RepairAct    ActKind = "repair"     // what was put right or replaced
	ProveAct     ActKind = "prove"      // the whole operation worked after the repair
	StopAct      ActKind = "stop"       // the work given up or over
	WorksAct     ActKind = "works"      // what failed works at the moment: it comes and goes
	FailsAct     ActKind = "fails"      // it fails again
)

// actKinds are all kinds of act, and what the line of one carries besides.
var actKinds = []struct {
	kind  ActKind
	needs string
}{
	{BeginAct, "hidden"}, {LockOutAct, ""}, {SwitchOffAct, ""}, {TryAct, ""}, {TestMeterAct, ""},
	{ProveDeadAct, ""}, {RestoreAct, ""},
	{WorkAct, "step"}, {HoldAct, "step"}, {AttemptAct, "attempt"}, {HintAct, "strength"},
	{StateAct, "fault"}, {RepairAct, "fault"}, {ProveAct, "right"}, {StopAct, ""}, {WorksAct, ""}, {FailsAct, ""},
}

// Act is a line of a log that is no check: what somebody did at a panel on which their
// skill is practised or examined. It says nothing of the fault, and belief passes it
// over.
type Act struct {
	Kind     ActKind
	Step     string        // of work and hold
	Fault    faultmodel.ID // of state and repair
	Strength int           // of a hint, from one
	Attempt  *Check        // of an attempt
	Right    *bool         // of a proof of operation: it was called right
	Hidden   string        // of a begin: the mark of the hidden fault, which does not show it to the eye
	Seed     uint64        // of a begin
	Note     string
	At       string // RFC 3339, as it was written
	Line     int    // in the file, from one; zero for an act that is not from a file
	// Before is the index in Log.Entries of the entry that it stands before.
	Before int
}

// AppendTo writes the act as one line of a log.
func (a Act) AppendTo(w io.Writer) error {
	l := line{Act: string(a.Kind), Fault: a.Fault, Strength: a.Strength, Attempt: a.Attempt,
		Right: a.Right, Hidden: a.Hidden, At: a.At, Note: a.Note}
	if a.Kind == BeginAct {
		l.Seed = &a.Seed
	}
	l.Step = a.Step
	return writeLine(w, l)
}

// act reads an act from a line of a log. The error says what is wrong with it.
func (b *Book) act(l line) (Act, error) {
	a := Act{Kind: ActKind(l.Act), Step: l.Step, Fault: l.Fault, Strength: l.Strength,
		Attempt: l.Attempt, Right: l.Right, Hidden: l.Hidden, Note: l.Note, At: l.At}
	if l.Seed != nil {
		if a.Kind != BeginAct {
			return a, fmt.Errorf("the act %q has no \"seed\"", a.Kind)
		}
		a.Seed = *l.Seed
	}
	return a, b.CheckAct(a)
}

// CheckAct tells what is wrong with an act; nil if nothing is.
func (b *Book) CheckAct(a Act) error {
	i := -1
	var words []string
	for k, row := range actKinds {
		words = append(words, string(row.kind))
		if row.kind == a.Kind {
			i = k
		}
	}
	if i < 0 {
		return fmt.Errorf("there is no act %q: it is one of %s", a.Kind, strings.Join(words, ", "))
	}
	needs := actKinds[i].needs
	for _, field := range []struct {
		name string
		has  bool
	}{{"step", a.Step != ""}, {"fault", a.Fault != ""}, {"strength", a.Strength != 0},
		{"attempt", a.Attempt != nil}, {"right", a.Right != nil}, {"hidden", a.Hidden != ""}} {
		switch {
		case field.name == needs && !field.has:
			return fmt.Errorf("the act %q needs a %q", a.Kind, field.name)
		case field.name != needs && field.has:
			return fmt.Errorf("the act %q has no %q", a.Kind, field.name)
		}
	}
	switch needs {
	case "step":
		if b.panel.Circuit.Step(a.Step) < 0 {
			return fmt.Errorf("the operation has no step %q", a.Step)
		}
	case "fault":
		_, err := faultmodel.Find(b.faults, string(a.Fault))
		return err
	case "attempt":
		_, err := b.Locate(*a.Attempt)
		return err
	case "strength":
		if a.Strength < 1 || a.Strength > 3 {
			return fmt.Errorf("the strength of a hint is 1, 2 or 3, not %d", a.Strength)
		}
	}
	return nil
}
