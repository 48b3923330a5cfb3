package read

import (
	"fmt"
	"strings"

	"deadrung/circuits"
)

// keyWords say what the keys of devices mean, for whoever writes a file in an editor.
var keyWords = map[string]string{
	"place":         "Where it is: panel, door, field, or a place of places.",
	"at":            "Where it sits at its place: the row from the top, and which in it from the left.",
	"note":          "What it is for.",
	"part":          "What it is ordered as, for the parts list.",
	"odds":          "How much likelier than others of its type it fails; 1 if not given.",
	"volts":         "Rated volts; those of the circuit if not given.",
	"primary-amps":  "The amperes in its primary at which a current transformer gives its rated ones.",
	"primary-volts": "Rated volts of the primary winding.",
	"amps":          "Rated amperes.",
	"ohms":          "What an ohmmeter reads on it.",
	"va":            "Volt-amperes while it runs.",
	"microfarads":   "What its capacitor holds.",
	"seconds":       "The delay in seconds; of a timer that repeats, how long it is on.",
	"off-seconds":   "How long a timer that repeats is off, in seconds; as long as it is on if not given.",
	"hertz":         "Frequency; 60 if not given.",
	"phase":         "Degrees, or unknown.",
	"minutes":       "Minutes to bring about what moves it, the way there not counted.",
	"action":        "momentary: somebody holds it during a check; maintained: it stays.",
	"at-will":       "false: nobody can bring about what moves it.",
	"pull-in":       "Per cent of rated volts at which the coil pulls in.",
	"drop-out":      "Per cent of rated volts at which the coil lets go.",
	"current":       "ac or dc.",
	"delay":         "on: timed contacts move after the coil pulls in; off: after it lets go.",
	"rest":          "The position at rest.",
	"terminals":     "The names of its terminals.",
	"poles":         "How many poles, or the two terminals of each.",
	"primary":       "The two terminals of the primary winding.",
	"secondaries":   "Its further secondaries, or parts of a tapped one: {terminals: [X3, X4], volts: 24} each.",
	"coil":          "The two terminals of the coil.",
	"reset-coil":    "The two terminals of the coil that resets it.",
	"interlock":     "The contactor that a mechanical interlock keeps out while this one is in, and the other way round.",
	"trigger":       "The two terminals of the input that starts it; the second may be one of the coil.",
	"supply":        "The two terminals of what feeds it.",
	"channel-1":     "The two terminals of its first channel; inputs may have one in common.",
	"channel-2":     "The two terminals of its second channel.",
	"start":         "The two terminals of its start input; inputs may have one in common.",
	"line":          "The terminal of its line, and the one of its supply that the line is fed from.",
	"trip":          "The two terminals of the input that trips it when it opens.",
	"reset":         "The two terminals of its reset input.",
	"leakage":       "Milliamperes through an open contact of it.",
	"positions":     "The names of its positions.",
	"pins":          "The names of its pins; each has a side a and a side b.",
	"bridges":       "Terminals that bridges join, a list for each bridge.",
	"contacts":      "Its contacts: {no: [13, 14]}, {nc: [11, 12]}, {common: 11, nc: 12, no: 14}.",
	"kind":          "Which of the loads of its type it is.",
	"connection":    "How the three windings are joined.",
}

// told adds to the schema of a key what it means, and what is taken where it is not given.
func told(t *circuits.Type, key string, of form) form {
	out := form{"allOf": []any{of}, "description": keyWords[key]}
	switch {
	case key == "place":
		out["default"] = usualPlace
	case key == "terminals" && len(t.Terminals) > 0, key == "coil" && len(t.Terminals) > 0:
		out["default"] = t.Terminals
	case key == "primary" && len(t.Primary) > 0:
		out["default"] = t.Primary
	case key == "positions" && len(t.Positions) > 0:
		out["default"] = t.Positions
	}
	return out
}

// typeWords tell what a type is and which terminals it has where the file names none.
func typeWords(t *circuits.Type) string {
	words := t.Called()
	terminals := append(append([]string{}, t.Terminals...), t.Primary...)
	if len(terminals) > 0 {
		words += fmt.Sprintf("; terminals %s", strings.Join(terminals, " "))
	}
	return words + "."
}
