package exam

import (
	"cmp"
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"deadrung/diagnose"
)

// Task is one fault that may be set, and how hard it is.
type Task struct {
	Circuit int // index of the circuit
	Fault   int // index into the circuit's faults
	// Group is its group in that circuit: faults of one group look alike everywhere.
	Group int
	// Checks and Minutes are what the guided loop is expected to need for it.
	Checks, Minutes float64
}

// Effort is how hard a task is by what the exam is measured in.
func (t Task) Effort(by diagnose.By) float64 {
	if by == diagnose.ByChecks {
		return t.Checks
	}
	return t.Minutes
}

// alike tells whether two tasks are one and the same to a candidate.
func (t Task) alike(o Task) bool { return t.Circuit == o.Circuit && t.Group == o.Group }

// Fairness says what is wanted of a choice of faults for a class.
type Fairness struct {
	Candidates int
	Faults     int // for each
	Circuits   int
	By         diagnose.By
	// Row is how many sit side by side; whoever sits in front of or behind a candidate is
	// a neighbour as well. Zero is one long row.
	Row int
}

// Tolerance is how far the efforts of two candidates may lie apart, as a share of the mean.
const Tolerance = 0.10

// Choice is what each candidate gets.
type Choice struct {
	Tasks [][]int // by candidate, in the order in which they are set: index into the pool
	// Efforts are the sums by candidate; Spread is the greatest less the least, as a share
	// of their mean.
	Efforts []float64
	Spread  float64
	// Alike are pairs of neighbours, by index, who have a fault in common.
	Alike [][2]int
	// Reach is how many faults of the pool could have come up, had the draw been another. It
	// is the same for every draw, and so says nothing of this one. Apart is how many of them
	// checks tell apart: what a guess is among.
	Reach, Apart int
}

// Fair tells whether the choice keeps within the tolerance and no neighbours are alike.
func (c Choice) Fair() bool { return c.Spread <= Tolerance+1e-9 && len(c.Alike) == 0 }

// neighbours gives the candidates before one that sit next to it.
func (w Fairness) neighbours(candidate int) []int {
	var out []int
	if candidate > 0 && (w.Row == 0 || candidate%w.Row != 0) {
		out = append(out, candidate-1)
	}
	if w.Row > 0 && candidate >= w.Row {
		out = append(out, candidate-w.Row)
	}
	return out
}

// tries is how many beginnings are drawn for a candidate before the best one is taken.
const tries = 60

// Choose gives every candidate so many faults of a pool that their efforts come out
// alike and no two neighbours have one in common, and uses every fault as seldom as it
// can. All but the last of a candidate's faults are drawn; the last is the one that
// fills the sum. The sum aimed at is drawn as well: whoever chooses again without the
// random source aims elsewhere. If what comes out is unfair others are drawn, and the
// nearest is taken. The same pool and random source give the same choice.
func Choose(pool []Task, w Fairness, random *rand.Rand) (Choice, error) {
	if len(pool) == 0 {
		return Choice{}, errors.New("no fault of these circuits can be set")
	}
	if w.Faults < 1 || w.Candidates < 1 {
		return Choice{}, errors.New("an exam needs one candidate and one fault at least")
	}
	ch := chooser{pool: pool, w: w, random: random}
	ch.place()
	var best Choice
	for i := range aims {
		ch.aim(i)
		if c := ch.all(); i == 0 || c.better(best) {
			best = c
		}
		if best.Fair() {
			break
		}
	}
	best.Reach, best.Apart = ch.reach()
	return best, nil
}

// aims is how many sums are aimed at before a choice that is not fair is taken.
const aims = 30

// better tells which of two choices is nearer to a fair one.
func (c Choice) better(o Choice) bool {
	if len(c.Alike) != len(o.Alike) {
		return len(c.Alike) < len(o.Alike)
	}
	return c.Spread < o.Spread
}

// all chooses for every candidate.
func (ch *chooser) all() Choice {
	ch.groups = make(map[[2]int]int)
	var c Choice
	for i := range ch.w.Candidates {
		c.Tasks = append(c.Tasks, ch.candidate(i, c.Tasks))
	}
	c.measure(ch.pool, ch.w)
	return c
}

type chooser struct {
	pool   []Task
	w      Fairness
	random *rand.Rand
	groups map[[2]int]int // uses by circuit and group
	slots  [][]int        // by place in the order: the tasks that may stand there
	target float64
}

