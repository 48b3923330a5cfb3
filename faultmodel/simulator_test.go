package faultmodel_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// Readings agree within 0.2 %, a fifth of what a handheld meter promises (1 %), or within
// 50 mV; resistances within 50 milliohm.
const (
	agreeFraction = 0.002
	agreeLeast    = 0.050
)

func within(got, want complex128) bool {
	return cmplx.Abs(got-want) <= math.Max(agreeLeast, agreeFraction*cmplx.Abs(want))
}

// bench is one circuit with its faults, to be held against the simulator.
type bench struct {
	name   string
	panel  *work.Panel
	faults []faultmodel.Fault
	hertz  []float64 // in the order of network.Live's systems
}

func newBench(t testing.TB, name string, text []byte, o faultmodel.Options) *bench {
	c, problems := read.Read(name+".yaml", text)
	require.Empty(t, problems)
	b := &bench{name: name, panel: work.Assemble(c)}
	b.faults = faultmodel.List(b.panel, o)
	for i := 1; i <= b.panel.Net.Sources(); i++ {
		if h := b.panel.Net.Source(network.Source(i)).Hertz; !slices.Contains(b.hertz, h) {
			b.hertz = append(b.hertz, h)
		}
	}
	return b
}

// circuitFile is the text of a circuit file and its name without the ending.
type circuitFile struct {
	name string
	text []byte
}

// simulated are the circuits that are held against the simulator: the built-in ones,
// the one in which every type of device occurs, at 50 Hz and dc, one with relays that
// keep their position, and two fed by several sources of given phase.
func simulated(t testing.TB) []circuitFile {
	var all []circuitFile
	for _, name := range circuits.Builtin() {
		file, _ := circuits.BuiltinText(name)
		all = append(all, circuitFile{name, file})
	}
	for _, name := range []string{"every-type", "lead-and-lag", "split-phase", "three-phase"} {
		file, err := os.ReadFile("../circuits/read/testdata/ok/" + name + ".yaml")
		require.NoError(t, err)
		all = append(all, circuitFile{name, file})
	}
	return all
}

// good in place of a fault's index means the good circuit.
const good = -1

func (b *bench) overlay(fault int) *work.Overlay {
	if fault == good {
		return &work.Overlay{}
	}
	return &b.faults[fault].Overlay
}

func (b *bench) faultName(fault int) string {
	if fault == good {
		return "good"
	}
	return string(b.faults[fault].ID)
}

// standing is the panel at the end of a step, the supply standing and every relay at
// rest.
type standing struct {
	fault, step int
	end         *work.End
}

// stand works the panel under a fault, or none, and gives the steps that leave the
// supply standing.
func (b *bench) stand(fault int) []standing {
	var all []standing
	b.panel.Work(b.overlay(fault), func(step int, e *work.End) bool {
		if len(e.Collapsed) == 0 && len(e.Chatter) == 0 {
			all = append(all, standing{fault, step, e})
		}
		return true
	})
	return all
}

func (b *bench) says(s standing) string {
	return fmt.Sprintf("%s, step %q, %s", b.name, b.panel.Circuit.Steps[s.step].Name, b.faultName(s.fault))
}

// tally counts what was compared.
type tally struct {
	conditions, readings, coils, wrong int
	worst                              float64 // volts
}

// compare holds one of our solutions against the simulator's of the same network, at
// one frequency: every node against the first source's return; the nodes of an island
// that floats against each other; and that what we call floating does float. It
// returns what disagrees.
func (b *bench) compare(c *tally, s standing, system int, theirs nodeVolts) (wrong []string) {
	ours, first := s.end.Live, b.panel.Net.Source(1).Return
	c.conditions++
	floats := func(v complex128) bool { // against the first source's return
		if b.hertz[system] == 0 {
			return real(v) < -awayVolts/2
		}
		return imag(v) < -awayVolts/2
	}
	for i := 1; i <= b.panel.Net.Nodes(); i++ {
		n := network.Node(i)
		c.readings++
		away := theirs[n] - theirs[first]
		ref := first
		if ours.Island(n) != ours.Island(first) {
			if ref = ours.Island(n); !floats(away) {
				c.wrong++
				wrong = append(wrong, fmt.Sprintf("%s floats; the simulator has it at %.4f V", b.panel.Terminal(n), away))
				continue
			}
		}
		want := theirs[n] - theirs[ref]
		got := ours.Potential(n, system) - ours.Potential(ref, system)
		if !within(got, want) {
			c.wrong++
			wrong = append(wrong, fmt.Sprintf("%s against %s: %.4f V; the simulator has %.4f V",
				b.panel.Terminal(n), b.panel.Terminal(ref), got, want))
			continue
		}
		c.worst = math.Max(c.worst, cmplx.Abs(got-want))
	}
	return append(wrong, b.compareCoils(c, s, system, theirs)...)
}

