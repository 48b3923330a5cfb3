package checkout

import (
	"slices"

	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// through names the parts on the way between the leads of a check that has one: the way
// through the fewest loads, and of these the one through the fewest parts.
func (pl *planner) through(l log.Located) []string {
	net := pl.panel.Net
	closed := pl.closed(l.Step)
	type hop struct {
		to   network.Node
		name string
		cost int
	}
	hops := make(map[network.Node][]hop)
	join := func(a, b network.Node, name string, cost int) {
		hops[a] = append(hops[a], hop{b, name, cost})
		hops[b] = append(hops[b], hop{a, name, cost})
	}
	lifted := make(map[network.Node]bool)
	for _, t := range l.Lifted {
		lifted[pl.panel.Node(t)] = true
	}
	const aLoad = 1000
	for i := 1; i <= net.Conductors(); i++ {
		c := network.Conductor(i)
		a, b := net.Ends(c)
		part := pl.panel.Part(c)
		switch {
		case !closed[c]:
		case part.Kind == work.WirePart:
			if lifted[a] {
				a = -a // the wires that are lifted off, still joined to each other
			}
			if lifted[b] {
				b = -b
			}
			join(a, b, "", 0)
		default:
			join(a, b, pl.panel.Name(c), 1)
		}
	}
	for i := 1; i <= net.Loads(); i++ {
		p := net.Load(network.Load(i))
		if p.Ohms < diagnose.OpenFrom {
			join(p.A, p.B, pl.panel.LoadDevice(network.Load(i)).Name, aLoad)
		}
	}
	for i := 1; i <= net.Sources(); i++ {
		if p := net.Source(network.Source(i)); !p.Unknown && p.WindingOhms < diagnose.OpenFrom {
			join(p.Hot, p.Return, pl.panel.SourceDevice(network.Source(i)).Name, aLoad)
		}
	}
	// Costs are small whole numbers: buckets in place of a heap.
	from := map[network.Node]hop{l.A: {}}
	cost := map[network.Node]int{l.A: 0}
	buckets := map[int][]network.Node{0: {l.A}}
	for at := 0; len(buckets) > 0; {
		row := buckets[at]
		if len(row) == 0 {
			delete(buckets, at)
			next := -1
			for k := range buckets {
				if next < 0 || k < next {
					next = k
				}
			}
			at = next
			continue
		}
		n := row[0]
		buckets[at] = row[1:]
		if cost[n] != at {
			continue
		}
		for _, h := range hops[n] {
			if c, seen := cost[h.to]; !seen || at+h.cost < c {
				cost[h.to], from[h.to] = at+h.cost, hop{n, h.name, h.cost}
				buckets[at+h.cost] = append(buckets[at+h.cost], h.to)
			}
		}
	}
	var names []string
	for n := l.B; n != l.A; {
		h, ok := from[n]
		if !ok {
			return nil
		}
		if h.name != "" {
			names = append(names, h.name)
		}
		n = h.to
	}
	slices.Reverse(names)
	return names
}