// place divides the places among the circuits. Where the number of faults is a multiple of
// the number of circuits each candidate gets each circuit as often; else any fault may stand
// anywhere.
func (ch *chooser) place() {
	if ch.w.Circuits > 1 && ch.w.Faults%ch.w.Circuits == 0 {
		by := make([][]int, ch.w.Circuits)
		for i, t := range ch.pool {
			by[t.Circuit] = append(by[t.Circuit], i)
		}
		if !slices.ContainsFunc(by, func(s []int) bool { return len(s) == 0 }) {
			for i := range ch.w.Faults {
				ch.slots = append(ch.slots, ch.sorted(by[i%ch.w.Circuits]))
			}
			return
		}
	}
	all := make([]int, len(ch.pool))
	for i := range all {
		all[i] = i
	}
	all = ch.sorted(all)
	for range ch.w.Faults {
		ch.slots = append(ch.slots, all)
	}
}

// Middle part of the rising efforts that the mean effort of several faults is drawn from at
// first: easy and hard ones make it up together, so that nearly every fault may come up.
const (
	lowMiddle  = 0.35
	highMiddle = 0.65
)

// aim draws the sum that every candidate's efforts come to. For one fault each it is the
// effort of one of those that have enough others beside them; for more it is a sum from the
// middle, and from anywhere once that was tried often enough.
func (ch *chooser) aim(try int) {
	if ch.w.Faults == 1 {
		middles := ch.middles()
		ch.target = middles[ch.random.IntN(len(middles))]
		return
	}
	low, high := lowMiddle, highMiddle
	if try > aims/3 {
		low, high = 0, 1
	}
	ch.target = ch.levelSum(low + (high-low)*ch.random.Float64())
}

// levelSum is the sum of a candidate's efforts whose places are all filled from so far up
// the rising efforts: 0 is the easiest, 1 the hardest.
func (ch *chooser) levelSum(share float64) float64 {
	var sum float64
	for _, slot := range ch.slots {
		sum += ch.effort(slot[int(share*float64(len(slot)-1)+0.5)])
	}
	return sum
}

// sorted gives tasks by rising effort.
func (ch *chooser) sorted(tasks []int) []int {
	sorted := slices.Clone(tasks)
	slices.SortStableFunc(sorted, func(a, b int) int { return cmp.Compare(ch.effort(a), ch.effort(b)) })
	return sorted
}

// enough is how many groups of faults lie at least around the effort of one fault for each,
// where the pool has such an effort: with three no two neighbours need be alike, and who has
// one of them does not know a neighbour's.
const enough = 3

// middles are the efforts that may be aimed at for one fault each, one for every group of
// the pool that has enough others within the tolerance.
func (ch *chooser) middles() []float64 {
	var efforts []float64
	var counts []int
	own := make(map[[2]int]bool)
	most := 0
	for _, i := range ch.slots[0] {
		if own[ch.group(i)] {
			continue
		}
		own[ch.group(i)] = true
		around := make(map[[2]int]bool)
		for _, k := range ch.slots[0] {
			if within(ch.effort(k), ch.effort(i)) {
				around[ch.group(k)] = true
			}
		}
		efforts, counts = append(efforts, ch.effort(i)), append(counts, len(around))
		most = max(most, len(around))
	}
	var middles []float64
	for i, e := range efforts {
		if counts[i] >= min(most, enough, ch.w.Candidates) {
			middles = append(middles, e)
		}
	}
	return middles
}

// within tells whether an effort is as good as a sum that is aimed at.
func within(effort, target float64) bool { return math.Abs(effort-target) <= halfTolerance*target }

// halfTolerance is how far from the sum that is aimed at a candidate's may lie.
const halfTolerance = 0.48 * Tolerance

// reach counts the faults of the pool that some draw brings up. Of several for each it
// counts those that leave the others a sum that they can make up.
func (ch *chooser) reach() (faults, apart int) {
	found := make(map[int]bool)
	count := func() (faults, apart int) {
		groups := make(map[[2]int]bool)
		for k := range found {
			groups[ch.group(k)] = true
		}
		return len(found), len(groups)
	}
	if ch.w.Faults == 1 {
		for _, target := range ch.middles() {
			for _, k := range ch.slots[0] {
				if within(ch.effort(k), target) {
					found[k] = true
				}
			}
		}
		return count()
	}
	least, most := ch.levelSum(0), ch.levelSum(1)
	low, high := ch.levelSum(lowMiddle)*(1-halfTolerance), ch.levelSum(highMiddle)*(1+halfTolerance)
	for _, slot := range ch.slots {
		easiest, hardest := ch.effort(slot[0]), ch.effort(slot[len(slot)-1])
		for _, k := range slot {
			if e := ch.effort(k); e+least-easiest <= high && e+most-hardest >= low {
				found[k] = true
			}
		}
	}
	return count()
}

