package talk

import (
	"fmt"
	"math"
	"strings"

	"deadrung/diagnose"
)

// TooBig says that a panel is too big to be worked through unasked, what it would take, what is big
// in it, and how to go on.
func TooBig(file string, s diagnose.Size) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s is too big to be worked through unasked: it would take up to some %s of memory and %s of processor time\n",
		file, bytesWords(s.Bytes()), timeWords(s.Seconds()))
	fmt.Fprintf(&b, "it has %s on %s, %s and %s", Count(s.Terminals, "terminal"), Count(s.Devices, "device"),
		Count(s.Wires, "wire"), Count(s.Steps, "step"))
	if s.Largest != nil {
		fmt.Fprintf(&b, "; the largest device is %s with %d terminals", s.Largest.Name, len(s.Largest.Terminals))
	}
	fmt.Fprintf(&b, "\nwithout asking: up to %d terminals, and %d terminals times steps\n", diagnose.MostTerminals, diagnose.MostPieces)
	b.WriteString("cut out the part that is in doubt, with the feed that it hangs on, or say --large to go on all the same")
	return b.String()
}

// bytesWords says an amount of memory roughly.
func bytesWords(bytes float64) string {
	if bytes < 1e9 {
		return fmt.Sprintf("%.0f MB", roughly(bytes/1e6))
	}
	return fmt.Sprintf("%.0f GB", roughly(bytes/1e9))
}

// timeWords says a time roughly.
func timeWords(seconds float64) string {
	switch {
	case seconds < 120:
		return fmt.Sprintf("%.0f seconds", roughly(seconds))
	case seconds < 2*3600:
		return fmt.Sprintf("%.0f minutes", roughly(seconds/60))
	}
	return fmt.Sprintf("%.0f hours", roughly(seconds/3600))
}

// roughly rounds to one digit.
func roughly(x float64) float64 {
	digit := math.Pow(10, math.Floor(math.Log10(math.Max(1, x))))
	return math.Ceil(x/digit) * digit
}
