package diagnose

import (
	"math"

	"deadrung/circuits"
	"deadrung/diagnose/log"
)

// MayFloat tells whether a reading may be that of a conductor that floats: volts, neither
// present nor absent, and foretold by no outcome of the check.
func (m *Model) MayFloat(p *Proposal, r log.Reading) bool {
	var supply float64
	for _, d := range m.Panel().Circuit.Devices {
		if d.Type.Kind == circuits.SourceKind {
			supply = math.Max(supply, d.Volts)
		}
	}
	if r.Kind != log.Volts || r.Value < AbsentBelow*supply || r.Value > PresentFrom*supply {
		return false
	}
	for _, a := range p.Outcomes {
		if a.High != nil && r.Value >= *a.Low && r.Value <= *a.High {
			return false
		}
	}
	return true
}
