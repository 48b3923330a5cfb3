package generate

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
)

// Shape is a way of building large panels. What a panel costs to work out depends on its shape
// as much as on its size, so figures are measured on each.
type Shape struct {
	Name string
	// draw draws one rung, or a few that belong together, and gives their number.
	draw func(b *board, left int) int
	// begin sets up the supply and how wires run; nil for what spread does.
	begin func(b *board)
	// regular is set for the regular panel, which is laid out and not drawn.
	regular bool
}

// Shapes are those that figures are measured on.
var Shapes = []Shape{
	{Name: "regular", regular: true},
	{Name: "mixed", draw: (*board).addRung},
	{Name: "contacts", draw: (*board).longChain},
	{Name: "seals", draw: (*board).lockedSeals},
	{Name: "feed", draw: (*board).addRung, begin: func(b *board) { b.supplyAC() }},
	{Name: "fuses", draw: (*board).fused},
	{Name: "dc", draw: (*board).addRung, begin: func(b *board) { b.supplyDC(); b.spread() }},
	{Name: "field", draw: (*board).outdoors},
	{Name: "lamps", draw: (*board).lampsAcross},
}

// shapeDraws bounds how often a panel of a shape is drawn again.
const shapeDraws = 20

// Panel gives the text of a panel of the shape: the same seed and number of rungs always give
// the same text. As with [Panel] the good circuit neither chatters nor opens a fuse, and every
// look at it is a firm one. The operation has some 17 steps.
func (s Shape) Panel(seed uint64, rungs int) string {
	if s.regular {
		return Rungs(rungs)
	}
	rungs = max(rungs, LeastRungs)
	for draw := range uint64(shapeDraws) {
		b := newBoard(rand.New(rand.NewPCG(seed, draw)))
		b.across["door"], b.across[b.outside] = straight, throughBlock
		if s.begin == nil {
			b.supplyAC()
			b.spread()
		} else {
			s.begin(b)
		}
		for left := rungs; left > 0; {
			left -= s.draw(b, left)
		}
		b.rate()
		steps := b.operateInTurn()
		head := fmt.Sprintf("circuit: Panel %d of %d rungs, %s\n", seed, rungs, s.Name) + b.text()
		if expect, ok := workThrough(head + operationText(steps, nil)); ok {
			return head + operationText(steps, expect)
		}
	}
	panic(fmt.Sprintf("generate: no sensible panel of shape %s in %d draws from seed %d", s.Name, shapeDraws, seed))
}

// supplyAC draws a grounded control transformer and its fuse.
func (b *board) supplyAC() {
	b.volts, b.bonded = 120, true
	b.supplyFrom(b.add("T", "control-transformer", "panel", "volts: 120"), "X1", "X2")
}

// supplyDC draws a grounded dc supply and its fuse.
func (b *board) supplyDC() {
	b.volts, b.bonded = 24, true
	b.supplyFrom(b.add("PWS", "supply", "panel", "volts: 24, current: dc"), "+", "-")
}

func (b *board) supplyFrom(source *device, hot, ret string) {
	first := b.node()
	first.add(source.at(hot))
	b.ret = b.node()
	b.ret.add(source.at(ret))
	b.ground(b.ret)
	b.hot = b.node()
	b.mainFuse = b.fuse(first, b.hot)
}

// spread feeds long wire numbers over bridged terminals, each with a chain of its own.
func (b *board) spread() { b.perRun = perChain }

// shared are so many rungs that hang on one stop or one fuse.
const shared = 12

// longChain: permissives in series, far more than anything else, then start and seal-in.
func (b *board) longChain(int) int {
	var stages []stage
	var operators []*switched
	for range 4 + b.r.IntN(8) {
		if len(b.relays) > 0 && b.chance(4) {
			stages = append(stages, one(b.earlier(b.chance(50))))
			continue
		}
		c, s := b.fieldSwitch(true)
		stages = append(stages, one(c))
		operators = append(operators, s)
	}
	c, start := b.button(false)
	d := b.coil()
	stages = append(stages, stage{{c}, {d.pole(false, false)}})
	b.hang(d, b.lay(b.hot, stages...))
	b.drawn(append(operators, start)...)
	return 1
}

