package split

import (
	"math"
	"slices"
)

// This file bounds from below what is still to be paid at a position. Weights are those of kin,
// which is the least that must be told apart. All bounds hold for every choice of tests from there
// on.
//
// The number of tests. Where no test makes more than k parts, the mean number of tests is at least
// that of the k-ary Huffman code. That says little where a few tests make three parts and most make
// two, so there is a second bound. Replace every test of many parts by tests of two: the first sets
// the heaviest part against the rest, the others split the rest evenly. The new tree has two parts
// everywhere and costs at least what the binary Huffman code does; and it costs more than the old
// one by no more than, for each item, the tests that it goes through in addition, each time that it
// is in the rest of a test that makes three parts or more. That is its bonus:
//
//	tests >= binary Huffman - sum over items of weight times bonus
//
// An item has no bonus if it is in the heaviest part of all such tests. Otherwise a test of k parts
// gives it as many as splitting k-1 parts takes, one for a test of three. It goes through no more
// such tests than there are with it in the rest, and, as each leaves it with two others fewer, no
// more than one and one for every two others in the largest part that it can be in.
//
// Lopsided tests. Where every test sets little aside, no test can tell much until much has been set
// aside. Follow the heavier part from the start: after tests t1, t2, … it weighs at least m = mass
// - e1 - e2 - …, where e is what a test has outside its heaviest part, and the test made there
// tells no more than h(e/m) bits, h being the entropy of two answers. All other tests tell one bit
// at most. So
//
//	tests >= entropy + sum over the heavy path of m (1 - h(e/m))
//
// times weight, for a tree of two parts everywhere. The sum is least if tests with the largest e
// come first, each once. It ends where m is no more than twice e, where the heavy part may cease to
// be heavy; no more than the largest e; or no more than the heaviest item, which may be all that is
// left.
//
// The cost. A path of k tests costs at least the k cheapest, which is convex in k, so that the mean
// cost is at least that of the mean number of tests. Giving each item the cheapest tests to the
// depth of its own Huffman leaf would not be safe, because Huffman's tree is the best for equal
// costs only: with weights .4 .3 .2 .1 and costs 1, 1, 10 that gives 4.6, where the optimum can be
// 2.0; this bound gives 1.9.

// mostCheap is how many of the cheapest tests are counted singly; further ones are held to cost as
// the last of them.
const mostCheap = 16

// findCheap sets the position's cheapest costs.
func (b *board) findCheap(at *position) {
	if b.prices.unit {
		return
	}
	cheap := make([]float64, 0, mostCheap+1)
	for _, t := range at.tests {
		c := b.prices.floor[t]
		if len(cheap) == mostCheap && c >= cheap[mostCheap-1] {
			continue
		}
		i, _ := slices.BinarySearch(cheap, c)
		cheap = slices.Insert(cheap, i, c)
		cheap = cheap[:min(len(cheap), mostCheap)]
	}
	at.cheap = cheap
}

// price is the least cost of a number of different tests, the last one in part where the number is broken.
func (at *position) price(number float64) float64 {
	if at.cheap == nil {
		return number
	}
	whole := int(number + 1e-9)
	sum := 0.0
	for i := range whole {
		sum += at.cheap[min(i, len(at.cheap)-1)]
	}
	if rest := number - float64(whole); rest > 0 {
		sum += rest * at.cheap[min(whole, len(at.cheap)-1)]
	}
	return sum
}

// kinWeights returns the weights of what a tree of tests must tell apart, in rising order.
func (y *player) kinWeights(at *position) []float64 {
	b := y.b
	y.rising = y.rising[:0]
	if b.kins == len(b.items) {
		y.rising = append(y.rising, at.weight...)
	} else {
		y.kin = slices.Grow(y.kin[:0], b.kins)[:b.kins]
		clear(y.kin)
		for i, item := range at.items {
			y.kin[b.kin[item]] += at.weight[i]
		}
		for _, w := range y.kin {
			if w > 0 {
				y.rising = append(y.rising, w)
			}
		}
	}
	slices.Reverse(y.rising)
	if !slices.IsSorted(y.rising) {
		slices.Sort(y.rising)
	}
	return y.rising
}

// mostAside is how many tests are counted singly in aside.
const mostAside = 24

// A charge is what the tests that make three parts or more can do for one item.
type charge struct {
	times int     // how many such tests set it aside
	depth float64 // how many tests with two parts one of them saves it
	size  int     // with how many it can be set aside
}

