package faultmodel_test

import (
	"fmt"
	"math/cmplx"
	"slices"
	"testing"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// A fault that is followed along the good circuit's course must end every step exactly as
// when the circuit is worked with it from the start.

func TestFollowingTheCourse(t *testing.T) {
	for _, name := range circuits.Builtin() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			text, _ := circuits.BuiltinText(name)
			followEveryFault(t, assembled(t, name+".yaml", string(text)))
		})
	}
	t.Run("regular panel", func(t *testing.T) {
		t.Parallel()
		followEveryFault(t, assembled(t, "rungs.yaml", generate.Rungs(10)))
	})
	panels := uint64(30)
	if testing.Short() {
		panels = 10
	}
	for seed := range panels {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			followEveryFault(t, assembled(t, "generated.yaml", generate.Panel(seed, generate.Options{Rungs: 2 + int(seed)%6})))
		})
	}
}

func followEveryFault(t *testing.T, p *work.Panel) {
	course := p.Course()
	f := course.Follower()
	visible := p.Visible()
	followed, turnedOff := 0, 0
	for _, fault := range faultmodel.List(p, faultmodel.Options{WiringErrors: true}) {
		o := &fault.Overlay
		var ends []*work.End
		p.Work(o, func(_ int, e *work.End) bool {
			ends = append(ends, e)
			return true
		})
		differ := func(step int, what string, followed, worked any) {
			t.Helper()
			t.Fatalf("%s, step %q: %s: %v followed, %v worked", fault.ID, p.Circuit.Steps[step].Name, what, followed, worked)
		}
		// compare holds what was followed against the end of a step; at gives the island
		// and the voltages of a node.
		compare := func(step int, at func(network.Node) (network.Node, [2]complex128), look func(d *circuits.Device) (on, firm bool)) {
			t.Helper()
			e := ends[step]
			// Islands may go by other names, as long as they part the nodes alike; then
			// voltages count from one of their nodes.
			type reference struct {
				island network.Node
				volts  [2]complex128
				node   network.Node
			}
			there, back := make(map[network.Node]reference), make(map[network.Node]network.Node)
			for n := network.Node(1); int(n) <= p.Net.Nodes(); n++ {
				island, volts := at(n)
				worked := e.Live.Island(n)
				ref, ok := there[island]
				if !ok {
					ref = reference{worked, volts, n}
					there[island] = ref
				}
				if first, ok := back[worked]; !ok {
					back[worked] = island
				} else if first != island || ref.island != worked {
					differ(step, fmt.Sprintf("island of %s", p.Terminal(n)), island, worked)
				}
				for s := range min(e.Live.Systems(), len(volts)) {
					v := e.Live.Potential(n, s) - e.Live.Potential(ref.node, s)
					if followed := volts[s] - ref.volts[s]; !(cmplx.Abs(v-followed) < voltsTolerance) {
						differ(step, fmt.Sprintf("volts from %s to %s", p.Terminal(n), p.Terminal(ref.node)), followed, v)
					}
				}
			}
			for _, d := range visible {
				on, firm := look(d)
				if on2, firm2 := p.Look(o, e, d); on != on2 || firm != firm2 {
					differ(step, "look at "+d.Name, [2]bool{on, firm}, [2]bool{on2, firm2})
				}
			}
		}
		potentials := func(e *work.End) func(network.Node) (network.Node, [2]complex128) {
			return func(n network.Node) (network.Node, [2]complex128) {
				var v [2]complex128
				for s := range min(e.Live.Systems(), len(v)) {
					v[s] = e.Live.Potential(n, s)
				}
				return e.Live.Island(n), v
			}
		}
		f.Work(o, func(step int, d *work.Departure) {
			followed++
			e := ends[step]
			good := d.From()
			if !slices.Equal(e.Blown, good.Blown) || len(e.Collapsed)+len(e.Chatter) > 0 {
				differ(step, "blown, collapsed or chattering", names(good.Blown), names(e.Blown)+names(e.Chatter))
			}
			if len(good.Blown) > 0 {
				turnedOff++
			}
			departs := make(map[network.Node]bool)
			for _, n := range d.Nodes() {
				departs[n] = true
			}
			looks := make(map[*circuits.Device][2]bool)
			d.Looks(func(device *circuits.Device, on, firm bool) { looks[device] = [2]bool{on, firm} })
			compare(step, func(n network.Node) (network.Node, [2]complex128) {
				if departs[n] {
					return d.At(n)
				}
				return potentials(good)(n)
			}, func(device *circuits.Device) (on, firm bool) {
				if l, ok := looks[device]; ok {
					return l[0], l[1]
				}
				return p.Look(&work.Overlay{}, good, device)
			})
		}, func(step int, e, _ *work.End) {
			worked := ends[step]
			if a, b := names(e.Blown), names(worked.Blown); a != b {
				differ(step, "blown", a, b)
			}
			if a, b := names(e.Chatter), names(worked.Chatter); a != b {
				differ(step, "chatter", a, b)
			}
			if a, b := len(e.Collapsed), len(worked.Collapsed); a != b {
				differ(step, "collapsed supplies", a, b)
			}
			if len(e.Chatter) > 0 {
				return // which condition comes first is by chance
			}
			compare(step, potentials(e), func(device *circuits.Device) (on, firm bool) { return p.Look(o, e, device) })
		})
	}
	t.Logf("%d steps with a fault were followed, %d of them with a blown fuse", followed, turnedOff)
}
