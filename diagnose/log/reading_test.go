package log

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What somebody took is kept as it will be read back; what nobody can have read is refused.
func TestKeptReadings(t *testing.T) {
	for _, test := range []struct {
		read, kept Reading
	}{
		{Reading{Kind: Look, On: true}, Reading{Kind: Look, On: true, Firm: true}},
		{Reading{Kind: Look, On: true, Seems: Dim, Unsure: true}, Reading{Kind: Look, Seems: Dim, Unsure: true, Firm: true}},
		{Reading{Kind: Volts, Value: -119.87654}, Reading{Kind: Volts, Value: 119.8765, Firm: true}},
		{Reading{Kind: Volts, Value: 24, Else: 3, Either: true, Floats: true, Divided: true, Degree: true, Known: true},
			Reading{Kind: Volts, Value: 24, Firm: true}},
		{Reading{Kind: Ohms, Value: 0.00004}, Reading{Kind: Ohms, Firm: true}},
		{Reading{Kind: Ohms, Value: OL}, Reading{Kind: Ohms, Value: OL, Firm: true}},
		{Reading{Kind: Diode, Value: 0.58, Known: true}, Reading{Kind: Diode, Value: 0.58, Firm: true}},
		{Reading{Kind: Diode, Value: OL}, Reading{Kind: Diode, Value: OL, Firm: true}},
	} {
		kept, err := test.read.Kept()
		assert.NoError(t, err, "%+v", test.read)
		assert.Equal(t, test.kept, kept)
	}
	for _, test := range []struct {
		read Reading
		want string
	}{
		{Reading{Kind: Look, Seems: "lilac"}, `a look shows on, off, dim, chatters, flashing or unknown, not "lilac"`},
		{Reading{Kind: Volts, Value: math.NaN()}, `a volts reading is a number, or "OL" for ohms and on a diode test`},
		{Reading{Kind: Volts, Value: math.Inf(1)}, `a volts reading is a number, or "OL" for ohms and on a diode test`},
		{Reading{Kind: Ohms, Value: math.Inf(-1)}, `an ohms reading is a number, or "OL" for ohms and on a diode test`},
		{Reading{Kind: Ohms, Value: -1}, `ohms below zero mean voltage on the circuit: this is no reading of a dead one`},
	} {
		_, err := test.read.Kept()
		assert.EqualError(t, err, test.want)
	}
}