// setLimits sets the limits of a position by all the moves there.
func (y *player) setLimits(at *position, found []move) {
	at.arity = 2
	at.aside = y.weights(mostAside + 1)
	many := false
	for i := range found {
		m := &found[i]
		at.arity = max(at.arity, m.parts)
		many = many || m.parts > 2
		if len(at.aside) < mostAside || m.aside > at.aside[mostAside-1] {
			j := len(at.aside)
			for j > 0 && at.aside[j-1] < m.aside {
				j--
			}
			at.aside = slices.Insert(at.aside, j, m.aside)
			at.aside = at.aside[:min(len(at.aside), mostAside)]
		}
	}
	y.b.findCheap(at)
	at.bonus = nil
	if many {
		y.setBonus(at, found)
	}
}

// setBonus sets the bonus of each item that is left.
func (y *player) setBonus(at *position, found []move) {
	y.charged = slices.Grow(y.charged[:0], len(at.items))[:len(at.items)]
	clear(y.charged)
	n := len(y.b.items)
	for i := range found {
		if m := &found[i]; m.parts > 2 {
			y.charge(at, y.b.says[int(m.test)*n:int(m.test+1)*n], m.parts)
		}
	}
	at.bonus = y.weights(n)[:n]
	for i, item := range at.items {
		if c := y.charged[i]; c.times > 0 {
			at.bonus[item] = c.depth * float64(min(c.times, 1+(c.size-1)/2))
		}
	}
}

// charge charges the items that are in the rest of a test. One that does not decide it may be in any part.
func (y *player) charge(at *position, says []int16, parts int) {
	y.of = slices.Grow(y.of[:0], y.b.p.Table.most)[:y.b.p.Table.most]
	y.sizes = slices.Grow(y.sizes[:0], len(y.of))[:len(y.of)]
	clear(y.of)
	clear(y.sizes)
	heavy, vague, largest := int16(0), 0, 0
	for i, item := range at.items {
		o := says[item]
		if o == int16(Any) {
			vague++
			continue
		}
		y.of[o] += at.weight[i]
		y.sizes[o]++
		largest = max(largest, y.sizes[o])
	}
	for o, w := range y.of {
		if w > y.of[heavy] {
			heavy = int16(o)
		}
	}
	depth := math.Ceil(math.Log2(float64(parts - 1)))
	for i, item := range at.items {
		o := says[item]
		if o == heavy {
			continue
		}
		c := &y.charged[i]
		c.times++
		c.depth = max(c.depth, depth)
		if o == int16(Any) {
			c.size = max(c.size, largest+vague)
		} else {
			c.size = max(c.size, y.sizes[o]+vague)
		}
	}
}

// number returns a mean number of tests, times weight, that no choice of tests undercuts.
func (y *player) number(at *position) float64 {
	rising := y.kinWeights(at)
	if len(rising) < 2 {
		return 0
	}
	most := huffman(rising, at.arity, y.merged[:0])
	if at.arity == 2 && len(at.aside) == 0 {
		return most
	}
	if at.arity > 2 && at.bonus == nil {
		return most
	}
	two := most
	if at.arity > 2 {
		two = huffman(rising, 2, y.merged[:0])
	}
	if len(at.aside) > 0 {
		two = max(two, y.lopsided(at, rising))
	}
	if at.bonus != nil {
		for i, item := range at.items {
			two -= at.weight[i] * at.bonus[item]
		}
	}
	return max(most, two)
}

// lopsided is the bound of lopsided tests, times weight.
func (y *player) lopsided(at *position, rising []float64) float64 {
	mass, bits := at.mass(), 0.0
	for _, w := range rising {
		bits -= w * math.Log2(w/mass)
	}
	m, most := mass, rising[len(rising)-1]
	for _, e := range at.aside {
		if m <= max(2*e, at.aside[0], most) {
			break
		}
		q := e / m
		bits += m * (1 + q*math.Log2(q) + (1-q)*math.Log2(1-q))
		m -= e
	}
	return bits
}

// least returns a cost, times weight, that no choice of tests undercuts at a position.
func (y *player) least(at *position) float64 {
	if len(at.cheap) == 0 && at.cheap != nil {
		return 0
	}
	number := y.number(at)
	if at.cheap == nil || number == 0 {
		return number
	}
	mass := at.mass()
	return mass * at.price(number/mass)
}

// leastWorst is the same for the dearest path in place of the mean.
func (y *player) leastWorst(at *position) float64 {
	if len(at.cheap) == 0 && at.cheap != nil {
		return 0
	}
	n := len(y.kinWeights(at))
	depth := 0.0
	for reach := 1; reach < n; reach *= at.arity {
		depth++
	}
	return at.price(depth)
}

// kinDoubt is the entropy, in bits, of what must be told apart.
func (y *player) kinDoubt(at *position) float64 {
	total, nats := at.mass(), 0.0
	for _, w := range y.kinWeights(at) {
		nats -= w / total * math.Log(w/total)
	}
	return nats / math.Ln2
}
