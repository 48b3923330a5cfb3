package faultmodel_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// reading is one placing of the leads: volts with the meter as a branch of the live
// network, or ohms with the power locked off.
type reading struct {
	fault, step int
	red, black  circuits.Terminal
	meterOhms   float64           // volts: the meter's input resistance; zero for ohms
	lifted      circuits.Terminal // ohms: whose wires are lifted; empty for none
}

func (b *bench) saysReading(r reading) string {
	kind := "ohms"
	if r.meterOhms > 0 {
		kind = fmt.Sprintf("volts with a meter of %g ohm", r.meterOhms)
	}
	if r.lifted != "" {
		kind += ", lifted " + string(r.lifted) + ","
	}
	return fmt.Sprintf("%s, step %q, %s: %s from %s to %s", b.name, b.panel.Circuit.Steps[r.step].Name,
		b.faultName(r.fault), kind, r.red, r.black)
}

// ours is what our network reads, volts or ohms. It is false where it cannot be read.
func (b *bench) ours(r reading) (value float64, firm, ok bool) {
	red, black := b.panel.Node(r.red), b.panel.Node(r.black)
	if r.meterOhms == 0 {
		closed, o, ok := b.lockedOut(r)
		if !ok {
			return 0, false, false
		}
		value, firm = b.panel.Net.Off(network.State{Closed: closed}, &o.Overlay).Ohms(red, black)
		return value, firm, true
	}
	for _, s := range b.stand(r.fault) {
		if s.step == r.step {
			value, firm = s.end.ReadVolts(red, black, r.meterOhms)
			return value, firm, true
		}
	}
	return 0, false, false
}

// lockedOut gives the contacts with the power off and the overlay with the lead lifted.
func (b *bench) lockedOut(r reading) (closed []bool, o work.Overlay, ok bool) {
	o = *b.overlay(r.fault)
	closed = b.panel.LockedOut(&o, r.step).Closed
	if r.lifted == "" {
		return closed, o, true
	}
	o, err := b.panel.Lift(o, []circuits.Terminal{r.lifted})
	return closed, o, err == nil
}

// theirs has the simulator read. Ohms come twice where the panel has an electronic
// supply: its output open, and joined.
func (b *bench) theirs(sim *simulator, dir string, all []reading) (values [][]float64, err error) {
	p := b.panel
	type want struct{ reading, system int }
	statements := make(map[float64][]*statement) // by frequency
	asked := make(map[float64][]want)
	ask := func(i, system int, hertz float64, st *statement) {
		statements[hertz] = append(statements[hertz], st)
		asked[hertz] = append(asked[hertz], want{i, system})
	}
	for i, r := range all {
		red, black := p.Node(r.red), p.Node(r.black)
		if r.meterOhms == 0 {
			closed, o, _ := b.lockedOut(r)
			for way := range b.supplyWays() {
				ask(i, way, -1, off(p, closed, &o.Overlay, red, black, way == 1))
			}
			continue
		}
		for _, s := range b.stand(r.fault) {
			if s.step != r.step {
				continue
			}
			for system, hertz := range b.hertz {
				st := live(p, s.end.State, &b.overlay(r.fault).Overlay, hertz)
				ask(i, system, hertz, st.measuring(red, black, r.meterOhms))
			}
		}
	}
	values = make([][]float64, len(all))
	for hertz, sts := range statements {
		volts, err := sim.Solve(dir, max(hertz, 0), sts)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", b.name, err)
		}
		for k, w := range asked[hertz] {
			r := all[w.reading]
			v := cmplx.Abs(volts[k][p.Node(r.red)] - volts[k][p.Node(r.black)])
			if r.meterOhms == 0 {
				if v /= testAmperes; v >= network.OpenOhms {
					v = math.Inf(1)
				}
			}
			at := &values[w.reading]
			for len(*at) <= w.system {
				*at = append(*at, 0)
			}
			(*at)[w.system] = v
		}
	}
	return values, nil
}

// supplyWays is 2 where the panel has an electronic supply, whose output an ohmmeter
// may find open or joined, else 1.
func (b *bench) supplyWays() int {
	for i := 1; i <= b.panel.Net.Sources(); i++ {
		if b.panel.Net.Source(network.Source(i)).Unknown {
			return 2
		}
	}
	return 1
}

