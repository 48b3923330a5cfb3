package exam

import (
	"bytes"
	"encoding/json"

	"deadrung/diagnose/log"
)

// Question is a line of what the instructor's machine writes down of one sitting: a check
// that it was asked.
type Question struct {
	At    string    `json:"at"`
	Check log.Check `json:"asked"`
	// Logged is how many answers of the log the machine had then; nil where it was not said.
	Logged *int `json:"logged,omitempty"`
	// Refused is why the check was not answered.
	Refused string `json:"refused,omitempty"`
}

// Asked is how many checks the instructor's machine has answered in one sitting.
type Asked struct {
	All int
	// Once counts a check once that was asked again while the log had not gone on, as after
	// a lost connection or a stopped program.
	Once int
}

// CountAsked counts what a machine has written down. A last line that was cut short was not
// answered.
func CountAsked(text []byte) Asked {
	var n Asked
	open := make(map[string]bool) // asked since the log has gone on
	logged := -1
	for line := range bytes.Lines(text) {
		var q Question
		if !bytes.HasSuffix(line, []byte("\n")) {
			break
		}
		if json.Unmarshal(line, &q) == nil && q.Refused != "" {
			continue
		}
		n.All++
		if q.Logged == nil {
			n.Once++
			continue
		}
		if *q.Logged != logged {
			clear(open)
			logged = *q.Logged
		}
		if check := q.Check.String(); !open[check] {
			open[check] = true
			n.Once++
		}
	}
	return n
}

// fits tells whether a log with so many answers has all that was answered, and no more.
func (n Asked) fits(answers int) bool { return n.Once <= answers && answers <= n.All }