// lockedSeals: seal-ins that lock each other out, and some that are locked by earlier ones.
func (b *board) lockedSeals(left int) int {
	if left >= 2 && b.chance(35) {
		return b.reversing()
	}
	if left >= 2 && len(b.relays) > 0 && b.chance(40) {
		return b.twoLamps()
	}
	return b.sealed()
}

// fused: any rung, behind a fuse that a few share.
func (b *board) fused(left int) int {
	if b.branch == nil || len(b.branch.points) > shared {
		b.branch = b.node()
		b.fuse(b.hot, b.branch)
	}
	main := b.hot
	b.hot = b.branch
	drawn := b.addRung(left)
	if b.hot = main; len(b.branch.points) == 1 {
		b.lamp(b.branch, b.ret, "door")
	}
	return drawn
}

// outdoors: rungs whose switches and loads are in the field, through the terminal block.
func (b *board) outdoors(left int) int {
	switch {
	case len(b.relays) == 0 || b.chance(50):
		return b.follower()
	case b.chance(50):
		return b.direct()
	}
	return b.addRung(left)
}

// lampsAcross: seal-ins with a lamp across each coil.
func (b *board) lampsAcross(int) int {
	relays := len(b.relays)
	drawn := b.sealed()
	d := b.relays[relays]
	for _, n := range b.nodes {
		if slices.Contains(n.points, d.at("A1")) {
			b.lamp(n, b.ret, "door")
			break
		}
	}
	return drawn
}

// turns is in how many groups the operators are worked.
const turns = 6

// operateInTurn works the operators in a few groups; what stands side by side is worked in
// different groups, so that two that lock each other out do not race.
func (b *board) operateInTurn() []step {
	var steps []step
	say := func(name string, set []string, wait float64) {
		steps = append(steps, step{fmt.Sprintf("%d %s", len(steps)+1, name), set, wait})
	}
	var longest float64
	for _, d := range b.relays {
		longest = max(longest, d.seconds)
	}
	say("at rest", nil, 0)
	for turn := range turns {
		var on, off []string
		for i, rung := range b.rungs {
			for _, s := range rung {
				if i%turns != turn || s.breaks {
					continue
				}
				on = append(on, s.d.name+": "+s.positions[1+turn%(len(s.positions)-1)])
				if s.momentary {
					off = append(off, s.d.name+": "+s.positions[0])
				}
			}
		}
		if len(on) > 0 {
			say(fmt.Sprintf("group %d worked", turn+1), on, 0)
		}
		if len(off) > 0 {
			say(fmt.Sprintf("group %d let go", turn+1), off, 0)
		}
	}
	say("later", nil, 2*longest)
	for k := range 2 {
		var broken, back []string
		for i, rung := range b.rungs {
			for _, s := range rung {
				if s.breaks && i%3 == k {
					broken = append(broken, s.d.name+": "+s.positions[1])
					back = append(back, s.d.name+": "+s.positions[0])
				}
			}
		}
		if len(broken) > 0 {
			say(fmt.Sprintf("stops of third %d worked", k+1), broken, 0)
			if k == 0 {
				say("put back", back, longest)
			}
		}
	}
	return steps
}

// runs divides the points of a long wire number over bridged terminals of a terminal block.
func (b *board) runs(strips map[string]*strip, chain []string) (first []string, others [][]string) {
	if b.perRun == 0 || len(chain) <= b.perRun {
		return chain, nil
	}
	s := b.strip(strips, "panel", "TB", "terminal-block")
	var bridged []string
	for part := range slices.Chunk(chain, b.perRun) {
		at := s.next()
		_, name, _ := strings.Cut(at, ":")
		bridged = append(bridged, name)
		if first == nil {
			first = append(slices.Clone(part), at)
			continue
		}
		others = append(others, append([]string{at}, part...))
	}
	s.bridges = append(s.bridges, "["+strings.Join(bridged, ", ")+"]")
	return first, others
}
