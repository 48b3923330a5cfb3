package checkout

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// planted is a panel of a circuit file with the wiring faults that are planted in it: those
// of the list of a new build, and any two wire numbers that touch.
func planted(t *testing.T, text string) (*work.Panel, []faultmodel.Fault) {
	t.Helper()
	c, problems := read.Read("test", []byte(text))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	faults := slices.DeleteFunc(faultmodel.List(p, faultmodel.Options{WiringErrors: true}),
		func(f faultmodel.Fault) bool {
			return f.Effect.OpenWire == nil && f.Effect.Miswired == nil && f.Effect.Exchanged == nil &&
				f.Effect.Ground == ""
		})
	for i, a := range c.Numbers {
		for _, b := range c.Numbers[i+1:] {
			faults = append(faults, faultmodel.Fault{Text: fmt.Sprintf("wires %s and %s touch", a.Name, b.Name),
				Overlay: work.Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{{p.Node(a.Wires[0].From),
					p.Node(b.Wires[0].From)}}}}})
		}
	}
	return p, faults
}

// newBuild is the model of a new build, with every mistake of wiring.
func newBuild(p *work.Panel) *diagnose.Model {
	return diagnose.Bare(p, faultmodel.List(p, faultmodel.Options{WiringErrors: true}), log.Rules{})
}

// offTolerance makes the ohms of all coils, loads and windings differ from their rated ones,
// within their tolerance, each in its own way.
func offTolerance(p *work.Panel, seed uint64) *work.Panel {
	random := rand.New(rand.NewPCG(seed, 3))
	for _, d := range p.Circuit.Devices {
		off := 1 + 0.14*(2*random.Float64()-1)
		switch {
		case p.Source(d) != 0 && d.Transformer():
			d.Ohms = p.Net.Source(p.Source(d)).WindingOhms * off
		case p.Load(d) != 0 && p.Values(d).Ohms < diagnose.OpenFrom:
			d.Ohms = p.Values(d).Ohms * off
			if d.Type.Phases { // the file has them between two lines, with the other two windings beside
				d.Ohms *= 2.0 / 3
			}
		}
	}
	return work.Assemble(p.Circuit)
}

// checkOutTexts are the circuits of which the check-out is proved.
func checkOutTexts() map[string]string {
	texts := map[string]string{"ten rungs": generate.Rungs(10)}
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		texts[name] = string(text)
	}
	for seed := range uint64(6) {
		texts[fmt.Sprint("random ", seed)] = generate.Panel(seed, generate.Options{Rungs: 5})
	}
	return texts
}

// Every planted wiring fault makes at least one check of the check-out disagree, on a panel
// whose coils are off their rated ohms, but for those that are told to be unseen; and a
// panel without a fault agrees with every check.
func TestCheckOutShowsEveryPlantedFault(t *testing.T) {
	for name, text := range checkOutTexts() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p, faults := planted(t, text)
			rated := newPlanner(newBuild(p))
			out := Of(rated.model, Options{})
			one := rated.alwaysJoined()
			unseen := make(map[string]bool)
			for _, u := range out.Unseen {
				unseen[u.Text] = true
			}
			real := diagnose.Bare(offTolerance(p, 1), faults, log.Rules{})
			wrong := func(fault work.Overlay) int {
				meter := real.Ohmmeter(fault)
				n := 0
				for _, c := range out.Checks() {
					l, err := real.Book().Locate(c.Check)
					require.NoError(t, err)
					r := meter.Read(l)
					if r.Firm && !c.Agrees(r) {
						n++
					}
				}
				return n
			}
			assert.Zero(t, wrong(work.Overlay{}), "a good panel disagrees")
			seen := 0
			for i, f := range faults {
				if unseen[f.Text] || rated.nothing(&faults[i], one) {
					continue
				}
				seen++
				assert.NotZero(t, wrong(f.Overlay), "%s is not shown", f.Text)
			}
			t.Logf("%d checks, %d faults shown, %d unseen", len(out.Checks()), seen, len(unseen))
			assert.Greater(t, seen, 2*len(unseen))
		})
	}
}

