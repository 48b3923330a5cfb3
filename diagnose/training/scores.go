package training

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"deadrung/circuits"
	"deadrung/faultmodel"
)

// Score is one line of the file of scores: a practice, a drill or a plan of wires that was brought
// to its end.
type Score struct {
	At            string        `json:"at"`                // RFC 3339
	Circuit       string        `json:"circuit,omitempty"` // title; none on a drill
	Drill         string        `json:"drill,omitempty"`   // its name
	Fault         faultmodel.ID `json:"fault,omitempty"`
	Lesson        string        `json:"lesson,omitempty"` // that it was practised in
	Seed          uint64        `json:"seed"`
	Checks        int           `json:"checks"`
	Needed        float64       `json:"needed"` // checks of the guided search; of a drill the optimum's mean
	Minutes       float64       `json:"minutes,omitempty"`
	NeededMinutes float64       `json:"needed-minutes,omitempty"`
	Wasted        int           `json:"wasted"`
	Unsafe        int           `json:"unsafe"`
	Hints         int           `json:"hints"`
	Right         bool          `json:"right"`
	Proved        bool          `json:"proved"`
	Wiring        *WiringScore  `json:"wiring,omitempty"` // of the circuit; no fault was hidden
}

// WiringScore is how far a plan of wires was right.
type WiringScore struct {
	Conductors int `json:"conductors"` // of the drawing
	Whole      int `json:"whole"`      // of them in the plan
	Mistakes   int `json:"mistakes"`
}

// AppendTo writes the score as one line.
func (s Score) AppendTo(w io.Writer) error {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(s); err != nil {
		return err
	}
	_, err := w.Write(buf.Bytes())
	return err
}

// Share is the share of the checks that were needed: 1 for as few as the best, 0 where
// the fault was not found. Of a plan of wires it is the share of the conductors that are whole.
func (s Score) Share() float64 {
	if w := s.Wiring; w != nil {
		return max(0, min(1, float64(w.Whole)/float64(max(1, w.Conductors))))
	}
	if !s.Right || s.Checks <= 0 {
		return 0
	}
	return max(0, min(1, s.Needed/float64(s.Checks)))
}

// ReadScores reads a file of scores, JSON Lines. A last line that is cut short is left
// out, with a warning; any other mistake is an error at its line.
func ReadScores(file string, text []byte) ([]Score, circuits.Problems) {
	var scores []Score
	var problems circuits.Problems
	if p := circuits.UTF16(file, text); p != nil {
		return nil, circuits.Problems{*p}
	}
	text, zeros := circuits.WithoutZeros(file, text)
	if zeros != nil {
		problems = append(problems, *zeros)
	}
	text = bytes.TrimPrefix(text, []byte(circuits.ByteOrderMark))
	for n, rest := 1, text; len(rest) > 0; n++ {
		raw, after, ended := bytes.Cut(rest, []byte("\n"))
		rest = after
		if len(bytes.TrimSpace(raw)) == 0 {
			continue
		}
		var s Score
		dec := json.NewDecoder(bytes.NewReader(raw))
		err := dec.Decode(&s)
		if err == nil && dec.More() {
			err = fmt.Errorf("more than one value on the line")
		}
		if err == nil && (s.Circuit == "") == (s.Drill == "") {
			err = fmt.Errorf("a score is of a \"circuit\" or of a \"drill\"")
		}
		if err != nil {
			problems = append(problems, circuits.Problem{File: file,
				Pos: circuits.Pos{Line: n, Column: 1}, Source: string(raw),
				What: "this is not a score: " + err.Error(),
				Hint: "one JSON object a line, as this program writes them", Warning: !ended})
			continue
		}
		scores = append(scores, s)
	}
	return scores, problems
}

// WholeScores is how many bytes of a file of scores are whole: not a last line that was cut short,
// nor the zeros that a power failure may leave. Open is set where the last line lacks its end.
func WholeScores(text []byte) (whole int, open bool) {
	text = bytes.TrimRight(text, "\x00")
	ended := bytes.LastIndexByte(text, '\n') + 1
	if ended < len(text) && json.Valid(text[ended:]) {
		return len(text), true
	}
	return ended, false
}

// Had lists the faults of a circuit that scores are of.
func Had(scores []Score, circuit string) []faultmodel.ID {
	var had []faultmodel.ID
	for _, s := range scores {
		if s.Circuit == circuit && s.Fault != "" {
			had = append(had, s.Fault)
		}
	}
	return had
}
