package exam

import (
	"bytes"
	"deadrung/diagnose/log"
	"encoding/json"
	"time"
)

// timed is what the times of an answer log's lines tell, up to the naming of the fault.
type timed struct {
	first, last time.Time
	breaks      time.Duration // between sessions
	backwards   bool          // a line is earlier than the one before
	timeless    int           // lines without a time
	lines       int           // up to the naming
}

// timesOf reads the times of an answer log.
func timesOf(text []byte) timed {
	var t timed
	for raw := range bytes.Lines(text) {
		t.lines++
		var l struct {
			At      string `json:"at"`
			Sitting string `json:"sitting"`
			Act     string `json:"act"`
		}
		if json.Unmarshal(bytes.TrimPrefix(raw, []byte("\uFEFF")), &l) != nil {
			continue
		}
		at, err := time.Parse(time.RFC3339, l.At)
		if err != nil {
			t.timeless++
			continue
		}
		switch {
		case t.first.IsZero():
			t.first = at
		case at.Before(t.last):
			t.backwards = true
		case l.Sitting != "":
			t.breaks += at.Sub(t.last)
		}
		t.last = at
		if l.Act == string(log.StateAct) {
			break
		}
	}
	return t
}

// Worked is the time that was worked in the sessions of an answer log.
func Worked(text []byte) time.Duration {
	t := timesOf(text)
	return max(0, t.last.Sub(t.first)-t.breaks)
}
