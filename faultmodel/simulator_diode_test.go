package faultmodel_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// realDiodes states the network as live does on direct current, but for the diodes: they stand
// there as diodes, and the simulator finds out which of them conduct.
func realDiodes(p *work.Panel, e *work.End, o *network.Overlay) *statement {
	closed := slices.Clone(e.State.Closed)
	var diodes []network.Conductor
	for c := network.Conductor(1); int(c) <= p.Net.Conductors(); c++ {
		if k := p.Part(c).Kind; k == work.DiodePart || k == work.KeptPart {
			closed[c] = false
			diodes = append(diodes, c)
		}
	}
	s := live(p, network.State{Closed: closed, EMF: e.State.EMF}, o, 0)
	for _, c := range diodes {
		if a, b := p.Net.Ends(c); !slices.Contains(o.Open, c) && !slices.Contains(o.Closed, c) {
			model := siliconDiode
			if p.Part(c).Kind == work.KeptPart {
				model = twoWire
			}
			s.add('d', fmt.Sprint(partName(p, c), "_", c), model, int(a), int(b))
		}
	}
	return s
}

// On random panels of 2 to 30 rungs with diodes, good and faulty, a meter reads what it reads in a
// simulator with real diodes, within 2 % or 0.2 V, or its reading is not a firm one.
func TestSimulatedDiodes(t *testing.T) {
	b := &diodeBench{sim: needSimulator(t), dir: t.TempDir(), apart: 61, faults: 3}
	panels, most := 0, 4
	if testing.Short() {
		most = 2
	}
	for seed := uint64(1); panels < most; seed++ {
		p := assembled(t, fmt.Sprint("panel ", seed),
			generate.Panel(seed, generate.Options{Rungs: generate.LeastRungs + int(seed*5)%29, Passive: true}))
		if p.Net.Diodes() {
			panels++
			b.hold(t, fmt.Sprint("seed ", seed), p)
		}
	}
	b.done(t)
}

// twoWireSensors is a circuit of sensors of two wires on direct current: in series, before a coil, before
// a lamp and beside a button.
const twoWireSensors = `
circuit: Crate stop
devices:
  G1: {type: supply, current: dc, volts: 24}
  F1: {type: fuse, amps: 2}
  PRX1: {type: proximity-switch, contacts: [{no: [3, 4]}]}
  PRX2: {type: proximity-switch, contacts: [{nc: [1, 2]}], leakage: 0.8}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}]}
  CR2: {type: contactor, pull-in: 70}
  H1: {type: lamp}
rungs:
  - {feed: [G1, F1]}
  - [PRX1, wire 14, {parallel: [PB1, CR1 no]}, wire 15, CR1]
  - [wire 14, PRX2, CR2]
  - [wire 15, H1]
operation:
  - {step: nothing there}
  - {step: crate there and button held, set: {PRX1: operated, PB1: pressed}}
  - {step: button let go, set: {PB1: released}}
  - {step: crate past, set: {PRX2: operated}}
`

// The same with sensors of two wires, which keep some volts for themselves.
func TestSimulatedTwoWireSensors(t *testing.T) {
	p := assembled(t, "sensors", twoWireSensors)
	assert.InDelta(t, 2*circuits.SensorDrop, p.Kept(), 1e-9)
	b := &diodeBench{sim: needSimulator(t), dir: t.TempDir(), apart: 3, faults: 12}
	b.hold(t, "sensors", p)
	b.done(t)
}

// diodeBench holds readings of panels with diodes against the simulator: at one node in so many, and
// with about so many faults a panel.
type diodeBench struct {
	sim                 *simulator
	dir                 string
	apart, faults       int
	firm, all, unsolved int
	worst               float64
}

func (b *diodeBench) hold(t *testing.T, name string, p *work.Panel) {
	const agreeShare, agreeVolts = 0.02, 0.2
	faults := faultmodel.List(p, faultmodel.Options{})
	volts, ret := p.Net.Source(1).Volts, p.Net.Source(1).Return
	for f := -1; f < len(faults); f += 1 + len(faults)/b.faults {
		o := &work.Overlay{}
		if f >= 0 {
			o = &faults[f].Overlay
		}
		var statements []*statement
		var read []float64
		var at []network.Node
		var says []string
		var spare []float64 // volts that a sensor may keep of what feeds a meter alone
		p.Work(o, func(step int, e *work.End) bool {
			if len(e.Collapsed)+len(e.Chatter)+len(e.Racing) > 0 {
				return true
			}
			kept := 0.0
			for c, leads := range e.State.Leads {
				if leads && p.Part(network.Conductor(c)).Kind == work.KeptPart {
					kept = circuits.SensorDrop
				}
			}
			for i := (step + f + 1) % b.apart; i < p.Net.Nodes(); i += b.apart {
				n := network.Node(i + 1)
				b.all++
				v, ok := e.ReadVolts(n, ret, network.MeterOhms)
				if !ok || n == ret {
					continue
				}
				b.firm++
				statements = append(statements, realDiodes(p, e, &o.Overlay).measuring(n, ret, network.MeterOhms))
				read = append(read, v)
				at, spare = append(at, n), append(spare, kept)
				says = append(says, fmt.Sprintf("%s, fault %d, step %d, %s", name, f, step, p.Terminal(n)))
			}
			return true
		})
		// With diodes the simulator has to iterate, and many networks at once are too much for it.
		var solved []nodeVolts
		for one := range slices.Chunk(statements, 1) {
			part, err := b.sim.Solve(b.dir, 0, one)
			if err != nil { // it does not converge
				part, b.unsolved = []nodeVolts{nil}, b.unsolved+1
			}
			solved = append(solved, part...)
		}
		for i, theirs := range solved {
			if theirs == nil {
				continue
			}
			differs := math.Abs(math.Abs(real(theirs[at[i]]-theirs[ret])) - read[i])
			if spare[i] == 0 {
				b.worst = max(b.worst, differs)
			}
			assert.LessOrEqual(t, differs, max(agreeVolts, agreeShare*volts)+spare[i], "%s: we read %.3f", says[i], read[i])
		}
	}
}

func (b *diodeBench) done(t *testing.T) {
	assert.Greater(t, b.firm, b.all/2)
	assert.LessOrEqual(t, b.unsolved, b.firm/10, "the simulator finds no solution")
	t.Logf("%d of %d readings are firm, the worst off by %.2f V", b.firm, b.all, b.worst)
}
