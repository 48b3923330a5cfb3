package diagnose

import (
	"cmp"
	"container/heap"
	"encoding/binary"
	"math"
	"math/bits"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Where no single fault explains every reading there may be two. Most pairs need not be
// looked at. What two faults do together is mostly what either does alone: where a
// reading is not the good circuit's, one of them gives it; where it is, neither spoils it.
// So the faults are sorted into classes by the readings that they miss, and classes are
// laid beside each other:
//
//	reading                1  2  3  4
//	not the good one's     x  x  x
//	class P misses               x      P and Q together: no strain
//	class Q misses         x  x
//	class R misses         x     x  x   Q and R together: 2, for readings 1 and 4
//
// Strain is what two faults would have to do by each other, as two opens do to a coil that
// either path alone would feed. The likeliest pairs are tried first, each reading that
// strains a pair counting as so much the less likely. To try a pair is to work the panel
// with both faults in it, and to hold every reading against that.

// MostPairs is how many pairs are named. Common practice, no source: more are no help.
const MostPairs = 10

// PairsTried bounds how many pairs the panel is worked with. Strained is the factor by
// which a reading that strains a pair puts it back in their order.
// Common practice, no source: of 100 pairs of faults planted in five of the built-in
// circuits 95 came within the first 210 tries, with any factor from 0.1 to 0.001.
const (
	PairsTried = 300
	Strained   = 0.03
)

// pairsKept bounds how many pairs a model keeps worked: the next turn tries mostly the same
// ones. Measured: one takes 6 kB in a circuit of 5 rungs, 16 kB in one of 20.
const pairsKept = 2 * PairsTried

// Pair is two faults that together explain every reading of a log.
type Pair struct {
	IDs         [2]faultmodel.ID `json:"ids"` // the likelier first
	Texts       [2]string        `json:"texts"`
	Probability float64          `json:"probability"` // among the pairs that are named
	// Faults are their indices.
	Faults [2]int `json:"-"`
}

// Pairs gives the likeliest pairs of faults that together explain every reading of a
// log, MostPairs at the most. There are none where a single fault, or the good circuit,
// explains them.
func (m *Model) Pairs(history log.Log) []Pair {
	return m.believe(history).pairs()
}

func (b *belief) pairs() []Pair {
	m := b.m
	if b.least == 0 || b.disagree[len(m.faults)] == 0 {
		return nil
	}
	follower, known := m.again()
	var found []Pair
	failed := make(map[[2]int32]bool) // what fails one pair fails others of the same groups
	trials := b.trials()
	for tried := 0; trials.Len() > 0 && tried < PairsTried && len(found) < MostPairs; {
		x, y := trials.next()
		g, h := m.table.group[x], m.table.group[y]
		groups := [2]int32{min(g, h), max(g, h)}
		if failed[groups] {
			continue
		}
		both := m.kept(follower, known, x, y)
		if both == nil {
			continue
		}
		tried++
		if b.explains(both) {
			found = append(found, m.pair(x, y))
		} else {
			failed[groups] = true
		}
	}
	slices.SortStableFunc(found, func(p, q Pair) int { return cmp.Compare(q.Probability, p.Probability) })
	var sum float64
	for _, p := range found {
		sum += p.Probability
	}
	for i := range found {
		found[i].Probability /= sum
	}
	return found
}

// pair is two faults with the product of their priors.
func (m *Model) pair(x, y int) Pair {
	if m.faults[y].Prior > m.faults[x].Prior {
		x, y = y, x
	}
	f, g := m.faults[x], m.faults[y]
	return Pair{IDs: [2]faultmodel.ID{f.ID, g.ID}, Texts: [2]string{f.Text, g.Text}, Probability: f.Prior * g.Prior, Faults: [2]int{x, y}}
}

// again is the good circuit's course, for what is worked through after the list of faults,
// and what departs from it: worked once, when the first log contradicts itself, and not
// kept until then.
func (m *Model) again() (*work.Follower, *conditions) {
	m.pairing.Do(func() {
		m.second = m.panel.Course()
		m.secondKnown = &conditions{of: make(map[*work.End]*condition)}
	})
	return m.second.Follower(), m.secondKnown
}

// kept is as both, which works a pair once; nil where the two cannot be at once.
func (m *Model) kept(f *work.Follower, known *conditions, x, y int) *worked {
	pair := [2]int32{int32(min(x, y)), int32(max(x, y))}
	m.workedPairs.Lock()
	both, ok := m.workedPairs.of[pair]
	m.workedPairs.Unlock()
	if ok {
		return both
	}
	if both, ok = m.both(f, known, int(pair[0]), int(pair[1])); !ok {
		both = nil
	}
	m.workedPairs.Lock()
	if m.workedPairs.of == nil {
		m.workedPairs.of = make(map[[2]int32]*worked)
	}
	if len(m.workedPairs.of) < pairsKept {
		m.workedPairs.of[pair] = both
	}
	m.workedPairs.Unlock()
	return both
}

// both works a panel through whose only fault is two at once; false where they cannot be at
// once.
func (m *Model) both(f *work.Follower, known *conditions, x, y int) (*worked, bool) {
	overlay, ok := beside(m.faults[x].Overlay, m.faults[y].Overlay)
	if !ok {
		return nil, false
	}
	changes, blown, blows, _ := m.trace(f, &overlay, known)
	return &worked{
		panel: m.panel, book: m.book, good: m.good, left: m.left, locked: m.locked, own: m.own, visible: m.visible,
		faults: []faultmodel.Fault{{Overlay: overlay}}, traces: [][]change{changes},
		blown: [][]*circuits.Device{blown}, blows: []int32{blows}, bases: make(map[baseOf]*network.OffBase),
	}, true
}

// beside puts two faults into one overlay; false where both are of one element, as a
// contact that stays open and one that is welded.
func beside(a, b work.Overlay) (work.Overlay, bool) {
	moved := func(o *work.Overlay) []network.Conductor {
		held := slices.Concat(o.Open, o.Closed)
		for _, l := range o.Landings {
			held = append(held, l.Conductor)
		}
		for _, j := range o.Joints {
			held = append(held, j.Conductor)
		}
		return held
	}
	devices := func(o *work.Overlay) []*circuits.Device {
		var held []*circuits.Device
		for _, s := range o.Stuck {
			held = append(held, s.Device)
		}
		for _, t := range o.Timers {
			held = append(held, t.Device)
		}
		return held
	}
	loads := func(o *work.Overlay) []network.Load {
		held := slices.Concat(o.OpenLoads, o.ShortedLoads)
		for _, s := range o.LoadScale {
			held = append(held, s.Load)
		}
		return held
	}
	sources := func(o *work.Overlay) []network.Source {
		held := slices.Concat(o.OpenSources, o.DeadSources)
		for _, s := range o.Scale {
			held = append(held, s.Source)
		}
		return held
	}
	if meet(moved(&a), moved(&b)) || meet(devices(&a), devices(&b)) || meet(loads(&a), loads(&b)) || meet(sources(&a), sources(&b)) {
		return a, false
	}
	return work.Overlay{
		Overlay: network.Overlay{
			Open: slices.Concat(a.Open, b.Open), Closed: slices.Concat(a.Closed, b.Closed),
			OpenLoads: slices.Concat(a.OpenLoads, b.OpenLoads), ShortedLoads: slices.Concat(a.ShortedLoads, b.ShortedLoads),
			OpenSources: slices.Concat(a.OpenSources, b.OpenSources), DeadSources: slices.Concat(a.DeadSources, b.DeadSources),
			Scale: slices.Concat(a.Scale, b.Scale), LoadScale: slices.Concat(a.LoadScale, b.LoadScale),
			Joins: slices.Concat(a.Joins, b.Joins), Landings: slices.Concat(a.Landings, b.Landings),
			Joints: slices.Concat(a.Joints, b.Joints), Leaks: slices.Concat(a.Leaks, b.Leaks),
		},
		Stuck: slices.Concat(a.Stuck, b.Stuck), Timers: slices.Concat(a.Timers, b.Timers),
	}, true
}

// meet tells whether two lists have anything in common.
func meet[T comparable](a, b []T) bool {
	return slices.ContainsFunc(a, func(x T) bool { return slices.Contains(b, x) })
}

// explains tells whether every reading that counts fits the only fault of a model.
// Readings with the power off are the dear ones to work out and come last.
func (b *belief) explains(both *worked) bool {
	for _, off := range []bool{false, true} {
		for i, e := range b.history.Entries {
			if b.against[i] != nil && e.Located().Kind.Off() == off && !both.agree(e.Located(), both.foretell(0, e.Located()), *e.Answer) {
				return false
			}
		}
	}
	return true
}

// class is faults that miss the same readings.
type class struct {
	misses []uint64 // a bit for each reading
	faults []int    // the likeliest first
}

// classes sorts the faults by the readings that they miss, and gives the readings that
// the good circuit misses.
func (b *belief) classes() (all []*class, unusual []uint64) {
	m := b.m
	var counted [][]bool
	for _, against := range b.against {
		if against != nil {
			counted = append(counted, against)
		}
	}
	misses := func(h int) []uint64 {
		set := make([]uint64, (len(counted)+63)/64)
		for i, against := range counted {
			if against[h] {
				set[i/64] |= 1 << (i % 64)
			}
		}
		return set
	}
	index := make(map[string]*class)
	for h := range m.faults {
		set := misses(h)
		var key []byte
		for _, w := range set {
			key = binary.LittleEndian.AppendUint64(key, w)
		}
		c := index[string(key)]
		if c == nil {
			c = &class{misses: set}
			index[string(key)] = c
			all = append(all, c)
		}
		c.faults = append(c.faults, h)
	}
	for _, c := range all {
		slices.SortStableFunc(c.faults, func(x, y int) int { return cmp.Compare(m.faults[y].Prior, m.faults[x].Prior) })
	}
	return all, misses(len(m.faults))
}

// strain counts the readings that two classes give neither alone nor by leaving them as
// they are in the good circuit.
func strain(p, q *class, unusual []uint64) int {
	n := 0
	for i, u := range unusual {
		n += bits.OnesCount64(u&p.misses[i]&q.misses[i] | ^u&(p.misses[i]|q.misses[i]))
	}
	return n
}

// trial is one fault of each of two classes, which may be the same one.
type trial struct {
	p, q   *class
	i, k   int     // places in the two classes
	factor float64 // for what strains the classes
	weight float64
}

// trials is a heap of the pairs to try, the likeliest first. Of two classes only the pairs
// that may come next are in it.
type trials struct {
	m    *Model
	heap []trial
}

func (b *belief) trials() *trials {
	all, unusual := b.classes()
	t := &trials{m: b.m}
	for i, p := range all {
		for _, q := range all[i:] {
			t.add(trial{p: p, q: q, factor: math.Pow(Strained, float64(strain(p, q, unusual)))})
		}
	}
	return t
}

func (t *trials) Len() int      { return len(t.heap) }
func (t *trials) Swap(i, k int) { t.heap[i], t.heap[k] = t.heap[k], t.heap[i] }
func (t *trials) Push(x any)    { t.heap = append(t.heap, x.(trial)) }
func (t *trials) Less(i, k int) bool {
	a, b := &t.heap[i], &t.heap[k]
	return cmp.Or(cmp.Compare(b.weight, a.weight), cmp.Compare(a.p.faults[a.i], b.p.faults[b.i]), cmp.Compare(a.q.faults[a.k], b.q.faults[b.k])) < 0
}
func (t *trials) Pop() any {
	last := t.heap[len(t.heap)-1]
	t.heap = t.heap[:len(t.heap)-1]
	return last
}

// add puts a trial into the heap if there are two faults at its places. In one class the
// second is behind the first.
func (t *trials) add(x trial) {
	if x.p == x.q && x.k <= x.i {
		x.k = x.i + 1
	}
	if x.i < len(x.p.faults) && x.k < len(x.q.faults) {
		x.weight = x.factor * t.m.faults[x.p.faults[x.i]].Prior * t.m.faults[x.q.faults[x.k]].Prior
		heap.Push(t, x)
	}
}

// next takes the likeliest trial and puts those in its place that come after it: the
// next in the second class, and for the first of a row the row after it.
func (t *trials) next() (x, y int) {
	first := heap.Pop(t).(trial)
	after, below := first, first
	after.k++
	t.add(after)
	if first.k == 0 || first.p == first.q && first.k == first.i+1 {
		below.i, below.k = first.i+1, 0
		t.add(below)
	}
	return first.p.faults[first.i], first.q.faults[first.k]
}