// compareCoils holds every decision of a coil against the volts that the simulator
// finds across it: one that is in has what holds it, one that is out has not what
// pulls it in. A relay that latches is where the one coil that is on has it. An armature that
// is stuck follows no coil.
func (b *bench) compareCoils(c *tally, s standing, system int, theirs nodeVolts) (wrong []string) {
	o := b.overlay(s.fault)
	for i, d := range b.panel.Relays() {
		values := b.panel.Values(d)
		stuck := slices.ContainsFunc(o.Stuck, func(x work.Stuck) bool { return x.Device == d })
		if stuck || values.DC != (b.hertz[system] == 0) {
			continue
		}
		if parts := b.panel.Net.Load(b.panel.Load(d)); len(b.hertz) > 1 && parts.A != 0 {
			ours, _ := s.end.Live.Between(parts.A, parts.B)
			if ours > cmplx.Abs(theirs[parts.A]-theirs[parts.B])+agreeLeast {
				continue // a fault puts the volts of another frequency across it; they are compared there
			}
		}
		across := func(load network.Load) float64 {
			c.coils++
			parts := b.panel.Net.Load(load)
			if slices.Contains(o.OpenLoads, load) {
				return 0
			}
			return cmplx.Abs(theirs[parts.A] - theirs[parts.B])
		}
		volts := across(b.panel.Load(d))
		for k := range d.Coils() {
			guards := d.Type.Armature == circuits.Guards && k < len(d.Coils())-1                  // all but the reset
			if a := d.Type.Armature; a == circuits.Watches || a == circuits.Triggered || guards { // the coil that gets least decides
				volts = math.Min(volts, across(b.panel.Coil(d, k)))
			}
		}
		in := s.end.In[i]
		if d.Type.SeenTimed() { // its output follows time as well
			in = s.end.Pulled[i]
		}
		switch {
		case d.Type.Armature == circuits.Zones: // an alarm, by the share of the supply across its own resistor
			const least, most = 0.50, 0.95
			line := across(b.panel.Coil(d, 1)) / values.Volts
			clear := math.Abs(line-least) > 0.01 && math.Abs(line-most) > 0.01
			if alarm := volts > values.PullIn && line > least && line < most; clear && alarm != in {
				c.wrong++
				wrong = append(wrong, fmt.Sprintf("%s has an alarm: %v; the simulator has %.2f of the supply across its own resistor",
					d.Name, in, line))
			}
		case d.Type.Armature == circuits.Drives || d.Type.Armature == circuits.Guards && !in: // it may be held off
		case d.Type.Armature == circuits.Alternates: // where it stands tells nothing of its coil
		case d.Type.Armature == circuits.Latches:
			set, reset := volts, across(b.panel.Coil(d, 1))
			if low := values.DropOut; in && reset > values.PullIn && set < low ||
				!in && set > values.PullIn && reset < low {
				c.wrong++
				wrong = append(wrong, fmt.Sprintf("%s is set: %v; the simulator has %.2f V across its set "+
					"coil, %.2f V across its reset coil", d.Name, in, set, reset))
			}
		case in && volts < values.DropOut-agreeLeast:
			c.wrong++
			wrong = append(wrong, fmt.Sprintf("%s is in; the simulator has %.2f V across its coil, %.2f V "+
				"hold it", d.Name, volts, values.DropOut))
		case !in && volts > values.PullIn+agreeLeast:
			c.wrong++
			wrong = append(wrong, fmt.Sprintf("%s is out; the simulator has %.2f V across its coil, %.2f V "+
				"pull it in", d.Name, volts, values.PullIn))
		}
	}
	return wrong
}

