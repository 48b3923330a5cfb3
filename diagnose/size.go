package diagnose

import (
	"math"

	"deadrung/circuits"
)

// Size is how big a panel is to be worked through. What that takes is told from it before any of
// the work begins: a rough figure, by which nobody waits an hour for want of a warning.
type Size struct {
	Devices, Terminals, Wires, Steps int
	Largest                          *circuits.Device // that with the most terminals; nil for none
}

// SizeOf counts what a circuit has.
func SizeOf(c *circuits.Circuit) Size {
	s := Size{Devices: len(c.Devices), Steps: len(c.Steps)}
	for _, d := range c.Devices {
		s.Terminals += len(d.Terminals)
		if s.Largest == nil || len(d.Terminals) > len(s.Largest.Terminals) {
			s.Largest = d
		}
	}
	for _, n := range c.Numbers {
		s.Wires += len(n.Wires)
	}
	return s
}

// What a terminal takes in each step, of the panels of generate.Shapes at 30 and 100 rungs: from
// a fifth of that (regular panels) to that. The time grows faster than the panel.
const (
	bytesEach   = 50e3
	secondsEach = 1e-5
	timeGrowth  = 1.5
)

// Bytes is about how much memory it takes to work the panel through, at the most.
func (s Size) Bytes() float64 { return bytesEach * s.pieces() }

// Seconds is about how much processor time it takes, at the most.
func (s Size) Seconds() float64 { return secondsEach * math.Pow(s.pieces(), timeGrowth) }

// pieces are the terminals in each of the steps.
func (s Size) pieces() float64 { return float64(s.Terminals) * float64(max(1, s.Steps)) }

// MostTerminals and MostPieces are the number of terminals, and of terminals times steps, above
// which a panel is not worked through unless somebody says so.
const (
	MostTerminals = 40_000
	MostPieces    = 700_000
)

// TooBig tells whether a panel is not worked through unless somebody says so.
func (s Size) TooBig() bool { return s.Terminals > MostTerminals || s.pieces() > MostPieces }
