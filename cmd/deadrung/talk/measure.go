package talk

import (
	"fmt"
	"math"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/diagnose/measure"
)

// MeasureHelp is the help where ohms of a good part are asked for.
const MeasureHelp = `Type what the meter shows, as 2410 or 2.4 k, or OL. "skip" leaves the part as it is: ` +
	`its ohms then decide nothing. Only a part that works is measured here.`

// MeasureTitle heads one of so many readings of a panel in order.
func MeasureTitle(r measure.Reading, number, of int) string {
	text := fmt.Sprintf("Reading %d of %d: %s", number, of, r.Of[0].Called())
	if twins := r.Of[1:]; len(twins) > 0 {
		text += fmt.Sprintf(", also for %s", names(twins))
	}
	return text
}

func names(devices []*circuits.Device) string {
	var all []string
	for _, d := range devices {
		all = append(all, d.Name)
	}
	return Joined(all, " and ")
}

// MeasurePoints tells how a reading of a panel in order is made.
func MeasurePoints(r measure.Reading) []Point {
	return append(ohmsPoints(r.Check),
		Point{Label: "Leads", Text: fmt.Sprintf("%s and %s", r.Check.Ohms[0], r.Check.Ohms[1])},
		Point{Label: "Usual", Text: usual(r)})
}

// NotMeasured says of a reading why it is not written; empty where it is.
func NotMeasured(r measure.Reading, ohms float64) string {
	d := r.Of[0].Called()
	switch {
	case ohms >= log.OL && r.Dark == "":
		return SentenceStart(d) +
			" reads open: the part is bad, or a lead has no contact. Nothing is written of it."
	case ohms < measure.Least:
		return SentenceStart(d) + " is shorted, or something lies beside it. Nothing is written of it."
	}
	return ""
}

// Unusual says of a reading that the part differs from what is usual; empty where it does not.
func Unusual(r measure.Reading, ohms float64) string {
	if ohms >= log.OL || r.Within(ohms) {
		return ""
	}
	return fmt.Sprintf("Such a part usually has %s. See that it is the right part, and works.", usual(r))
}

func usual(r measure.Reading) string {
	if math.IsInf(r.High, 1) {
		return Amount(r.Low, log.Ohms) + " or more, or OL"
	}
	return fmt.Sprintf("%s to %s", Amount(r.Low, log.Ohms), Amount(r.High, log.Ohms))
}

// MeasureAgain is asked of a reading that is not usual.
const MeasureAgain = "Is that what the meter shows?"
