package wiring

import (
	"cmp"
	"slices"

	"deadrung/circuits"
)

// What is kept of an older circuit, so that a small change of a rung leaves the labels
// and the wires of the panel alone: a contact that was on the same two wires, a wire
// number that most of the same terminals had, and every wire that still joins two
// terminals of one section.

// chooseKept takes, for contacts given by their kind, those that the older circuit has on
// the same wires, surest first, and gives the items that are left.
func (c *picker) chooseKept(wanted []*circuits.Item) []*circuits.Item {
	votes := make(map[point]map[string]int) // by section: its terminals by their old number
	total := make(map[point]int)
	vote := func(t circuits.Terminal, s point) {
		if n := c.l.old[t]; n != "" {
			if votes[s] == nil {
				votes[s] = make(map[string]int)
			}
			votes[s][n]++
			total[s]++
		}
	}
	for t, s := range c.used {
		vote(t, s)
	}
	// Sides of a source have many terminals, so what counts is the share.
	share := func(t circuits.Terminal, s point) float64 {
		if n := c.l.old[t]; n != "" && total[s] > 0 {
			return float64(votes[s][n]) / float64(total[s])
		}
		return 0
	}
	type claim struct {
		it  *circuits.Item
		w   way
		sum float64
	}
	for len(wanted) > 0 {
		var claims []claim
		for _, it := range wanted {
			best := claim{it: it}
			left, right := c.l.sides(it)
			for _, w := range c.ways(it) {
				contact := it.Device.Contacts[w.contact]
				a, b := it.Device.Terminal(contact.A), it.Device.Terminal(contact.B)
				if w.turned {
					a, b = b, a
				}
				if sum := share(a, left) + share(b, right); sum > best.sum {
					best = claim{it, w, sum}
				}
				if sum := share(b, left) + share(a, right); sum > best.sum && c.free(it, w) {
					best = claim{it, way{w.contact, !w.turned}, sum}
				}
			}
			if best.sum > 0 {
				claims = append(claims, best)
			}
		}
		if len(claims) == 0 {
			break
		}
		slices.SortStableFunc(claims, func(a, b claim) int { return cmp.Compare(b.sum, a.sum) })
		for _, cl := range claims {
			if 2*cl.sum < claims[0].sum { // until the surer ones have told more
				break
			}
			if !slices.ContainsFunc(c.ways(cl.it), func(w way) bool {
				return w == cl.w || w.contact == cl.w.contact && c.free(cl.it, w)
			}) {
				continue
			}
			c.take(cl.it, cl.w)
			left, right := c.l.sides(cl.it)
			vote(cl.it.Device.Terminal(cl.it.In), left)
			vote(cl.it.Device.Terminal(cl.it.Out), right)
			wanted = slices.DeleteFunc(wanted, func(it *circuits.Item) bool { return it == cl.it })
		}
	}
	return wanted
}

// free says whether neither terminal of a contact is in use, so that it may be turned.
func (c *picker) free(it *circuits.Item, w way) bool {
	contact := it.Device.Contacts[w.contact]
	_, a := c.used[it.Device.Terminal(contact.A)]
	_, b := c.used[it.Device.Terminal(contact.B)]
	return !a && !b
}

// keepNumbers gives sections the numbers that most of their terminals have in the older
// circuit, each number once.
func (l *ladder) keepNumbers(terminals map[point][]circuits.Terminal, taken map[string]bool) {
	old := l.old
	type claim struct {
		s      point
		number string
		votes  int
	}
	var claims []claim
	seen := make(map[point]bool)
	for _, p := range l.order {
		s := l.section(p)
		if seen[s] || l.number[s] != "" {
			continue
		}
		seen[s] = true
		votes := make(map[string]int)
		for _, t := range terminals[s] {
			n := old[t]
			if n == "" || taken[n] {
				continue
			}
			if votes[n]++; votes[n] == 1 {
				claims = append(claims, claim{s: s, number: n})
			}
		}
		for i := range claims {
			if claims[i].s == s {
				claims[i].votes = votes[claims[i].number]
			}
		}
	}
	slices.SortStableFunc(claims, func(a, b claim) int { return cmp.Compare(b.votes, a.votes) })
	owner := make(map[string]point)
	joined := l.pinned()
	for _, c := range claims {
		if l.number[c.s] != "" {
			continue
		}
		if o, ok := owner[c.number]; ok && !joined(o, c.s) {
			continue
		}
		owner[c.number] = c.s
		l.number[c.s] = c.number
		taken[c.number] = true
	}
}

// pinned says of two sections whether a pin of a connector joins them.
func (l *ladder) pinned() func(a, b point) bool {
	pairs := make(map[[2]point]bool)
	for _, pin := range l.pins() {
		a, b := l.section(pin[0]), l.section(pin[1])
		pairs[[2]point{a, b}], pairs[[2]point{b, a}] = true, true
	}
	return func(a, b point) bool { return pairs[[2]point{a, b}] }
}
