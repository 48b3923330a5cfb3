package diagnose

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// meterOf is a meter on the panel with an overlay, which need not be that of a fault in the
// list.
func (m *Model) meterOf(o work.Overlay) *Meter {
	t := &Meter{m: m.worked, overlay: o}
	m.panel.Work(&t.overlay, func(_ int, e *work.End) bool {
		t.ends = append(t.ends, e)
		return true
	})
	t.offs = m.offsIn(m.panel.Net, o, t.ends[len(t.ends)-1].Blown, 0, 0)
	return t
}

// planted is something that is wrong with a panel and not in the list, and where: names of
// devices and wire numbers.
type planted struct {
	what, kind string
	at         []string
	overlay    work.Overlay
}

// planting makes what is not in the list of a panel.
type planting struct {
	m   *Model
	all []planted
}

func (p *planting) add(kind, what string, o network.Overlay, nodes ...network.Node) {
	var at []string
	for _, n := range nodes {
		if name, ok := p.number(n); ok {
			at = append(at, name)
		}
		if t := p.m.panel.Terminal(n); t != "" {
			device, _ := t.Split()
			at = append(at, device)
		}
	}
	p.all = append(p.all, planted{what, kind, at, work.Overlay{Overlay: o}})
}

// number is the wire number of a node.
func (p *planting) number(n network.Node) (string, bool) {
	if i := p.m.panel.Number(n); i >= 0 {
		return p.m.panel.Circuit.Numbers[i].Name, true
	}
	return "", false
}

// supplies: low, and sagging under load by a joint in their first wire.
func (p *planting) supplies() {
	net := p.m.panel.Net
	for i := 1; i <= net.Sources(); i++ {
		s := net.Source(network.Source(i))
		for _, share := range []float64{0.3, 0.5, 0.7} {
			o := network.Overlay{Scale: []network.SourceScale{{Source: network.Source(i), Factor: share}}}
			p.add("low supply", fmt.Sprintf("source %d at %.1f", i, share), o, s.Hot, s.Return)
		}
		for c := 1; c <= net.Conductors(); c++ {
			a, b := net.Ends(network.Conductor(c))
			if p.m.panel.Part(network.Conductor(c)).Kind == work.WirePart && (a == s.Hot || b == s.Hot) {
				o := network.Overlay{Joints: []network.Joint{{Conductor: network.Conductor(c), Ohms: 300}}}
				p.add("sagging supply", fmt.Sprintf("source %d sags", i), o, s.Hot, s.Return, a, b)
				break
			}
		}
	}
}

// joints: in every wire, contact and link that a load hangs on, in two degrees.
func (p *planting) joints() {
	net := p.m.panel.Net
	for i := 1; i <= net.Conductors(); i++ {
		c := network.Conductor(i)
		a, b := net.Ends(c)
		for _, ohms := range []float64{1000, 5000} {
			o := network.Overlay{Joints: []network.Joint{{Conductor: c, Ohms: ohms}}}
			p.add("joint", fmt.Sprintf("%.0f ohms from %s to %s", ohms, p.m.panel.Terminal(a), p.m.panel.Terminal(b)), o, a, b)
		}
	}
}

// leaks: from every wire number to the metalwork, and across every contact.
func (p *planting) leaks() {
	panel := p.m.panel
	for i := range panel.Circuit.Numbers {
		n := panel.Node(panel.Circuit.Numbers[i].Wires[0].From)
		if p.m.own[n] == 0 || panel.Number(panel.Net.Source(p.m.own[n]).Return) == i {
			continue
		}
		o := network.Overlay{Leaks: []network.Leak{{A: n, B: panel.Net.Source(p.m.own[n]).Return, Ohms: 2000}}}
		p.add("leak", "from "+panel.Circuit.Numbers[i].Name, o, p.landed(i)...)
	}
	for i := 1; i <= panel.Net.Conductors(); i++ {
		c := network.Conductor(i)
		if panel.Part(c).Kind == work.ContactPart {
			a, b := panel.Net.Ends(c)
			o := network.Overlay{Leaks: []network.Leak{{A: a, B: b, Ohms: 2000, Inside: true}}}
			p.add("leak", fmt.Sprintf("across %s to %s", panel.Terminal(a), panel.Terminal(b)), o, a, b)
		}
	}
}

