package guide

import (
	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// EventKind is what an event tells.
type EventKind string

const (
	Keep EventKind = "keep" // lines of the log, to be kept before anything else is told

	LockOut     EventKind = "lock-out"      // before what Before says
	BackToPower EventKind = "back-to-power" // before what Before says
	Warn        EventKind = "warn"          // Caution, before the check
	Instruct    EventKind = "instruct"      // how the check is made
	Why         EventKind = "why"           // why this check, or what speaks for and against the fault About
	Draw        EventKind = "draw"          // the rungs of the check
	Possible    EventKind = "possible"      // what is still possible, and what each reading ruled out

	Noted         EventKind = "noted"  // an answer is taken down
	Land          EventKind = "land"   // the wires on Terminals again
	SeenNoted     EventKind = "seen"   // Seen is taken down
	UnsureNext    EventKind = "unsure" // the next answer counts less
	NoteKept      EventKind = "note"   // Text goes with the next answer
	CannotBeMade  EventKind = "cannot"
	TakenBack     EventKind = "taken-back"
	NothingToTake EventKind = "nothing-to-take-back"
	Dropped       EventKind = "dropped"

	LooksSound   EventKind = "looks-sound"   // every reading fits a good circuit; First where that is new
	SpeaksAlone  EventKind = "speaks-alone"  // no fault that fits the other readings gives this one
	RulesOut     EventKind = "rules-out"     // Count faults
	RulesOutNone EventKind = "rules-out-no"  // nothing new
	PossibleNow  EventKind = "possible-now"  // what is left has changed otherwise
	Changed      EventKind = "changed"       // another answer than the same check gave before: Index into Turn.Intermittent
	ProofAgrees  EventKind = "proof-agrees"  // Count more proofs are asked for
	ProofDiffers EventKind = "proof-differs" // from the verdict

	ItWorks    EventKind = "works" // at the moment: Check is watched, from From, until it fails again
	FailsAgain EventKind = "fails"

	Verdict     EventKind = "verdict"
	ToProve     EventKind = "to-prove" // the verdict, which the next check is to prove
	Contradicts EventKind = "contradicts"
	Healthy     EventKind = "healthy"

	ProofBegins  EventKind = "proof-begins" // of the operation
	StepToWork   EventKind = "step"         // Step: what is done, and what must be or is seen
	MustBe       EventKind = "must-be"
	OneByOne     EventKind = "one-by-one" // the steps are worked once more, each for itself
	RepairProved EventKind = "repair-proved"
	NotRight     EventKind = "not-right"     // a step did not work right
	SearchAnew   EventKind = "search-anew"   // what was read before the repair no longer counts
	NothingRight EventKind = "nothing-right" // it worked right, and nothing has been put right yet

	Refused     EventKind = "refused" // Text says why
	UnsafeActs  EventKind = "unsafe"
	Done        EventKind = "done"         // an act
	Worked      EventKind = "worked"       // the circuit to the end of Step, from From; Held: the operators
	MovedByHand EventKind = "moved"        // one operator
	StillToDo   EventKind = "still-to-do"  // Moves and Wait, to reach Step
	AtItsEnd    EventKind = "at-its-end"   // the operation
	OffCourse   EventKind = "off-course"   // no step does that; next is Step
	NotWorkedAt EventKind = "nothing-done" // nothing has been worked yet, so no reading means anything
	Between     EventKind = "between"      // two steps: no reading means anything
	Stopped     EventKind = "stopped"      // an unsafe check, before a lead touches
	Shown       EventKind = "shown"        // by the panel
	Worth       EventKind = "worth"        // of the last check
	NoCheckYet  EventKind = "no-check"
	HintGiven   EventKind = "hint"
	NoFaultAt   EventKind = "no-fault-at" // Text
	FaultNamed  EventKind = "named"
	Readings    EventKind = "readings" // the readings so far are asked for
	Wires       EventKind = "wires"    // the wire list is
	DrawPanel   EventKind = "drawing"  // the circuit as it stands is
	DoneSoFar   EventKind = "so-far"   // all that was done is
)

// Before says what a notice comes before.
type Before string

const (
	BeforeCheck  Before = "check"
	BeforeRepair Before = "repair"
	BeforeProof  Before = "proof"   // of the operation
	BeforeWork   Before = "work"    // at a simulated panel
	BeforeBench  Before = "trainer" // at a live trainer
)

// Event is something to keep or to tell.
type Event struct {
	Kind  EventKind `json:"kind"`
	Lines []byte    `json:"-"`

	Before    Before              `json:"before,omitempty"`
	Caution   CautionKind         `json:"caution,omitempty"`
	Text      string              `json:"text,omitempty"`
	Count     int                 `json:"count,omitempty"`
	Index     int                 `json:"index,omitempty"`
	First     bool                `json:"first,omitempty"`
	Step      int                 `json:"step,omitempty"`
	Check     *log.Check          `json:"check,omitempty"`
	Proposal  *diagnose.Proposal  `json:"proposal,omitempty"`
	Terminals []circuits.Terminal `json:"terminals,omitempty"`
	From      Standing            `json:"from"`
	Held      bool                `json:"held,omitempty"`
	Number    int                 `json:"number,omitempty"`  // of the check
	Again     bool                `json:"again,omitempty"`   // it was made before
	Further   bool                `json:"further,omitempty"` // a proof after a proof
	Anew      bool                `json:"anew,omitempty"`    // the check is shown for the first time
	Noticed   bool                `json:"noticed,omitempty"` // after a notice of its power
	Moves     []Move              `json:"moves,omitempty"`
	Wait      float64             `json:"wait,omitempty"` // seconds
	Fault     faultmodel.ID       `json:"fault,omitempty"`
	Must      *Sight              `json:"must,omitempty"`
	Seen      *Sight              `json:"seen,omitempty"`

	Entry    *log.Entry        `json:"-"`
	Found    *log.Seen         `json:"found,omitempty"` // by eye
	Act      *log.Act          `json:"-"`
	Shown    *training.Shown   `json:"-"`
	Unsafe   []training.Unsafe `json:"-"`
	Judged   *training.Judged  `json:"-"`
	Withheld bool              // the better check, which is told to who asks
	Hint     *training.Hint    `json:"-"`
	Stands   *NamedStands      `json:"stands,omitempty"`
}

// NamedStands is how a fault that was named stands against the readings; whether it is the
// hidden one it does not say.
type NamedStands struct {
	Against int `json:"against"` // readings
	Faults  int `json:"faults"`  // left
	Groups  int `json:"groups"`
}