// What is called unseen is: no pair of terminals within reach reads otherwise for certain,
// whatever hands can hold, with nothing lifted.
func TestCheckOutUnseenIsUnseen(t *testing.T) {
	total := 0
	for seed := range uint64(6) { // some of these random panels have such faults
		p, faults := planted(t, generate.Panel(seed, generate.Options{Rungs: 5}))
		pl := newPlanner(diagnose.Bare(p, faults, log.Rules{}))
		unseen := 0
		for _, u := range Of(newBuild(p), Options{}).Unseen {
			i := slices.IndexFunc(faults, func(f faultmodel.Fault) bool { return f.Text == u.Text })
			if i < 0 {
				continue // a bridge
			}
			unseen++
			bad := pl.model.Ohmmeter(faults[i].Overlay)
			for step := range p.Circuit.Steps {
				if pl.book.Held(step) != step {
					continue
				}
				for a := network.Node(1); int(a) <= p.Net.Nodes(); a++ {
					for b := a + 1; int(b) <= p.Net.Nodes(); b++ {
						if !pl.reachable(a) || !pl.reachable(b) {
							continue
						}
						l := log.Located{Kind: log.Ohms, Step: step, A: a, B: b}
						if !pl.book.Within(l) {
							continue
						}
						x, y := pl.good.Read(l), bad.Read(l)
						xLow, xHigh := pl.model.Band(l, x)
						yLow, yHigh := pl.model.Band(l, y)
						require.False(t, x.Firm && y.Firm && (xHigh < yLow || yHigh < xLow), "%s: %s to %s shows it",
							u.Text, p.Terminal(a), p.Terminal(b))
					}
				}
			}
		}
		total += unseen
	}
	assert.Greater(t, total, 20)
}

// Expected ohms by hand, from the usual values of the electrical model: TR1 and CR1 2400
// ohm each, H1 480 ohm, B1 900 ohm, the winding 2 ohm.
func TestCheckOutExpectedOhms(t *testing.T) {
	text, _ := circuits.BuiltinText("cold-store-alarm")
	p, _ := planted(t, string(text))
	out := Of(newBuild(p), Options{})
	want := map[string]float64{
		"LS1:11 LS1:12": 2 + 2400,                   // winding and coil, the switch itself open
		"CR1:14 T1:X1":  2400 + 2,                   // coil and winding
		"LS1:11 TS1:14": 2 + 1/(1.0/480+1.0/900),    // winding, lamp beside the horn behind CR1:21-22
		"CR1:11 PB1:14": 1/(1.0/480+1.0/900) + 2400, // lamp beside the horn, grounded side, coil
		"PE:1 TR1:15":   2,                          // winding and fuse
		"TR1:18 CR1:22": 480 + 900,                  // with 21 lifted: lamp, grounded side, horn
	}
	found := 0
	for _, c := range out.Checks() {
		if ohms, ok := want[fmt.Sprint(c.Check.Ohms[0], " ", c.Check.Ohms[1])]; ok {
			found++
			assert.InDelta(t, ohms, c.Usual.Value, 0.01, c.Check.String())
		}
	}
	assert.Equal(t, len(want), found)
	for _, round := range out.Rounds {
		assert.Equal(t, len(round.Checks), round.Bound, "proved to be the fewest")
	}
}

// Without lifting nothing is lifted, and what is lost is told.
func TestCheckOutWithoutLifting(t *testing.T) {
	text, _ := circuits.BuiltinText("start-stop")
	p, _ := planted(t, string(text))
	m := newBuild(p)
	m.Book().Obey(log.Rules{NoLift: true})
	out := Of(m, Options{})
	for _, c := range out.Checks() {
		assert.Empty(t, c.Check.Lifted)
	}
	assert.Greater(t, len(out.Unseen), len(Of(newBuild(p), Options{}).Unseen))
}

// A reading that does not agree leads find to the fault: with the readings of the check-out
// alone the planted fault is among those that disagree with none.
func TestCheckOutLeadsToTheFault(t *testing.T) {
	text, _ := circuits.BuiltinText("start-stop")
	c, _ := read.Read("start-stop", text)
	p := work.Assemble(c)
	faults := faultmodel.List(p, faultmodel.Options{WiringErrors: true})
	m, err := diagnose.New(t.Context(), p, faults, diagnose.Options{})
	require.NoError(t, err)
	checks := Of(m, Options{}).Checks()
	tried, left := 0, 0
	for i, f := range faults {
		if i%5 != 0 || f.Effect.OpenWire == nil && f.Effect.Miswired == nil && f.Effect.Exchanged == nil &&
			f.Effect.Ground == "" {
			continue
		}
		meter := m.Meter(i)
		var history log.Log
		for _, c := range checks {
			r, err := meter.Read(c.Check)
			require.NoError(t, err)
			e, err := m.Book().NewEntry(c.Check, &r)
			require.NoError(t, err)
			history.Entries = append(history.Entries, e)
			if !c.Agrees(r) {
				break
			}
		}
		tried++
		turn := m.Turn(history, diagnose.Choosing{})
		assert.True(t, slices.Contains(turn.Left, i), "%s is not left", f.ID)
		left += len(turn.Left)
	}
	assert.Greater(t, tried, 15)
	// The ohms of a coil that the file does not give part no more than near zero, in between
	// and open, so a single fault may leave many.
	assert.Less(t, left, tried*len(faults)*2/3, "the readings tell little")
}

