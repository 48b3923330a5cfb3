package diagnose

import "deadrung/diagnose/log"

// Belief is a log held against every fault.
type Belief struct{ held *belief }

// Believe holds every fault, and the good circuit, against the readings of a log.
func (m *Model) Believe(history log.Log) Belief { return Belief{m.believe(history)} }

// Turn says what the log leaves possible, and the best next check.
func (b Belief) Turn(c Choosing) Turn { return b.held.m.turn(b.held, c) }

// Disagree counts the readings that a fault does not fit: by fault, and last the good circuit.
func (b Belief) Disagree() []int { return b.held.disagree }

// Agrees tells whether an answer agrees with a foretold reading of a check.
func (m *Model) Agrees(l log.Located, foretold, answer log.Reading) bool {
	return m.agree(l, foretold, answer)
}
