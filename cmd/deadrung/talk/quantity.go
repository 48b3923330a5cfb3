package talk

import (
	"deadrung/diagnose/log"
	"fmt"
	"math"
)

// Quantity is volts or ohms with no more figures than they are worth.
type Quantity struct{ Figures, Unit string }

// QuantityOf writes volts or ohms.
func QuantityOf(x float64, k log.Kind) Quantity {
	unit := k.Unit()
	switch {
	case x >= 1e6 && k == log.Ohms:
		x, unit = x/1e6, "Mohm"
	case x >= 1e4 && k == log.Ohms:
		x, unit = x/1e3, "kohm"
	}
	if k == log.Diode {
		return Quantity{fmt.Sprintf("%.2f", x), unit}
	}
	if x >= 100 {
		return Quantity{fmt.Sprintf("%.0f", x), unit}
	}
	return Quantity{fmt.Sprintf("%.3g", math.Round(x*10)/10), unit}
}

// String writes a quantity with its unit.
func (q Quantity) String() string { return q.Figures + " " + q.Unit }

// To writes what lies between two quantities; one unit is enough where both have it.
func (q Quantity) To(high Quantity) string {
	if q.Unit == high.Unit {
		return q.Figures + " to " + high.String()
	}
	return q.String() + " to " + high.String()
}

// Amount writes volts or ohms with their unit.
func Amount(x float64, k log.Kind) string { return QuantityOf(x, k).String() }
