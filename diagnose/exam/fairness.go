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
// fills the sum. The sum aimed at first is one for which there is much to choose from; if
// that comes out unfair others are tried, and the nearest is taken. The same pool and random source
// give the same choice.
func Choose(pool []Task, w Fairness, random *rand.Rand) (Choice, error) {
	if len(pool) == 0 {
		return Choice{}, errors.New("no fault of these circuits can be set")
	}
	if w.Faults < 1 || w.Candidates < 1 {
		return Choice{}, errors.New("an exam needs one candidate and one fault at least")
	}
	ch := chooser{pool: pool, w: w, random: random}
	ch.aim()
	best := ch.all()
	for i := 0; i < levels && !best.Fair(); i++ {
		step := float64((i+1)/2) / (levels - 1) // from the middle outwards
		if i%2 == 1 {
			step = -step
		}
		ch.target = ch.levelSum(0.5 + step)
		if c := ch.all(); c.better(best) {
			best = c
		}
	}
	return best, nil
}

// levels is how many sums are aimed at, from the middle to the easiest and hardest, before a choice
// that is not fair is taken.
const levels = 25

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

// aim divides the places among the circuits and sets the sum to aim at: for one fault
// each where the efforts lie densest, for more the middle of all, which easy and hard
// ones make up together. Where the number of faults is a multiple of the number of
// circuits each candidate gets each circuit as often; else any fault may stand anywhere.
func (ch *chooser) aim() {
	if ch.w.Circuits > 1 && ch.w.Faults%ch.w.Circuits == 0 {
		by := make([][]int, ch.w.Circuits)
		for i, t := range ch.pool {
			by[t.Circuit] = append(by[t.Circuit], i)
		}
		if !slices.ContainsFunc(by, func(s []int) bool { return len(s) == 0 }) {
			for i := range ch.w.Faults {
				tasks := by[i%ch.w.Circuits]
				ch.slots = append(ch.slots, tasks)
				if i < ch.w.Circuits {
					ch.target += ch.level(tasks) * float64(ch.w.Faults/ch.w.Circuits)
				}
			}
			return
		}
	}
	all := make([]int, len(ch.pool))
	for i := range all {
		all[i] = i
	}
	for range ch.w.Faults {
		ch.slots = append(ch.slots, all)
	}
	ch.target = ch.level(all) * float64(ch.w.Faults)
}

// levelSum is the sum of a candidate's efforts whose places are all filled from so far up
// the rising efforts: 0 is the easiest, 1 the hardest.
func (ch *chooser) levelSum(share float64) float64 {
	var sum float64
	for _, slot := range ch.slots {
		sorted := ch.sorted(slot)
		sum += ch.effort(sorted[int(share*float64(len(sorted)-1)+0.5)])
	}
	return sum
}

// level is the effort that a fault of a candidate is to have on the mean.
func (ch *chooser) level(tasks []int) float64 {
	sorted := ch.sorted(tasks)
	if ch.w.Faults > 1 {
		return ch.effort(sorted[len(sorted)/2])
	}
	return ch.densest(sorted)
}

// sorted gives tasks by rising effort.
func (ch *chooser) sorted(tasks []int) []int {
	sorted := slices.Clone(tasks)
	slices.SortStableFunc(sorted, func(a, b int) int { return cmp.Compare(ch.effort(a), ch.effort(b)) })
	return sorted
}

// densest finds the effort around which the most groups lie within the tolerance. Of
// several nearly as dense one is taken by the seed.
func (ch *chooser) densest(sorted []int) float64 {
	counts := make([]int, len(sorted))
	most := 0
	for i, low := range sorted {
		seen := make(map[[2]int]bool)
		for _, k := range sorted[i:] {
			if ch.effort(k) > ch.effort(low)*(1+Tolerance) {
				break
			}
			seen[ch.group(k)] = true
		}
		counts[i] = len(seen)
		most = max(most, len(seen))
	}
	var good []int
	for i, n := range counts {
		if float64(n) >= 0.9*float64(most) {
			good = append(good, i)
		}
	}
	return ch.effort(sorted[good[ch.random.IntN(len(good))]]) * (1 + Tolerance/2)
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
	s := score{off: max(0, math.Abs(sum-ch.target)/ch.target-0.48*Tolerance)}
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
