package diagnose

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// Feed is one stage of bringing a circuit to power for the first time: a source is switched
// on, or a fuse is put in or a breaker closed, and the voltage behind it is measured. The
// order, from the source to what hangs on it, is common practice, no source.
type Feed struct {
	Device *circuits.Device
	// Check measures behind it. Its step is the first one in which the good circuit has
	// voltage there.
	Check     log.Check
	Usual     log.Reading
	Low, High float64 // the readings that agree
}

// Energise gives the stages in their order. A fuse behind which no step brings voltage that
// can be foretold is put in without a check: its Check is empty.
func (m *Model) Energise() []Feed {
	net := m.panel.Net
	dist := m.protections()
	type stage struct {
		Feed
		at int
	}
	var stages []stage
	for _, d := range m.panel.Circuit.Devices {
		if s := m.panel.Source(d); s != 0 {
			p := net.Source(s)
			stages = append(stages, stage{m.feed(d, p.Hot, p.Return), 2 * dist[p.Hot]})
			continue
		}
		if d.Type.Kind != circuits.LinkKind {
			continue
		}
		a, b := m.panel.Node(d.Terminal(d.Ends[0])), m.panel.Node(d.Terminal(d.Ends[1]))
		if dist[a] > dist[b] {
			a, b = b, a
		}
		p := net.Source(m.own[b])
		f := m.feed(d, b, p.Return)
		if f.Check.Kind() == 0 { // it is on the way back
			f = m.feed(d, p.Hot, b)
		}
		stages = append(stages, stage{f, 2*dist[a] + 1})
	}
	slices.SortStableFunc(stages, func(x, y stage) int { return x.at - y.at })
	out := make([]Feed, len(stages))
	for i, s := range stages {
		out[i] = s.Feed
	}
	return out
}

// protections counts the fuses and breakers between each node and the sources that feed it
// from outside, over contacts and wires, through transformers, and on either side of a
// source. What hangs on a transformer comes after the fuses on both sides of its primary.
func (m *Model) protections() []int {
	net := m.panel.Net
	const far = 1 << 28
	dist := make([]int, net.Nodes()+1)
	for n := range dist {
		dist[n] = far
	}
	var queue []network.Node
	reach := func(n network.Node, d int) {
		if d < dist[n] {
			dist[n] = d
			queue = append(queue, n)
		}
	}
	type hop struct {
		to   network.Node
		cost int
	}
	hops := make(map[network.Node][]hop)
	for i := 1; i <= net.Conductors(); i++ {
		c := network.Conductor(i)
		a, b := net.Ends(c)
		cost := 0
		if m.panel.Part(c).Kind == work.LinkPart {
			cost = 1
		}
		hops[a] = append(hops[a], hop{b, cost})
		hops[b] = append(hops[b], hop{a, cost})
	}
	spread := func() {
		for len(queue) > 0 {
			n := queue[0]
			queue = queue[1:]
			for _, h := range hops[n] {
				reach(h.to, dist[n]+h.cost)
			}
		}
	}
	var fed []*circuits.Device
	for _, d := range m.panel.Circuit.Devices {
		if s := m.panel.Source(d); s == 0 {
			continue
		} else if m.panel.PrimaryWired(d) {
			fed = append(fed, d)
		} else {
			reach(net.Source(s).Hot, 0)
			reach(net.Source(s).Return, 0)
		}
	}
	spread()
	for range fed { // one may feed another
		for _, d := range fed {
			p := net.Source(m.panel.Source(d))
			behind := 0
			for _, t := range d.Primary {
				behind = max(behind, dist[m.panel.Node(d.Terminal(t))])
			}
			reach(p.Hot, behind)
			reach(p.Return, behind)
		}
		spread()
	}
	return dist
}

// feed makes a stage with the first step in which the good circuit has voltage between two
// points.
func (m *Model) feed(d *circuits.Device, at, ret network.Node) Feed {
	f := Feed{Device: d}
	if at == ret {
		return f
	}
	for step := range m.panel.Circuit.Steps {
		l := log.Located{Kind: log.Volts, Step: step, A: at, B: ret}
		r := m.foretell(Good, l)
		nominal := m.nominal(at, ret)
		if r.Firm && r.Value >= PresentFrom*nominal {
			b := voltsBand(r.Value, nominal)
			return Feed{Device: d, Check: m.book.Check(l), Usual: r, Low: b.low, High: b.high}
		}
	}
	return f
}
