package diagnose

import (
	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/diagnose/log"
)

// Potential is what a meter reads of one terminal against others at the end of a step.
type Potential struct {
	// Island is of terminals between which a voltage can be foretold; negative where
	// none can be, since a relay chatters or the supply has collapsed.
	Island int32
	Volts  [network.MostTones]complex64 // by frequency of the supplies
	Beats  bool                         // the supplies are of one frequency and of unknown phase
}

// Potential gives that of a node at the end of a step.
func (t *Meter) Potential(step int, n network.Node) Potential {
	e := t.ends[step]
	p := Potential{Island: islandOf(e, n), Beats: t.m.panel.Net.Beats()}
	for s := range min(e.Live.Systems(), len(p.Volts)) {
		p.Volts[s] = complex64(e.Live.Potential(n, s))
	}
	return p
}

// VoltsBetween gives the reading between two terminals of different nodes by their
// potentials. The meter's own current is left out, which is far within what agrees.
func VoltsBetween(a, b Potential) log.Reading {
	return between(func(n network.Node) (int32, phasors) {
		if n == 0 {
			return a.Island, a.Volts
		}
		return b.Island, b.Volts
	}, a.Beats, 0, 1)
}

// OhmsFrom gives the ohms readings from one node to each of others, operators held as in
// a step, the wires lifted off some terminals. Open tells that what the fault blows in
// the course of the operation stands open, as Found has it.
func (t *Meter) OhmsFrom(step int, lifted []circuits.Terminal, open bool, from network.Node, to []network.Node) []log.Reading {
	with := &t.offs.whole
	if open && len(t.offs.blown) > 0 {
		with = &t.offs.open
	}
	off := t.offs.locked(step, lifted, with)
	readings := make([]log.Reading, len(to))
	for i, n := range to {
		v, firm := off.Ohms(from, n)
		readings[i] = log.Reading{Kind: log.Ohms, Value: v, Firm: firm}
	}
	return readings
}

// BlownAfter tells whether all that a fault blows in the course of the operation stands
// open at the end of a step.
func (t *Meter) BlownAfter(step int) bool {
	n := len(t.ends[step].Blown)
	return n > 0 && n == len(t.offs.blown)
}

// Agree tells whether an answer is one that a check may give whose reading is foretold.
func (m *Model) Agree(c log.Check, foretold, answer log.Reading) bool {
	l, err := m.book.Locate(c)
	return err == nil && m.agree(l, foretold, answer)
}
