package faultmodel_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/faultmodel"

	"github.com/stretchr/testify/require"
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
	for _, name := range []string{"every-type", "lead-and-lag"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile("../circuits/read/testdata/ok/" + name + ".yaml")
			require.NoError(t, err)
			followEveryFault(t, assembled(t, name+".yaml", string(text)))
		})
	}
	unrest := 0
	for _, s := range generate.Shapes {
		for seed := range uint64(3) {
			t.Run(fmt.Sprint(s.Name, " ", seed), func(t *testing.T) {
				p := assembled(t, "shape.yaml", s.Panel(seed, 8))
				unrest += follow(t, p, faultmodel.List(p, faultmodel.Options{}))
			})
		}
	}
	require.Greater(t, unrest, 50, "faults under which relays chatter or race, followed")
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
			followEveryFault(t,
				assembled(t, "generated.yaml", generate.Panel(seed, generate.Options{Rungs: 2 + int(seed)%6})))
		})
	}
}

func followEveryFault(t *testing.T, p *work.Panel) {
	follow(t, p, faultmodel.List(p, faultmodel.Options{WiringErrors: true, Worn: true}))
}

// Faults of degree are followed alike: bad joints, leaks, loads off their value, low and high
// supplies, also beside another fault.
func TestFollowingDegrees(t *testing.T) {
	follows := func(p *work.Panel, seed uint64) {
		r := rand.New(rand.NewPCG(seed, 5))
		others := faultmodel.List(p, faultmodel.Options{WiringErrors: true})
		var faults []faultmodel.Fault
		for i := range 60 {
			o := degree(r, p)
			if r.IntN(3) == 0 {
				other := others[r.IntN(len(others))].Overlay
				other.Joints, other.Leaks, other.LoadScale, other.Scale = o.Joints, o.Leaks, o.LoadScale, o.Scale
				o = other
			}
			faults = append(faults, faultmodel.Fault{ID: faultmodel.ID(fmt.Sprintf("%d %+v", i, o)), Overlay: o})
		}
		follow(t, p, faults)
	}
	for i, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		follows(assembled(t, name+".yaml", string(text)), uint64(i))
	}
	for seed := range uint64(20) {
		follows(assembled(t, "generated.yaml",
			generate.Panel(seed, generate.Options{Rungs: 2 + int(seed)%6})), seed)
	}
}

// With eager and with reluctant parts faults are followed alike.
func TestFollowingTempers(t *testing.T) {
	follows := func(p *work.Panel) {
		var faults []faultmodel.Fault
		for _, fault := range faultmodel.List(p, faultmodel.Options{}) {
			for _, fault.Overlay.Temper = range []work.Temper{work.Eager, work.Reluctant} {
				faults = append(faults, fault)
			}
		}
		follow(t, p, faults)
	}
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		follows(assembled(t, name+".yaml", string(text)))
	}
	for i, s := range generate.Shapes {
		follows(assembled(t, "shape.yaml", s.Panel(uint64(10+i), 6)))
	}
}

// degree draws a fault that comes in degrees.
func degree(r *rand.Rand, p *work.Panel) (o work.Overlay) {
	node := func() network.Node { return network.Node(1 + r.IntN(p.Net.Nodes())) }
	ohms := math.Pow(10, 5*r.Float64())
	switch r.IntN(8) {
	case 0:
		o.Scale = []network.SourceScale{{Source: network.Source(1 + r.IntN(p.Net.Sources())),
			Factor: 0.3 + r.Float64()}}
	case 1:
		o.LoadScale = []network.LoadScale{{Load: network.Load(1 + r.IntN(p.Net.Loads())),
			Factor: math.Pow(4, 2*r.Float64()-1)}}
	case 2, 3:
		o.Leaks = []network.Leak{{A: node(), B: node(), Ohms: ohms, Inside: r.IntN(2) == 0}}
	case 4: // across a contact or a link
		a, b := p.Net.Ends(network.Conductor(1 + r.IntN(p.Net.Conductors())))
		o.Leaks = []network.Leak{{A: a, B: b, Ohms: ohms, Inside: true}}
	default:
		for range 1 + r.IntN(2) {
			o.Joints = append(o.Joints,
				network.Joint{Conductor: network.Conductor(1 + r.IntN(p.Net.Conductors())), Ohms: ohms})
		}
	}
	return o
}