// disagrees holds what we read against what the simulator reads.
func (b *bench) disagrees(r reading, theirs []float64) error {
	value, firm, ok := b.ours(r)
	if !ok {
		return fmt.Errorf("%s: cannot be read", b.saysReading(r))
	}
	near := func(got, want float64) bool {
		return got == want || within(complex(got, 0), complex(want, 0)) // equal: both infinite
	}
	if r.meterOhms == 0 && len(theirs) > 1 {
		if same := near(theirs[0], theirs[1]); same != firm {
			return fmt.Errorf("%s: firm is %t; the simulator reads %g ohm and %g ohm with the supply's output joined",
				b.saysReading(r), firm, theirs[0], theirs[1])
		}
	} else if !firm {
		return fmt.Errorf("%s: is not firm", b.saysReading(r))
	}
	want := theirs[0]
	if r.meterOhms > 0 { // two frequencies: the greater
		for _, v := range theirs {
			want = max(want, v)
		}
	}
	if !near(value, want) {
		return fmt.Errorf("%s: %g; the simulator reads %g", b.saysReading(r), value, want)
	}
	return nil
}

// How many readings of a kind are drawn of a circuit.
const (
	drawnVolts  = 60 // half with a meter of high, half of low input resistance
	drawnOhms   = 60
	drawnLifted = 60
)

// draw draws readings of a circuit, half of them across a part and half from anywhere
// to anywhere, one in four of the good circuit. Volts that float are not drawn, nor
// known differences.
func (b *bench) draw(seed uint64) []reading {
	rnd := rand.New(rand.NewPCG(seed, 0))
	p := b.panel
	var reach []circuits.Terminal // a wire lands there
	for _, t := range p.Terminals() {
		if p.Wired(t) {
			reach = append(reach, t)
		}
	}
	var parts [][2]circuits.Terminal
	for i := 1; i <= p.Net.Conductors(); i++ {
		x, y := p.Net.Ends(network.Conductor(i))
		parts = append(parts, [2]circuits.Terminal{p.Terminal(x), p.Terminal(y)})
	}
	for i := 1; i <= p.Net.Loads(); i++ {
		l := p.Net.Load(network.Load(i))
		for range 4 { // loads are few, and what reads neither 0 nor OL
			parts = append(parts, [2]circuits.Terminal{p.Terminal(l.A), p.Terminal(l.B)})
		}
	}
	one := func(meterOhms float64, lift bool) reading {
		r := reading{fault: good, step: rnd.IntN(len(p.Circuit.Steps)), meterOhms: meterOhms}
		if rnd.IntN(4) > 0 {
			r.fault = rnd.IntN(len(b.faults))
		}
		if rnd.IntN(2) == 0 {
			pair := parts[rnd.IntN(len(parts))]
			r.red, r.black = pair[0], pair[1]
		} else {
			r.red, r.black = reach[rnd.IntN(len(reach))], reach[rnd.IntN(len(reach))]
		}
		if lift {
			r.lifted = r.red
		}
		return r
	}
	var all []reading
	add := func(n int, meterOhms float64, lift bool) {
		for n > 0 {
			r := one(meterOhms, lift)
			if _, firm, ok := b.ours(r); !ok || !firm && meterOhms > 0 || b.known(r.fault) != "" {
				continue
			}
			all = append(all, r)
			n--
		}
	}
	add(drawnVolts/2, network.MeterOhms, false)
	add(drawnVolts/2, network.LowImpedanceOhms, false)
	add(drawnOhms, 0, false)
	add(drawnLifted, 0, true)
	return all
}

// TestSimulatorReadings reads volts with the meter in the circuit, and ohms with and
// without a lifted lead, in ngspice.
func TestSimulatorReadings(t *testing.T) {
	sim := needSimulator(t)
	for _, c := range simulated(t) {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			b := newBench(t, c.name, c.text, faultmodel.Options{WiringErrors: true, Worn: true})
			drawn := b.draw(1)
			if testing.Short() {
				drawn = drawn[:drawnVolts]
			}
			theirs, err := b.theirs(sim, t.TempDir(), drawn)
			require.NoError(t, err)
			wrong := 0
			for i, r := range drawn {
				if err := b.disagrees(r, theirs[i]); err != nil {
					wrong++
					t.Error(err)
				}
			}
			assert.Zero(t, wrong)
			t.Logf("%s: %d readings, %d disagree", sim.Version, len(drawn), wrong)
		})
	}
}
