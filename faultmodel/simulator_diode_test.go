package faultmodel_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

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
		if p.Part(c).Kind == work.DiodePart {
			closed[c] = false
			diodes = append(diodes, c)
		}
	}
	s := live(p, network.State{Closed: closed, EMF: e.State.EMF}, o, 0)
	for _, c := range diodes {
		if a, b := p.Net.Ends(c); !slices.Contains(o.Open, c) && !slices.Contains(o.Closed, c) {
			s.add('d', partName(p, c), siliconDiode, int(a), int(b))
		}
	}
	return s
}

// On random panels of 2 to 30 rungs with diodes, good and faulty, a meter reads what it reads in a
// simulator with real diodes, within 2 % or 0.2 V, or its reading is not a firm one.
func TestSimulatedDiodes(t *testing.T) {
	sim := needSimulator(t)
	const agreeShare, agreeVolts = 0.02, 0.2
	const apart, fewFaults = 61, 3 // one node in so many, and about so many faults a panel
	panels, most := 0, 4
	if testing.Short() {
		most = 2
	}
	dir := t.TempDir()
	var firm, all, unsolved int
	var worst float64
	for seed := uint64(1); panels < most; seed++ {
		p := assembled(t, fmt.Sprint("panel ", seed),
			generate.Panel(seed, generate.Options{Rungs: generate.LeastRungs + int(seed*5)%29, Passive: true}))
		if !p.Net.Diodes() {
			continue
		}
		panels++
		faults := faultmodel.List(p, faultmodel.Options{})
		volts, ret := p.Net.Source(1).Volts, p.Net.Source(1).Return
		for f := -1; f < len(faults); f += 1 + len(faults)/fewFaults {
			o := &work.Overlay{}
			if f >= 0 {
				o = &faults[f].Overlay
			}
			var statements []*statement
			var read []float64
			var at []network.Node
			var says []string
			p.Work(o, func(step int, e *work.End) bool {
				if len(e.Collapsed)+len(e.Chatter)+len(e.Racing) > 0 {
					return true
				}
				for i := (step + f + 1) % apart; i < p.Net.Nodes(); i += apart {
					n := network.Node(i + 1)
					all++
					v, ok := e.ReadVolts(n, ret, network.MeterOhms)
					if !ok || n == ret {
						continue
					}
					firm++
					statements = append(statements, realDiodes(p, e, &o.Overlay).measuring(n, ret, network.MeterOhms))
					read = append(read, v)
					at = append(at, n)
					says = append(says, fmt.Sprintf("seed %d, fault %d, step %d, %s", seed, f, step, p.Terminal(n)))
				}
				return true
			})
			// With diodes the simulator has to iterate, and many networks at once are too much for it.
			var solved []nodeVolts
			for one := range slices.Chunk(statements, 1) {
				part, err := sim.Solve(dir, 0, one)
				if err != nil { // it does not converge
					part, unsolved = []nodeVolts{nil}, unsolved+1
				}
				solved = append(solved, part...)
			}
			for i, theirs := range solved {
				if theirs == nil {
					continue
				}
				differs := math.Abs(math.Abs(real(theirs[at[i]]-theirs[ret])) - read[i])
				worst = max(worst, differs)
				assert.LessOrEqual(t, differs, max(agreeVolts, agreeShare*volts), "%s: we read %.3f", says[i], read[i])
			}
		}
	}
	assert.Greater(t, firm, all/2)
	assert.LessOrEqual(t, unsolved, firm/10, "the simulator finds no solution")
	t.Logf("%d of %d readings are firm, the worst off by %.2f V", firm, all, worst)
}