func follow(t *testing.T, p *work.Panel, faults []faultmodel.Fault) (unrestful int) {
	course := p.Course()
	f := course.Follower()
	visible := p.Sights()
	followed, turnedOff := 0, 0
	for _, fault := range faults {
		o := &fault.Overlay
		var ends []*work.End
		p.Work(o, func(_ int, e *work.End) bool {
			ends = append(ends, e)
			return true
		})
		differ := func(step int, what string, followed, worked any) {
			t.Helper()
			t.Fatalf("%s, step %q: %s: %v followed, %v worked", fault.ID, p.Circuit.Steps[step].Name, what,
				followed, worked)
		}
		// compare holds what was followed against the end of a step; at gives the island
		// and the voltages of a node.
		compare := func(step int, at func(network.Node) (network.Node, network.Phasors),
			look func(s work.Sight) (on, firm bool)) {
			t.Helper()
			e := ends[step]
			// Islands may go by other names, as long as they part the nodes alike; then
			// voltages count from one of their nodes.
			type reference struct {
				island network.Node
				volts  network.Phasors
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
				if on2, firm2 := p.See(o, e, d); on != on2 || firm != firm2 {
					differ(step, "look at "+d.Device.Name+" "+d.At().At, [2]bool{on, firm}, [2]bool{on2, firm2})
				}
			}
		}
		potentials := func(e *work.End) func(network.Node) (network.Node, network.Phasors) {
			return func(n network.Node) (network.Node, network.Phasors) {
				var v network.Phasors
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
			if !slices.Equal(e.Blown, good.Blown) || len(e.Collapsed) > 0 {
				differ(step, "blown or collapsed", names(good.Blown), names(e.Blown))
			}
			if d.Resting() != (len(e.Phases) == 0) {
				differ(step, "without rest", !d.Resting(), names(e.Chatter)+names(e.Racing))
			}
			if !d.Resting() {
				unrestful++
				for n := network.Node(1); int(n) <= p.Net.Nodes(); n++ {
					if a, b := d.Unsure(n), unsteady(e, n); a != b {
						differ(step, fmt.Sprintf("steady at %s", p.Terminal(n)), !a, !b)
					}
				}
			}
			if len(good.Blown) > 0 {
				turnedOff++
			}
			departs := make(map[network.Node]bool)
			for _, n := range d.Nodes() {
				departs[n] = true
			}
			looks := make(map[work.Sight][2]bool)
			d.Looks(func(s work.Sight, on, firm bool) { looks[s] = [2]bool{on, firm} })
			compare(step, func(n network.Node) (network.Node, network.Phasors) {
				if departs[n] {
					return d.At(n)
				}
				return potentials(good)(n)
			}, func(s work.Sight) (on, firm bool) {
				if l, ok := looks[s]; ok {
					return l[0], l[1]
				}
				return p.See(&work.Overlay{}, good, s)
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
			compare(step, potentials(e), func(s work.Sight) (on, firm bool) { return p.See(o, e, s) })
		})
	}
	t.Logf("%d steps with a fault were followed, %d of them with a blown fuse, %d without rest", followed, turnedOff,
		unrestful)
	return unrestful
}

// unsteady tells whether a node is not the same in all conditions of a panel without rest.
func unsteady(e *work.End, n network.Node) bool {
	for _, other := range e.Phases {
		if other.Island(n) != e.Live.Island(n) {
			return true
		}
		for s := range e.Live.Systems() {
			if cmplx.Abs(other.Potential(n, s)-e.Live.Potential(n, s)) > 1e-6 {
				return true
			}
		}
	}
	return false
}
