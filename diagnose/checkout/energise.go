package checkout

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose"
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
func Energise(m *diagnose.Model) []Feed {
	pl := newPlanner(m)
	net := pl.panel.Net
	dist := pl.protections()
	type stage struct {
		Feed
		at int
	}
	var stages []stage
	for _, d := range pl.panel.Circuit.Devices {
		if s := pl.panel.Source(d); s != 0 {
			p := net.Source(s)
			stages = append(stages, stage{pl.feed(d, p.Hot, p.Return), 2 * dist[p.Hot]})
			continue
		}
		if d.Type.Kind != circuits.LinkKind {
			continue
		}
		a, b := pl.panel.Node(d.Terminal(d.Ends[0])), pl.panel.Node(d.Terminal(d.Ends[1]))
		if dist[a] > dist[b] {
			a, b = b, a
		}
		p := net.Source(pl.own[b])
		f := pl.feed(d, b, p.Return)
		if f.Check.Kind() == 0 { // it is on the way back
			f = pl.feed(d, p.Hot, b)
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
func (pl *planner) protections() []int {
	net := pl.panel.Net
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
		if pl.panel.Part(c).Kind == work.LinkPart {
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
	for _, d := range pl.panel.Circuit.Devices {
		if s := pl.panel.Source(d); s == 0 {
			continue
		} else if pl.panel.PrimaryWired(d) {
			fed = append(fed, d)
		} else {
			reach(net.Source(s).Hot, 0)
			reach(net.Source(s).Return, 0)
		}
	}
	spread()
	for range fed { // one may feed another
		for _, d := range fed {
			p := net.Source(pl.panel.Source(d))
			behind := 0
			for _, t := range d.Primary {
				behind = max(behind, dist[pl.panel.Node(d.Terminal(t))])
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
func (pl *planner) feed(d *circuits.Device, at, ret network.Node) Feed {
	f := Feed{Device: d}
	if at == ret {
		return f
	}
	for step := range pl.panel.Circuit.Steps {
		l := log.Located{Kind: log.Volts, Step: step, A: at, B: ret}
		check := pl.book.Check(l)
		r, err := pl.model.Usual(check)
		if err == nil && r.Firm && r.Value >= diagnose.PresentFrom*pl.model.Nominal(check) {
			low, high := pl.model.Band(l, log.Reading{Kind: log.Volts, Value: r.Value, Firm: true})
			return Feed{Device: d, Check: check, Usual: r, Low: low, High: high}
		}
	}
	return f
}
