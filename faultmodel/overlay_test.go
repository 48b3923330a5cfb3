package faultmodel_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// A fault is an overlay on the good circuit. The same fault written into the circuit file
// must give the same circuit: every voltage, island, look and ohms reading.

// Differences up to these are rounding, and the little that a dead source delivers.
const (
	voltsTolerance = 1e-4
	ohmsTolerance  = 1e-6 // of the reading
)

func assembled(t testing.TB, file, text string) *work.Panel {
	t.Helper()
	c, problems := read.Read(file, []byte(text))
	require.NoError(t, problems.Err(), "%s", text)
	return work.Assemble(c)
}

func TestOverlayIsTheFaultInTheFile(t *testing.T) {
	for _, name := range circuits.Builtin() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			text, _ := circuits.BuiltinText(name)
			everyFault(t, assembled(t, name+".yaml", string(text)), 1, 100)
		})
	}
}

func TestOverlayIsTheFaultInTheFileOfRandomPanels(t *testing.T) {
	panels := uint64(40)
	if testing.Short() {
		panels = 10
	}
	for seed := range panels {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			text := generate.Panel(seed, generate.Options{Rungs: 2 + int(seed)%11})
			everyFault(t, assembled(t, "generated.yaml", text), seed, 50)
		})
	}
}

// everyFault writes the faults of a panel into its file, one at a time, and compares; of
// many only some, and of wiring errors, which are most, half as many as of the others.
func everyFault(t *testing.T, p *work.Panel, seed uint64, most int) {
	r := rand.New(rand.NewPCG(seed, 0))
	same(t, "the good circuit", r, p, &work.Overlay{}, newDraft(p), "")
	faults := faultmodel.List(p, faultmodel.Options{WiringErrors: true})
	r.Shuffle(len(faults), func(i, k int) { faults[i], faults[k] = faults[k], faults[i] })
	left := map[bool]int{false: most, true: most / 2}
	for i := range faults {
		f := &faults[i]
		wiring := f.Effect.Miswired != nil || f.Effect.Exchanged != nil
		if left[wiring] == 0 {
			continue
		}
		left[wiring]--
		d := newDraft(p)
		if !d.write(p, f) {
			require.True(t, wiring || f.Effect.Coil != "" || f.Effect.Short != nil || bothCurrents(p) || d.leaks(f.Effect) || d.electronic(f.Effect),
				"%s: no way to write it into a file", f.ID)
			continue
		}
		same(t, string(f.ID), r, p, &f.Overlay, d, f.Effect.Stuck)
	}
}

