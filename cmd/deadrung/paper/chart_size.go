package paper

import "deadrung/diagnose"

// LargePanel tells whether a panel is one whose charts are not laid out whole unless that is
// asked for.
func LargePanel(m *diagnose.Model) bool { return len(m.Faults()) > diagnose.AheadFaults }