// landed are the nodes of a wire number.
func (p *planting) landed(number int) []network.Node {
	var nodes []network.Node
	for _, w := range p.m.panel.Circuit.Numbers[number].Wires {
		nodes = append(nodes, p.m.panel.Node(w.From), p.m.panel.Node(w.To))
	}
	return nodes
}

// coils: of half and of twice the voltage, with a quarter of the ohms and four times as many.
func (p *planting) coils() {
	net := p.m.panel.Net
	for i := 1; i <= net.Loads(); i++ {
		l := net.Load(network.Load(i))
		for _, factor := range []float64{0.25, 4} {
			o := network.Overlay{LoadScale: []network.LoadScale{{Load: network.Load(i), Factor: factor}}}
			p.add("wrong coil", fmt.Sprintf("%s by %.2f", p.m.panel.Terminal(l.A), factor), o, l.A, l.B)
		}
	}
}

// backfeeds: a wire from the hot side of a source to a number that another source, or a fuse,
// should feed; with and without that fuse.
func (p *planting) backfeeds() {
	panel, net := p.m.panel, p.m.panel.Net
	for x := network.Source(1); int(x) <= net.Sources(); x++ {
		s := net.Source(x)
		for i := range panel.Circuit.Numbers {
			n := panel.Node(panel.Circuit.Numbers[i].Wires[0].From)
			if p.m.own[n] == 0 || panel.SourceDevice(p.m.own[n]) == panel.SourceDevice(x) {
				continue // two phases of one supply that touch are of the list's own kind
			}
			o := network.Overlay{Joins: [][2]network.Node{{s.Hot, n}}}
			p.add("backfeed", fmt.Sprintf("%s to wire %s", panel.Terminal(s.Hot), panel.Circuit.Numbers[i].Name), o, append(p.landed(i), s.Hot)...)
		}
	}
	for i := 1; i <= net.Conductors(); i++ {
		c := network.Conductor(i)
		if panel.Part(c).Kind == work.LinkPart {
			a, b := net.Ends(c)
			o := network.Overlay{Open: []network.Conductor{c}, Leaks: []network.Leak{{A: a, B: b, Ohms: 30}}}
			p.add("backfeed", fmt.Sprintf("live behind %s, which is out", panel.Terminal(a)), o, a, b)
		}
	}
}

// at tells whether a fault of the list is at one of some places.
func at(f *faultmodel.Fault, places []string) bool {
	named := slices.Clone(f.Devices)
	e := f.Effect
	for _, w := range []*faultmodel.OpenWire{e.OpenWire, e.ResistiveWire} {
		if w != nil {
			named = append(named, w.Wire)
		}
	}
	named = append(append(named, e.Short...), e.Ground, e.LeakToGround)
	return slices.ContainsFunc(named, func(n string) bool { return n != "" && slices.Contains(places, n) })
}

// plantings are all that is planted on a panel.
func plantings(m *Model) []planted {
	p := planting{m: m}
	p.supplies()
	p.joints()
	p.leaks()
	p.coils()
	p.backfeeds()
	return p.all
}

// complaint is the first look that shows a panel to be otherwise than the good circuit; none
// where no look does.
func (m *Model) complaint(t testing.TB, meter *Meter) log.Log {
	t.Helper()
	for _, l := range m.checks {
		if l.Kind != log.Look {
			continue
		}
		c := m.book.Check(l)
		r, err := meter.Read(c)
		require.NoError(t, err)
		if usual := m.foretell(Good, l); !r.Firm || !usual.Firm || r.On == usual.On {
			continue
		}
		e, err := m.book.NewEntry(c, &r)
		require.NoError(t, err)
		return log.Log{Entries: []log.Entry{e}}
	}
	return log.Log{}
}

