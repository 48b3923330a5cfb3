package talk

import (
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// mostVolts is beyond anything that a control circuit's meter is put on.
// Common practice, no source: control circuits end at 600 V.
const mostVolts = 2000

var (
	numberForm = regexp.MustCompile(`^([-+]?)\s*(\d+(?:[.,]\d*)?|[.,]\d+)\s*([^\d\s].*)?$`)
	unsureForm = regexp.MustCompile(`^(?i)(~|about |perhaps |maybe )?\s*(.*?)\s*,?\s*(\?|not sure|unsure)?$`)
	thousands  = regexp.MustCompile(`^[1-9]\d{0,2},\d{3}$`)
)

// openWords are what a meter shows across an open, and what people say of it.
var openWords = map[string]bool{
	"ol": true, "o.l": true, "o.l.": true, "0l": true, "0.l": true, ".ol": true, "over": true,
	"overload": true,
	"open":     true, "inf": true, "infinite": true, "infinity": true, "∞": true,
}

// voltUnits and ohmUnits give the factor of a unit as it may be typed, in lower case
// and without spaces.
var (
	voltUnits = map[string]float64{"": 1, "v": 1, "volt": 1, "volts": 1, "kv": 1e3, "mv": 1e-3,
		"millivolt": 1e-3, "millivolts": 1e-3}
	ohmUnits = map[string]float64{
		"": 1, "ohm": 1, "ohms": 1, "ω": 1, "r": 1,
		"k": 1e3, "kohm": 1e3, "kohms": 1e3, "kω": 1e3, "kilohm": 1e3, "kilohms": 1e3,
		"meg": 1e6, "megohm": 1e6, "megohms": 1e6,
	}
	megaUnits = map[string]bool{"M": true, "Mohm": true, "Mohms": true, "MOhm": true, "MΩ": true,
		"MOHM": true, "MOHMS": true}
)

// ParseReading reads what a person types as the reading of a volts or ohms check:
// "118.9 V", "118,9", "24V dc", "2.4k", "2,41 kohm", "OL". The error says what would
// be right.
func ParseReading(kind log.Kind, typed string) (log.Reading, error) {
	r := log.Reading{Kind: kind, Firm: true}
	if parts := unsureForm.FindStringSubmatch(strings.TrimSpace(typed)); parts != nil {
		r.Unsure = parts[1] != "" || parts[3] != ""
		typed = parts[2]
	}
	right := "type volts, as 118.9 V or 0"
	if kind == log.Ohms {
		right = "type ohms, as 2410, 2.4 k, 0.3 or OL"
	}
	if kind == log.Diode {
		right = "type what the diode test shows, as 0.58 V or OL"
	}
	word := strings.ReplaceAll(Fold(strings.ReplaceAll(typed, "Ω", "Ω")), " ", "")
	open := word
	for _, tail := range []string{"ohms", "ohm", "ω", "k", "m"} {
		open = strings.TrimSuffix(open, tail)
	}
	if openWords[open] {
		if kind == log.Volts {
			return r, errors.New("OL is no voltage: choose a higher range of the meter, then " + right)
		}
		r.Value = log.OL
		return r, nil
	}
	switch word {
	case "beep", "beeps", "short", "shorted", "closed", "continuity":
		return r, errors.New("the number counts, not the beep: a beeper sounds below 40 to 100 ohm; " + right)
	case "on", "off", "yes", "no":
		return r, errors.New("this is a reading, not a look: " + right)
	}
	parts := numberForm.FindStringSubmatch(strings.TrimSpace(typed))
	if parts == nil {
		return r, fmt.Errorf("%q is no reading: %s", Shortened(typed), right)
	}
	figures, unit := parts[2], strings.ReplaceAll(strings.TrimSpace(parts[3]), "Ω", "Ω")
	if thousands.MatchString(figures) {
		return r, fmt.Errorf("%q can be read in two ways: type %s or %s", Shortened(typed),
			strings.Replace(figures, ",", "", 1), strings.Replace(figures, ",", ".", 1))
	}
	value, err := strconv.ParseFloat(strings.Replace(figures, ",", ".", 1), 64)
	if err != nil {
		return r, fmt.Errorf("%q is no reading: %s", Shortened(typed), right)
	}
	factor, err := factorOf(kind, unit, right)
	if err != nil {
		return r, err
	}
	r.Value = value * factor // a minus sign only says that the leads are exchanged
	switch {
	case kind == log.Ohms && parts[1] == "-" && value != 0:
		return r, errors.New("ohms below zero mean voltage on the circuit: " +
			"stop, take the leads off, and prove it dead again")
	case kind == log.Volts && r.Value > mostVolts || math.IsInf(r.Value, 0):
		return r, fmt.Errorf("%s is more than a control circuit has: read it again, with its unit",
			Amount(r.Value, kind))
	case kind == log.Diode && parts[1] == "-" && value != 0:
		return r, errors.New("below zero means voltage on the circuit: stop, take the leads off, and prove it dead again")
	case kind == log.Diode && r.Value > diagnose.TestVolts:
		return r, fmt.Errorf("%s is more than a diode test drives: if there are volts, stop and prove the circuit dead; else %s",
			Amount(r.Value, kind), right)
	case kind == log.Ohms && r.Value > 1e9:
		r.Value = log.OL
	}
	return r, nil
}

// factorOf gives the factor of a typed unit. The unit of another kind of check is
// refused with a hint.
func factorOf(kind log.Kind, unit, right string) (float64, error) {
	compact := strings.ReplaceAll(unit, " ", "")
	if kind == log.Ohms && megaUnits[compact] {
		return 1e6, nil
	}
	u := strings.ToLower(strings.TrimSuffix(compact, "."))
	volts := u
	for _, tail := range []string{"ac", "dc", "rms"} {
		volts = strings.TrimSuffix(volts, tail)
	}
	ofVolts, isVolts := voltUnits[volts]
	ofOhms, isOhms := ohmUnits[u]
	switch {
	case kind != log.Ohms && isVolts:
		return ofVolts, nil
	case kind == log.Ohms && isOhms:
		return ofOhms, nil
	case kind == log.Diode && (isOhms || megaUnits[compact]):
		return 0, errors.New("this is a diode test, and that is ohms: turn the meter to its diode test, then " + right)
	case kind == log.Volts && (isOhms || megaUnits[compact]):
		return 0, errors.New("this is a volts check, and that is ohms: turn the meter to volts, then " + right)
	case kind == log.Ohms && isVolts:
		return 0, errors.New("this is an ohms check, and that is volts: " +
			"if there are volts, stop and prove the circuit dead; else " + right)
	case kind == log.Ohms && (u == "m" || u == "mohm" || u == "mohms" || u == "mω"):
		return 0, errors.New("write a large M for megohm, or the ohms themselves, as 0.3")
	case u == "a" || u == "ma" || u == "amp" || u == "amps":
		return 0, errors.New("that is a current: " + right)
	}
	return 0, fmt.Errorf("%q is no unit of this check: %s", Shortened(unit), right)
}