// The power comes on from the feed to the last fuse: by hand from the drawing of the
// circuit, whose main switch is closed in its second step only.
func TestEnergise(t *testing.T) {
	text, _ := circuits.BuiltinText("transformer-primary")
	p, _ := planted(t, string(text))
	var got []string
	for _, f := range Energise(diagnose.Bare(p, nil, log.Rules{})) {
		got = append(got, fmt.Sprintf("%s %s %.0f", f.Device.Name, f.Check.Step, f.Usual.Value))
	}
	assert.Equal(t, []string{"PWS1 main switch off 240", "Q1 main switch off 240",
		"F1 main switch on 240", "T1 main switch on 120", "F2 main switch on 120"}, got)
}

// A fuse on either side of a primary is put in before the transformer is measured, and one in
// a return is measured from the hot side: by hand from the drawing.
func TestEnergiseBothSides(t *testing.T) {
	const text = `circuit: two fused sides
devices:
  G1: {type: supply, volts: 240}
  F1: {type: fuse, amps: 1}
  F2: {type: fuse, amps: 1}
  T1: {type: control-transformer, volts: 120, primary-volts: 240}
  F3: {type: fuse, amps: 1}
  H1: {type: lamp}
rungs:
  - {feed: [G1, F1], return: [G1, F2]}
  - [T1:H1-H2]
  - {feed: [T1, F3]}
  - [H1]
operation:
  - {step: on, expect: {H1: on}}
`
	p, _ := planted(t, text)
	var got []string
	for _, f := range Energise(diagnose.Bare(p, nil, log.Rules{})) {
		got = append(got,
			fmt.Sprintf("%s %s-%s %.0f", f.Device.Name, f.Check.Volts[0], f.Check.Volts[1], f.Usual.Value))
	}
	assert.Equal(t, []string{"G1 G1:L-G1:N 240", "F1 F1:2-G1:N 240", "F2 G1:L-F2:2 240",
		"T1 T1:X1-T1:X2 120", "F3 F3:2-T1:X2 120"}, got)
}

// How a check-out grows with panels of every shape. A shape is left where a panel takes longer than
// a minute:
//
//	go test ./diagnose/checkout -run xxx -bench CheckOut -benchtime 1x -timeout 1h
//
// One shape or size is asked for as in -bench CheckOut/regular/300.
func BenchmarkCheckOut(b *testing.B) {
	for _, shape := range generate.Shapes {
		b.Run(shape.Name, func(b *testing.B) {
			for _, rungs := range []int{10, 30, 100, 300} {
				var took time.Duration
				b.Run(fmt.Sprint(rungs), func(b *testing.B) {
					c, problems := read.Read("rungs", []byte(shape.Panel(1, rungs)))
					require.NoError(b, problems.Err())
					p := work.Assemble(c)
					for b.Loop() {
						out := Of(newBuild(p), Options{})
						b.ReportMetric(float64(out.Faults), "faults")
						b.ReportMetric(float64(len(out.Checks())), "checks")
					}
					took = b.Elapsed() / time.Duration(b.N)
				})
				if took > time.Minute {
					return
				}
			}
		})
	}
}

// What is lifted is proved to be landed again: a wire that is left off after a check shows in
// a check of the parts that follow, or in a later one with another wire lifted; if it does
// not, the sheet has the wire tugged. Only at an electronic supply or sensor that is so.
func TestCheckOutProvesLandedAgain(t *testing.T) {
	tugged := 0
	for name, text := range checkOutTexts() {
		p, faults := planted(t, text)
		m := diagnose.Bare(p, faults, log.Rules{})
		checks := Of(m, Options{}).Checks()
		for i, c := range checks {
			for _, lifted := range c.Check.Lifted {
				if slices.Contains(c.Tug, lifted) {
					tugged++
					assert.True(t,
						slices.ContainsFunc(p.Circuit.Devices, func(d *circuits.Device) bool { return d.DC || d.Type.Electronic }), name)
					continue
				}
				for f := range faults {
					e := faults[f].Effect.OpenWire
					if e == nil || e.From != lifted && e.To != lifted {
						continue
					}
					bad := m.Ohmmeter(faults[f].Overlay)
					assert.True(t, slices.ContainsFunc(checks[i+1:], func(c Check) bool {
						l, err := m.Book().Locate(c.Check)
						require.NoError(t, err)
						r := bad.Read(l)
						return r.Firm && !c.Agrees(r)
					}), "%s: %s left off after check %d", name, faults[f].Text, i+1)
				}
			}
		}
	}
	assert.NotZero(t, tugged)
}

// The check-out of a build lifts no wire that opens the secondary of a current transformer.
func TestCheckOutSparesSecondaries(t *testing.T) {
	text, err := os.ReadFile("../testdata/parts/current.yaml")
	require.NoError(t, err)
	p, _ := planted(t, string(text))
	lifts := 0
	plan := Of(newBuild(p), Options{})
	for _, c := range plan.Checks() {
		if len(c.Lifted) == 0 {
			continue
		}
		lifts++
		o, err := p.Lift(work.Overlay{}, c.Check.Lifted)
		require.NoError(t, err)
		assert.Nil(t, p.OpensSecondary(o), "%s", c.Check)
	}
	assert.Positive(t, lifts)
}
