package drawing

import (
	"fmt"
	"strings"
)

// Text draws the circuit with characters.
func (d *Drawing) Text(o Options) string {
	var b strings.Builder
	for _, r := range d.Rungs {
		fmt.Fprintf(&b, "%3d ", r.Number)
		for _, p := range r.Parts {
			if p.LeftNumber >= 0 {
				fmt.Fprintf(&b, " %s ", d.Circuit.Numbers[p.LeftNumber].Name)
			}
			fmt.Fprintf(&b, "─%s─", p.Name())
		}
		if last := r.Parts[len(r.Parts)-1]; last.RightNumber >= 0 {
			fmt.Fprintf(&b, " %s", d.Circuit.Numbers[last.RightNumber].Name)
		}
		b.WriteByte('\n')
	}
	return b.String()
}