// same compares a panel under an overlay with the circuit of a draft. The device that is
// stuck is not looked at: a jammed armature says nothing of its coil.
func same(t *testing.T, id string, r *rand.Rand, p *work.Panel, o *work.Overlay, d *draft, stuck string) {
	t.Helper()
	text := d.text()
	q := assembled(t, "rewritten.yaml", text)
	none := &work.Overlay{}
	pairs := images(p, q, d)
	fed := false
	for _, device := range p.Circuit.Devices {
		fed = fed || p.PrimaryWired(device)
	}
	differ := func(step int, what string, overlay, file any) {
		t.Helper()
		t.Fatalf("%s, step %q: %s: %v by overlay, %v by file\n%s", id, p.Circuit.Steps[step].Name, what,
			overlay, file, text)
	}
	var ends []*work.End
	q.Work(none, func(_ int, e *work.End) bool {
		ends = append(ends, e)
		return true
	})
	p.Work(o, func(step int, e *work.End) bool {
		f := ends[step]
		if fed && len(e.Blown)+len(f.Blown) > 0 {
			// Which of two fuses on either side of a transformer opens is read off the
			// wiring of the file, and this one wires the two sides together.
			return false
		}
		if a, b := names(e.Blown), names(f.Blown); a != b {
			differ(step, "blown", a, b)
		}
		if a, b := names(e.Chatter), names(f.Chatter); a != b {
			differ(step, "chatter", a, b)
		}
		if a, b := len(e.Collapsed), len(f.Collapsed); a != b {
			differ(step, "collapsed supplies", a, b)
		}
		for _, device := range p.Visible() {
			on, firm := p.Look(o, e, device)
			on2, firm2 := q.Look(none, f, q.Circuit.Device(device.Name))
			if device.Name != stuck && (on != on2 || firm != firm2) {
				differ(step, "look at "+device.Name, [2]bool{on, firm}, [2]bool{on2, firm2})
			}
		}
		if x, y, ok := sameVolts(pairs, e, f); !ok {
			differ(step, fmt.Sprintf("volts at %s", p.Terminal(x)), e.Live.Potential(x, 0), f.Live.Potential(y, 0))
		}
		for range 20 {
			x, y := pairs[r.IntN(len(pairs))], pairs[r.IntN(len(pairs))]
			v, firm := e.ReadVolts(x[0], y[0], network.MeterOhms)
			v2, firm2 := f.ReadVolts(x[1], y[1], network.MeterOhms)
			if firm != firm2 || math.Abs(v-v2) > voltsTolerance {
				differ(step, fmt.Sprintf("volts %s %s", p.Terminal(x[0]), p.Terminal(y[0])), v, v2)
			}
		}
		return true
	})
	for range 2 {
		step := r.IntN(len(p.Circuit.Steps))
		off := p.Net.Off(p.LockedOut(o, step), &o.Overlay)
		off2 := q.Net.Off(q.LockedOut(none, step), &network.Overlay{})
		for range 200 {
			x, y := pairs[r.IntN(len(pairs))], pairs[r.IntN(len(pairs))]
			ohms, firm := off.Ohms(x[0], y[0])
			ohms2, firm2 := off2.Ohms(x[1], y[1])
			open := math.IsInf(ohms, 1) && math.IsInf(ohms2, 1)
			if firm != firm2 || !open && !(math.Abs(ohms-ohms2) <= ohmsTolerance*(1+ohms)) {
				differ(step, fmt.Sprintf("ohms %s %s", p.Terminal(x[0]), p.Terminal(y[0])), ohms, ohms2)
			}
		}
	}
}

// images pairs the nodes of a panel with those of the draft made of it.
func images(p, q *work.Panel, d *draft) [][2]network.Node {
	var pairs [][2]network.Node
	for _, terminal := range p.Terminals() {
		if n := q.Node(d.now(terminal)); n != 0 {
			pairs = append(pairs, [2]network.Node{p.Node(terminal), n})
		}
	}
	return pairs
}

// sameVolts compares which nodes are in one island, and every voltage in it. It reports
// false with the first pair that differs.
func sameVolts(pairs [][2]network.Node, e, f *work.End) (x, y network.Node, ok bool) {
	there := make(map[network.Node][2]network.Node) // by island: its first pair
	back := make(map[network.Node]network.Node)     // the same from the other side
	for _, pair := range pairs {
		x, y := pair[0], pair[1]
		a, b := e.Live.Island(x), f.Live.Island(y)
		ref, ok := there[a]
		if !ok {
			if _, ok := back[b]; ok {
				return x, y, false
			}
			there[a], back[b], ref = pair, a, pair
		}
		if back[b] != a {
			return x, y, false
		}
		for s := range e.Live.Systems() {
			v := e.Live.Potential(x, s) - e.Live.Potential(ref[0], s)
			v2 := f.Live.Potential(y, s) - f.Live.Potential(ref[1], s)
			if !(cmplx.Abs(v-v2) < voltsTolerance) {
				return x, y, false
			}
		}
	}
	return 0, 0, true
}

func names(devices []*circuits.Device) string {
	var out []string
	for _, d := range devices {
		out = append(out, d.Name)
	}
	return strings.Join(out, " ")
}