// What is not in the list is never found to be something that is, unless at that very place;
// and the search for it ends: with wear in the list and without, with nothing known and with a
// complaint.
func TestOffTheList(t *testing.T) {
	whole := os.Getenv("DEADRUNG_ALL") != ""
	for variant, its := range []struct {
		name              string
		worn, complaining bool
	}{{"plain", false, false}, {"complaint", false, true}, {"worn", true, false}, {"worn complaint", true, true}} {
		for _, name := range circuits.Builtin() {
			t.Run(its.name+"/"+name, func(t *testing.T) {
				t.Parallel()
				if its.worn && !whole && (name == "start-sequence" || name == "star-delta") {
					t.Skip("several timers and wear take minutes together: DEADRUNG_ALL=1 tries them")
				}
				m := builtin(t, name)
				if its.worn {
					m = wornModel(t, name)
				}
				ends := make(map[string]map[string]int)
				most := 0
				for k, x := range plantings(m) {
					supply := strings.HasSuffix(x.kind, "supply")
					if !whole && (k%24 != (len(name)+6*variant)%24 && !supply || supply && k%4 != variant) {
						continue
					}
					meter := m.meterOf(x.overlay)
					var known log.Log
					if its.complaining {
						known = m.complaint(t, meter)
					}
					a := answeredFrom(t, m, meter, known, nil, By(k%2))
					most = max(most, a.checks)
					end := string(a.turn.Status)
					if a.turn.Status == Found {
						end = "found there"
						right := slices.ContainsFunc(a.turn.Left, func(f int) bool { return at(&m.faults[f], x.at) })
						if found := &m.faults[a.turn.Left[0]]; !right && x.kind == "sagging supply" && found.Effect.ResistiveWire != nil {
							end, right = "a joint elsewhere in the feed", true // it is a joint in the first wire
						}
						if !assert.True(t, right, "%s, %s: %s, %d checks, %d wrong", x.kind, x.what, m.faults[a.turn.Left[0]].ID, a.checks, a.turn.Wrong) {
							end = "found elsewhere"
							for _, e := range a.log.Entries {
								t.Logf("  %v %s", m.Fits(a.turn.Left[0], e), log.MarshalWith(e.Check, *e.Answer))
							}
						}
					}
					if ends[x.kind] == nil {
						ends[x.kind] = make(map[string]int)
					}
					ends[x.kind][end]++
				}
				require.NotEmpty(t, ends)
				for _, kind := range slices.Sorted(maps.Keys(ends)) {
					t.Logf("%s: %v", kind, ends[kind])
				}
				t.Logf("at most %d checks", most)
			})
		}
	}
}

// A leak reads as wires that touch do where nothing draws, and a bad joint within the wires of a
// coil leaves full volts beside it: neither is found to be something of the list.
func TestLeaksAndJointsThatLookLikeMore(t *testing.T) {
	for name, what := range map[string][]string{
		"annunciator": {"1000 ohms from T1:X2 to CR1:A2"},
		"reversing":   {"across PB2:13 to PB2:14", "across M1:13 to M1:14"},
		"start-stop":  {"across M1:13 to M1:14"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := builtin(t, name)
			for _, x := range plantings(m) {
				if !slices.Contains(what, x.what) {
					continue
				}
				for _, by := range []By{ByChecks, ByMinutes} {
					a := answeredBy(t, m, m.meterOf(x.overlay), nil, by)
					right := slices.ContainsFunc(a.turn.Left, func(f int) bool { return at(&m.faults[f], x.at) })
					assert.True(t, a.turn.Status != Found || right, "%s, by %d: %v", x.what, by, leftIDs(m, a.turn))
				}
			}
		})
	}
}