// solution is what the simulator finds for one condition, and the statement that it was
// given.
type solution struct {
	volts     nodeVolts
	statement *statement
}

// solve has the simulator solve conditions at one of the bench's frequencies. The same
// network comes back under many faults and is solved once; networks says how many
// there are.
func (b *bench) solve(sim *simulator, dir string, all []standing, hertz float64) (solved []solution,
	networks int, err error) {
	index := make(map[string]int)
	var statements []*statement
	which := make([]int, len(all))
	for i, s := range all {
		st := live(b.panel, s.end.State, &b.overlay(s.fault).Overlay, hertz)
		k := st.key()
		at, ok := index[k]
		if !ok {
			at = len(statements)
			index[k] = at
			statements = append(statements, st)
		}
		which[i] = at
	}
	volts, err := sim.Solve(dir, hertz, statements)
	if err != nil {
		return nil, 0, fmt.Errorf("%s at %g Hz: %w", b.name, hertz, err)
	}
	for i := range all {
		solved = append(solved, solution{volts[which[i]], statements[which[i]]})
	}
	return solved, len(statements), nil
}

// known are the faults under which we differ from the simulator, by circuit, each with
// its reason. One that comes to agree has to be taken out.
var known = map[string]map[faultmodel.ID]string{}

func (b *bench) known(fault int) string {
	if fault == good {
		return ""
	}
	return known[b.name][b.faults[fault].ID]
}

// wiringErrorStride is how many of the wiring errors of a new build are solved: one in
// so many. A stride of 1 solves all of them in a minute or two.
const wiringErrorStride = 5

// TestSimulatorNetworks solves every built-in circuit in ngspice: each step, good and
// under each fault that leaves the supply standing, at each frequency of its sources.
func TestSimulatorNetworks(t *testing.T) {
	sim := needSimulator(t)
	for _, c := range simulated(t) {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			b := newBench(t, c.name, c.text, faultmodel.Options{WiringErrors: true, Worn: true})
			all := b.stand(good)
			for f := range b.faults {
				stride := 1
				if b.faults[f].Key == faultmodel.MiswiredEnd {
					stride = wiringErrorStride
				}
				if testing.Short() {
					stride = 40
				}
				if f%stride == 0 || b.known(f) != "" {
					all = append(all, b.stand(f)...)
				}
			}
			var c tally
			networks := 0
			differs := make(map[int]bool) // of known faults
			for system, hertz := range b.hertz {
				solved, n, err := b.solve(sim, t.TempDir(), all, hertz)
				require.NoError(t, err)
				networks += n
				for i, s := range all {
					if b.known(s.fault) != "" {
						differs[s.fault] = differs[s.fault] || len(b.compare(&tally{}, s, system, solved[i].volts)) > 0
						continue
					}
					wrong := b.compare(&c, s, system, solved[i].volts)
					if len(wrong) > 0 && !t.Failed() { // the first in full, the rest by number
						t.Errorf("%s:\n%s\n%s", b.says(s), strings.Join(wrong, "\n"), solved[i].statement)
					}
				}
			}
			for f, differs := range differs {
				assert.True(t, differs, "%s agrees by now: take it out of the known differences", b.faultName(f))
			}
			assert.Zero(t, c.wrong, "readings that disagree")
			t.Logf("%s: %d voltages and %d coils in %d conditions, %d networks: %d disagree, the others by "+
				"%.2g V at most",
				sim.Version, c.readings, c.coils, c.conditions, networks, c.wrong, c.worst)
		})
	}
}

func needSimulator(t testing.TB) *simulator {
	sim, err := findSimulator()
	if err != nil {
		t.Skip(err)
	}
	return sim
}

// What is held against the simulator has every kind of wear, the supply standing under it.
func TestSimulatedWear(t *testing.T) {
	stands := make(map[string]int)
	for _, c := range simulated(t) {
		b := newBench(t, c.name, c.text, faultmodel.Options{Worn: true})
		for f := range b.faults {
			if kind := b.faults[f].Effect.Kind(); b.faults[f].Wear && stands[kind] < 3 && len(b.stand(f)) > 0 {
				stands[kind]++
			}
		}
	}
	for _, kind := range faultmodel.WearKinds {
		assert.Positive(t, stands[kind], kind)
	}
}
