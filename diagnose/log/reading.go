package log

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Reading is what a check shows, foretold or answered.
type Reading struct {
	Value float64 // volts or ohms; +Inf for OL
	// Else is another value that fits as well, where it depends on whether a fuse was
	// replaced since it blew, or on where two wires touch; it counts only if Either is set.
	Else   float64
	Kind   Kind
	On     bool    // a look
	Seems  Seeming // of a look that is neither on nor off
	Unsure bool    // whoever answered was not sure
	Firm   bool    // false where nothing can be foretold
	Either bool
	// Floats is set where nothing can be foretold but that the full voltage of the supply
	// is not there: on a floating conductor, on a supply that has collapsed.
	Floats bool
	// Divided is set on volts that loads divide between them: the value holds for the loads
	// of the table, and other parts divide otherwise.
	Divided bool
	// Span is from what to what volts that loads divide may come with other parts, where more
	// than one supply drives them; zero where the value tells it.
	Span [2]float32
	// Degree is set where the fault comes in degrees and the value is for one of them.
	Degree bool
	// Parts is set on ohms of which nobody can foretell more than that they are those of parts:
	// never a closed contact, whatever an electronic output or a semiconductor on the way does.
	Parts bool
	// Known is set on ohms that pass through no part whose ohms are assumed.
	Known bool
}

// Seeming is what a look shows that is neither on nor off.
type Seeming string

const (
	Dim      Seeming = "dim"      // weaker than it should be
	Chatters Seeming = "chatters" // it hums, and pulls in and drops out
	Flashing Seeming = "flashing" // on and off by turns
	Unknown  Seeming = "unknown"  // nobody could tell
)

// Seemings are all of them.
var Seemings = []Seeming{Dim, Chatters, Flashing, Unknown}

// Other is a foretold reading with the value that fits as well.
func (r Reading) Other() Reading {
	r.Value, r.Either = r.Else, false
	return r
}

// OL is what an ohmmeter shows across an open.
var OL = math.Inf(1)

func parseAnswer(kind Kind, saw, read json.RawMessage) (Reading, error) {
	r := Reading{Kind: kind, Firm: true}
	if kind == Look {
		switch string(saw) {
		case `"on"`:
			r.On = true
		case `"off"`:
		default:
			var word string
			_ = json.Unmarshal(saw, &word)
			if r.Seems = Seeming(word); !slices.Contains(Seemings, r.Seems) {
				return r, fmt.Errorf("a look needs \"saw\" with \"on\" or \"off\", or with \"dim\", " +
					"\"chatters\", \"flashing\" or \"unknown\"")
			}
		}
		if read != nil {
			return r, fmt.Errorf("a look has no \"read\"")
		}
		return r, nil
	}
	if saw != nil {
		return r, fmt.Errorf("%s check has no \"saw\"", kind.article())
	}
	var word string
	switch {
	case read == nil:
		return r, fmt.Errorf("%s check needs \"read\" with what the meter showed", kind.article())
	case json.Unmarshal(read, &word) == nil:
		if !kind.Off() || !strings.EqualFold(word, "OL") {
			return r, fmt.Errorf("%s reading cannot be %q", kind.article(), word)
		}
		r.Value = OL
	case json.Unmarshal(read, &r.Value) == nil && string(read) != "null":
		return r.Kept()
	default:
		return r, fmt.Errorf("%s reading is a number, or \"OL\" for ohms and on a diode test", kind.article())
	}
	return r, nil
}

// Kept gives a reading that somebody took as a log keeps it, without what only a foretold one
// has. The error says why nobody can have read it.
func (r Reading) Kept() (Reading, error) {
	k := Reading{Kind: r.Kind, Unsure: r.Unsure, Firm: true}
	switch {
	case r.Kind == Look && r.Seems != "" && !slices.Contains(Seemings, r.Seems):
		return k, fmt.Errorf("a look shows on, off, dim, chatters, flashing or unknown, not %q", r.Seems)
	case r.Kind == Look:
		k.On, k.Seems = r.On && r.Seems == "", r.Seems
		return k, nil
	case math.IsNaN(r.Value), math.IsInf(r.Value, 0) && (!r.Kind.Off() || r.Value < 0):
		return k, fmt.Errorf("%s reading is a number, or \"OL\" for ohms and on a diode test", r.Kind.article())
	case r.Kind == Ohms && r.Value < 0:
		return k, fmt.Errorf("ohms below zero mean voltage on the circuit: this is no reading of a dead one")
	}
	k.Value = Round(math.Abs(r.Value)) // magnitudes: a dc meter with its leads exchanged
	return k, nil
}

// ByTurns is what flashes as a number.
const ByTurns = 0.5

// Number is a reading as a number; a look has on at 1, off at 0, and flashing in between.
func (r Reading) Number() float64 {
	if r.Kind == Look {
		if r.Seems == Flashing {
			return ByTurns
		}
		if r.On {
			return 1
		}
		return 0
	}
	return r.Value
}

// Saw is what a look shows, in a word.
func (r Reading) Saw() string {
	switch {
	case r.Seems != "":
		return string(r.Seems)
	case r.On:
		return "on"
	}
	return "off"
}

// raw gives a reading as the values of "saw" or "read".
func (r Reading) raw() (saw, read json.RawMessage) {
	switch {
	case r.Kind == Look:
		b, _ := json.Marshal(r.Saw())
		return b, nil
	case math.IsInf(r.Value, 1):
		return nil, json.RawMessage(`"OL"`)
	}
	b, _ := json.Marshal(Round(r.Value))
	return nil, b
}

// Round keeps a ten-thousandth of a volt or ohm: far more than any meter shows. What
// is greater than any reading stays as it is.
func Round(x float64) float64 {
	if math.Abs(x) > 1e11 {
		return x
	}
	return math.Round(x*1e4) / 1e4
}

// MarshalWith writes a check with its reading, and "firm": false where it is not
// a firm one.
func MarshalWith(c Check, r Reading) json.RawMessage {
	type firm struct {
		Check
		Saw  json.RawMessage `json:"saw,omitempty"`
		Read json.RawMessage `json:"read,omitempty"`
		Firm *bool           `json:"firm,omitempty"`
		Sure *bool           `json:"sure,omitempty"`
	}
	f := firm{Check: c}
	f.Saw, f.Read = r.raw()
	if r.Unsure {
		f.Sure = new(bool)
	}
	if !r.Firm {
		f.Firm = new(bool)
	}
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	_ = enc.Encode(f)
	return bytes.TrimSpace(buf.Bytes())
}

// Marshal writes a foretold reading.
func (r Reading) Marshal() json.RawMessage {
	type foretold struct {
		Saw  json.RawMessage `json:"saw,omitempty"`
		Read json.RawMessage `json:"read,omitempty"`
		Or   json.RawMessage `json:"or,omitempty"` // fits as well
		Firm *bool           `json:"firm,omitempty"`
	}
	var f foretold
	if r.Firm {
		f.Saw, f.Read = r.raw()
	} else {
		f.Firm = new(bool)
	}
	if r.Either {
		_, f.Or = Reading{Kind: r.Kind, Value: r.Else}.raw()
	}
	b, _ := json.Marshal(f)
	return bytes.TrimSpace(b)
}
