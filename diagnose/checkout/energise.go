package checkout

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/joined"
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
	search := joined.Search[network.Node, network.Conductor]{
		Beside: func(n network.Node, lead func(network.Node, network.Conductor, int)) {
			for _, c := range net.At(n) {
				passed := 0
				if pl.panel.Part(c).Kind == work.LinkPart {
					passed = 1
				}
				lead(net.Other(c, n), c, passed)
			}
		},
	}
	const unfed = 1 << 28
	behind := func(n network.Node) int {
		if passed, ok := search.Long(n); ok {
			return passed
		}
		return unfed
	}
	feed := func(d *circuits.Device, passed int) {
		p := net.Source(pl.panel.Source(d))
		search.From(p.Hot, passed)
		search.From(p.Return, passed)
	}
	var fed []*circuits.Device
	for _, d := range pl.panel.Circuit.Devices {
		switch {
		case pl.panel.Source(d) == 0:
		case pl.panel.PrimaryWired(d):
			fed = append(fed, d)
		default:
			feed(d, 0)
		}
	}
	for range fed { // one may feed another
		for _, d := range fed {
			passed := 0
			for _, t := range d.Primary {
				passed = max(passed, behind(pl.panel.Node(d.Terminal(t))))
			}
			feed(d, passed)
		}
	}
	passed := make([]int, net.Nodes()+1)
	for n := range passed {
		passed[n] = behind(network.Node(n))
	}
	return passed
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
