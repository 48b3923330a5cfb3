package engine

import (
	"deadrung/circuits"
	"deadrung/circuits/sketch"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// Order is what the page wants of the engine: one of the Do constants, and what goes with it.
type Order struct {
	Do   Do     `json:"do"`
	Of   string `json:"of,omitempty"`   // the page's name of the session that is opened
	Name string `json:"name,omitempty"` // of the circuit
	Text string `json:"text,omitempty"` // of the circuit; or what was typed
	Log  string `json:"log,omitempty"`  // what was kept before, to go on with it
	// Practice has a fault hidden by the seed, in place of a search at a real panel.
	Practice bool   `json:"practice,omitempty"`
	Seed     uint64 `json:"seed,omitempty"`
	Level    string `json:"level,omitempty"` // of difficulty; empty for any
	Drill    string `json:"drill,omitempty"` // in place of a circuit: a number of contacts, or line

	Circuits []Circuit `json:"circuits,omitempty"` // that are likely to be opened, the likeliest first

	Choice *int `json:"choice,omitempty"` // an index into the choices that were asked
	// Then are answers, as typed, to this question and those after it.
	Then []string `json:"then,omitempty"`
	Step int      `json:"step,omitempty"` // of a drawing; -1 for none
	Off  bool     `json:"off,omitempty"`  // of a drawing: with the power locked off
	IEC  bool     `json:"iec,omitempty"`
	// Wired asks for the connection diagram in place of the ladder.
	Wired bool `json:"wired,omitempty"`

	At   int          `json:"at,omitempty"` // a place in Text, in bytes
	Edit *sketch.Edit `json:"edit,omitempty"`
}

// Do is what the page wants.
type Do string

const (
	Open     Do = "open"     // begin a session, or go on with one
	Answer   Do = "answer"   // Choice, or Text, or Then
	Draw     Do = "draw"     // the circuit of the session at the end of Step, or as it is wired
	Ready    Do = "ready"    // work Circuits through while nobody waits
	Leave    Do = "leave"    // end the session that is held
	Report   Do = "report"   // the session so far as a page to print
	Tally    Do = "tally"    // the scores in Log
	Complete Do = "complete" // the words that may stand At a place of Text
	Sketch   Do = "sketch"   // Edit the rungs of Text
	Wire     Do = "wire"     // the rungs of Text to wires
	Read     Do = "read"     // a circuit file that somebody writes: its mistakes, or its drawing
)

// Message is what the engine tells the page: one of the Kind constants, and what goes with it.
type Message struct {
	Kind  Kind   `json:"kind"`
	Of    string `json:"of,omitempty"` // the session that it is of
	Text  string `json:"text,omitempty"`
	Title string `json:"title,omitempty"`

	Share  float64      `json:"share,omitempty"`  // of what is to be worked through, 0 to 1
	Pieces []talk.Piece `json:"pieces,omitempty"` // told
	Lines  string       `json:"lines,omitempty"`  // to keep
	Asked  *Asked       `json:"asked,omitempty"`
	Drawn  *Drawn       `json:"drawn,omitempty"`
	HTML   string       `json:"html,omitempty"`

	Mistakes []Mistake `json:"mistakes,omitempty"`
	Steps    []string  `json:"steps,omitempty"` // the names of the steps
	Results  []Result  `json:"results,omitempty"`

	At     int            `json:"at,omitempty"` // where the Words begin, in bytes
	Words  []string       `json:"words,omitempty"`
	Rungs  bool           `json:"rungs,omitempty"`  // the file is drawn as rungs
	Ladder *sketch.Ladder `json:"ladder,omitempty"` // to sketch on
}

// Kind is what a message tells.
type Kind string

const (
	Working   Kind = "working"   // Share of the faults is worked through
	Opened    Kind = "opened"    // Title, Steps; the session begins
	Told      Kind = "told"      // Pieces
	Kept      Kind = "keep"      // Lines, before anything else is told of the answer
	Asking    Kind = "asked"     // Asked
	Drawing   Kind = "drawn"     // Drawn
	Reported  Kind = "reported"  // HTML
	Checked   Kind = "checked"   // Mistakes of the text, and its drawing if it has no error
	Mistaken  Kind = "mistaken"  // Mistakes: the session cannot begin
	Over      Kind = "over"      // the session is
	Scored    Kind = "scored"    // Lines: the score of a practice or a drill, to keep
	Scores    Kind = "scores"    // Results
	Completed Kind = "completed" // Words
	Written   Kind = "written"   // Text: the file that is being written, changed
	Failed    Kind = "failed"    // Text says why
)

// Choice is one answer to a question.
type Choice struct {
	Word string `json:"word,omitempty"`
	Text string `json:"text"`
	Rare bool   `json:"rare,omitempty"`
}

// Asked is a question with what it is asked about.
type Asked struct {
	Place   guide.Place `json:"place"`
	Text    string      `json:"text"`
	Typed   string      `json:"typed,omitempty"` // what there is to type
	Help    string      `json:"help,omitempty"`
	Choices []Choice    `json:"choices"`
	Reading string      `json:"reading,omitempty"` // volts, ohms or diode, where a reading is typed
	Diodes  bool        `json:"diodes,omitempty"`  // there are some to be tested

	Check *log.Check        `json:"check,omitempty"` // whose answer is wanted
	Red   circuits.Terminal `json:"red,omitempty"`   // where the leads of the check go
	Black circuits.Terminal `json:"black,omitempty"`
	Look  string            `json:"look,omitempty"`  // the device that is looked at
	Heard bool              `json:"heard,omitempty"` // or listened to
	Step  int               `json:"step"`            // the drawing's; -1 for none
	Off   bool              `json:"off,omitempty"`
	// Doubt is, by terminal, the share of what is still possible that lies there; nothing where
	// the person is to find that out.
	Doubt map[circuits.Terminal]float64 `json:"doubt,omitempty"`
	Left  string                        `json:"left,omitempty"` // what is still possible, counted
	Wait  bool                          `json:"wait,omitempty"` // a caution is to be acknowledged
	Drill *Drilled                      `json:"drill,omitempty"`
}

// Drawn is the drawing of a circuit.
type Drawn struct {
	SVG    string                           `json:"svg"`
	Width  float64                          `json:"width"`
	Height float64                          `json:"height"`
	Points map[circuits.Terminal][2]float64 `json:"points"`
	Looks  map[string][2]float64            `json:"looks"` // what can be looked at, by device
	Step   int                              `json:"step"`
	Off    bool                             `json:"off,omitempty"`
	// Operators are what is worked by hand, with their positions.
	Operators map[string][]string `json:"operators,omitempty"`
}

// Mistake is a mistake of a circuit file at its place.
type Mistake struct {
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Width   int    `json:"width"`
	What    string `json:"what"`
	Hint    string `json:"hint,omitempty"`
	Warning bool   `json:"warning,omitempty"`
}

// leads gives the terminals of a check, red and black.
func leads(c log.Check) (red, black circuits.Terminal) {
	t := c.Leads()
	if len(t) != 2 {
		return "", ""
	}
	return t[0], t[1]
}
