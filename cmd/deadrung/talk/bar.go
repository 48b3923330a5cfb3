package talk

import "strings"

// barColumns is how wide the bar of the greatest amount is.
const barColumns = 20

// Bar draws an amount against the greatest one.
func Bar(x, most float64) string {
	if most <= 0 {
		return ""
	}
	n := int(x/most*barColumns + 0.5)
	if x > 1e-9 {
		n = max(1, n)
	}
	n = min(n, barColumns)
	return "[" + strings.Repeat("#", n) + strings.Repeat(".", barColumns-n) + "]"
}
