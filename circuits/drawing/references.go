package drawing

import (
	"fmt"
)

// referenceText says where a conductor goes on.
func (d *Drawing) referenceText(p *Part, o Options) string {
	n := max(p.LeftNumber, p.RightNumber)
	name := ""
	if n >= 0 {
		name = o.name(d, n)
	}
	switch to := d.GoesOn(p); {
	case to > 0 && name == "":
		return o.line() + " " + d.numbered(to)
	case to > 0:
		return fmt.Sprintf("%s, %s %s", name, o.line(), d.numbered(to))
	}
	return name
}

// GoesOn gives the rung on which the conductor of a reference goes on: another reference to
// it, else one that has the number.
func (d *Drawing) GoesOn(p *Part) int {
	if p.twin != nil {
		return p.twin.Rung
	}
	n := max(p.LeftNumber, p.RightNumber)
	other := 0
	for _, r := range d.Rungs {
		for _, q := range r.Parts {
			if q == p || q.LeftNumber != n && q.RightNumber != n {
				continue
			}
			if q.Kind == Reference {
				return r.Number
			}
			if other == 0 && r.Number != p.Rung {
				other = r.Number
			}
		}
	}
	return other
}