func (ch *chooser) effort(task int) float64 { return ch.pool[task].Effort(ch.w.By) }

func (ch *chooser) group(task int) [2]int {
	return [2]int{ch.pool[task].Circuit, ch.pool[task].Group}
}

// candidate chooses the faults of one candidate, those of the ones before being known.
func (ch *chooser) candidate(i int, before [][]int) []int {
	taken := make(map[[2]int]bool) // by neighbours
	for _, n := range ch.w.neighbours(i) {
		for _, t := range before[n] {
			taken[ch.group(t)] = true
		}
	}
	var best []int
	var least score
	for range tries {
		begun, own := []int{}, make(map[[2]int]bool)
		sum := 0.0
		for _, slot := range ch.slots[:ch.w.Faults-1] {
			t := ch.draw(slot, taken, own)
			begun, sum = append(begun, t), sum+ch.effort(t)
			own[ch.group(t)] = true
		}
		for _, t := range ch.slots[ch.w.Faults-1] {
			s := ch.score(append(begun, t), sum+ch.effort(t), taken, own[ch.group(t)])
			s.draw = ch.random.Float64()
			if best == nil || s.less(least) {
				best, least = append(slices.Clone(begun), t), s
			}
		}
	}
	for _, t := range best {
		ch.groups[ch.group(t)]++
	}
	if ch.w.Circuits < 2 || ch.w.Faults%ch.w.Circuits != 0 {
		ch.random.Shuffle(len(best), func(a, b int) { best[a], best[b] = best[b], best[a] })
	}
	return best
}

// draw takes a fault that neither the candidate nor a neighbour has, of those that were
// used the least half of the time.
func (ch *chooser) draw(slot []int, taken, own map[[2]int]bool) int {
	var free []int
	for _, t := range slot {
		if g := ch.group(t); !taken[g] && !own[g] {
			free = append(free, t)
		}
	}
	if len(free) == 0 {
		free = slot
	}
	if ch.random.IntN(2) == 0 {
		least := math.MaxInt
		var fresh []int
		for _, t := range free {
			n := ch.groups[ch.group(t)]
			if n < least {
				least, fresh = n, nil
			}
			if n == least {
				fresh = append(fresh, t)
			}
		}
		free = fresh
	}
	return free[ch.random.IntN(len(free))]
}

// score is how good a choice for a candidate is: first that nothing is alike, then that
// the effort is within half the tolerance, then that the faults are fresh.
type score struct {
	alike int
	off   float64 // beyond half the tolerance
	uses  int
	draw  float64
}

func (s score) less(o score) bool {
	switch {
	case s.alike != o.alike:
		return s.alike < o.alike
	case s.off != o.off:
		return s.off < o.off
	case s.uses != o.uses:
		return s.uses < o.uses
	}
	return s.draw < o.draw
}

func (ch *chooser) score(tasks []int, sum float64, taken map[[2]int]bool, twice bool) score {
	s := score{off: max(0, math.Abs(sum-ch.target)/ch.target-halfTolerance)}
	if twice {
		s.alike++
	}
	for _, t := range tasks {
		g := ch.group(t)
		if taken[g] {
			s.alike++
		}
		s.uses += ch.groups[g] * ch.groups[g]
	}
	return s
}

// measure works out how fair a choice came out.
func (c *Choice) measure(pool []Task, w Fairness) {
	low, high, sum := math.Inf(1), 0.0, 0.0
	for i, tasks := range c.Tasks {
		var e float64
		for _, t := range tasks {
			e += pool[t].Effort(w.By)
		}
		c.Efforts = append(c.Efforts, e)
		low, high, sum = min(low, e), max(high, e), sum+e
		for _, n := range w.neighbours(i) {
			if slices.ContainsFunc(tasks, func(t int) bool {
				return slices.ContainsFunc(c.Tasks[n], func(o int) bool { return pool[t].alike(pool[o]) })
			}) {
				c.Alike = append(c.Alike, [2]int{n, i})
			}
		}
	}
	if sum > 0 {
		c.Spread = (high - low) / (sum / float64(len(c.Tasks)))
	}
}
