// Package generate makes circuit files with known structure, for tests and benchmarks
// of the other packages.
//
// A seed or a size goes in; out comes the text of a circuit file, version 1, that a
// person could have written: it reads without mistakes, and working its good circuit
// gives what its steps expect. There is no randomness but the seed, so that a test that
// fails can be run again by its seed alone.
//
//   - [Panel] draws a random panel of a few rungs: every device type, both kinds of
//     supply, grounded and not, wired through terminal blocks and plugs or straight.
//   - [Rungs] lays out a large regular panel of any number of rungs, for figures of
//     how time and memory grow.
//   - [Shapes] are other ways of building large panels, for the same.
//
// How a random panel comes about:
//
//	seed ─ supply ─ rungs ─ wires ─ steps ─ work it ─ expectations ─ text
//	  ▲                                       │
//	  └────── draw again: chatters, blows ────┘
package generate

import (
	"fmt"
	"math/rand/v2"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

// A random panel has at least and at most so many rungs.
const (
	LeastRungs = 2
	MostRungs  = 30
)

// Options say what is drawn.
type Options struct {
	// Rungs is the number of outputs that are drawn: coils, lamps, horns and the like,
	// each on a rung of its own. It is taken as LeastRungs or MostRungs where it lies
	// outside of them. A lamp across a coil comes on top.
	Rungs int
	// Power draws what the contactors switch as well: three phases and motors, and timers that they start.
	Power bool
	// Passive draws diodes, resistors, capacitors and suppressors at coils and lamps.
	Passive bool
}

// mostDraws bounds how often a panel is drawn again. Fewer than one draw in ten is
// turned down, so the bound is met only by a mistake in this package.
const mostDraws = 200

// Panel gives the text of a random panel. The same seed and options always give the
// same text. The good circuit neither chatters nor opens a fuse, and every look at it is
// a firm one.
func Panel(seed uint64, o Options) string {
	rungs := min(max(o.Rungs, LeastRungs), MostRungs)
	for draw := range uint64(mostDraws) {
		b := newBoard(rand.New(rand.NewPCG(seed, draw)))
		b.addSupply()
		for left := rungs; left > 0; {
			left -= b.addRung(left)
		}
		if o.Power {
			b.addPower(seed)
		}
		if o.Passive {
			b.addPassive(seed)
		}
		b.rate()
		steps := b.operate()
		head := fmt.Sprintf("circuit: Random panel %d of %d rungs\n", seed, rungs) + b.text()
		if expect, ok := workThrough(head + operationText(steps, nil)); ok {
			return head + operationText(steps, expect)
		}
	}
	panic(fmt.Sprintf("generate: no sensible panel in %d draws from seed %d", mostDraws, seed))
}

// workThrough works the good circuit of a file and gives, by step, what it does in the form of
// expectations. It reports false where the circuit is not fit for use: something
// chatters, opens or glimmers, or too little of it ever works.
func workThrough(text string) (expect [][]string, ok bool) {
	c, problems := read.Read("generated.yaml", []byte(text))
	if err := problems.Err(); err != nil {
		panic("generate: a file with mistakes: " + err.Error() + "\n" + text)
	}
	p := work.Assemble(c)
	good := &work.Overlay{}
	visible := p.Visible()
	worked := make(map[*circuits.Device]bool)
	ok = true
	p.Work(good, func(_ int, e *work.End) bool {
		ok = len(e.Chatter) == 0 && len(e.Blown) == 0 && len(e.Collapsed) == 0
		var row []string
		for _, d := range visible {
			on, firm := p.Look(good, e, d)
			ok = ok && firm
			row = append(row, d.Name+": "+work.OnOff(on))
			if on {
				worked[d] = true
			}
		}
		expect = append(expect, row)
		return ok
	})
	return expect, ok && 3*len(worked) >= 2*len(visible)
}
