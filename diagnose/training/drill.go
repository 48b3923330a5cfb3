package training

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// Drill is a short exercise in halving the doubt, without a circuit: one unit of several
// is open, each as likely as the other, and a voltmeter tells on which side of a point.
//
//	L ──┤ ├──┬──┤ ├──┬──┤ ├──┬──┤ ├── lamp ── N
//	     1   1   2   2   3   3   4
//
// Volts from point 2 to N are full if the open is beyond it, in 3 or 4, and none if it
// is before it.
type Drill struct {
	Name, Title string
	About       string // what there is and what is known
	Source      string
	Units       []string // what can be open, as a person names it
	Points      []DrillPoint
	Volts       float64 // of the supply
	table       *split.Table
}

// DrillPoint is where the leads of one check go.
type DrillPoint struct {
	Word string // as a person types it
	Text string
	full []bool // by unit: reads full volts if that unit is open
}

// MostContacts is the longest string of a drill.
const MostContacts = 64

// ContactString is a string of n closed contacts in series with a good lamp that is dark: one
// contact is open. The error says which numbers of contacts there are.
func ContactString(n int) (Drill, error) {
	if n < 2 || n > MostContacts {
		return Drill{}, fmt.Errorf("a string has 2 to %d contacts, not %d", MostContacts, n)
	}
	d := Drill{
		Name:  fmt.Sprintf("string-%d", n),
		Title: fmt.Sprintf("A string of %d contacts", n),
		About: fmt.Sprintf("%d contacts in series from L, then a good lamp to N. All should be closed, "+
			"and the lamp is dark: one contact is open. "+
			"Point k lies behind contact k, and the black lead is on N.", n),
		Source: "own arithmetic, not published; check the middle of what is in doubt: ARMY-338, frame 16",
		Volts:  120,
	}
	for u := range n {
		d.Units = append(d.Units, fmt.Sprint(u+1))
	}
	for k := 1; k < n; k++ {
		p := DrillPoint{Word: fmt.Sprint(k), Text: fmt.Sprintf("point %d to N", k)}
		for u := range n {
			p.full = append(p.full, u+1 > k)
		}
		d.Points = append(d.Points, p)
	}
	return d.built(), nil
}

// lineSections is how many sections each wire of the two-wire line has: five pairs of
// test points are ours, the source does not number them.
const lineSections = 6

// TwoWireLine is the published case of a dead lamp at the end of a two-wire line with
// test points along both wires, found with a voltmeter only. The first check is across
// the middle.
func TwoWireLine() Drill {
	d := Drill{
		Name:  "two-wire-line",
		Title: "Dead lamp at the end of a two-wire line",
		About: fmt.Sprintf("A supply, two wires side by side, a lamp at their end. Along each wire are "+
			"test points 1 to %d; 0 is the supply's terminal, %d the lamp's. "+
			"Section k of a wire ends at its point k. Either the lamp is open (lamp), or one section of "+
			"the hot wire (h1 to h%d) or of the return (r1 to r%d). "+
			"Put the red lead on a point of the hot wire, the black one on a point of the return: 3 3 is "+
			"across the line at points 3.",
			lineSections-1, lineSections, lineSections, lineSections),
		Source: "SOC-TR (T. R. Kuphaldt, Socratic electronics worksheet on troubleshooting): the first " +
			"check is across the middle; five pairs of test points are ours",
		Volts: 120,
	}
	type unit struct {
		hot, ret int // the section that is open; 0 none
	}
	var units []unit
	for k := 1; k <= lineSections; k++ {
		d.Units = append(d.Units, fmt.Sprintf("h%d", k))
		units = append(units, unit{hot: k})
	}
	for k := 1; k <= lineSections; k++ {
		d.Units = append(d.Units, fmt.Sprintf("r%d", k))
		units = append(units, unit{ret: k})
	}
	d.Units = append(d.Units, "lamp")
	units = append(units, unit{})
	for h := 0; h <= lineSections; h++ {
		for r := 0; r <= lineSections; r++ {
			p := DrillPoint{Word: fmt.Sprintf("%d %d", h, r), Text: fmt.Sprintf("hot %d to return %d", h, r)}
			for _, u := range units {
				// Behind an open the lamp, which is good then, brings the other wire's side.
				p.full = append(p.full, (u.hot == 0 || u.hot > h) && (u.ret == 0 || u.ret > r))
			}
			d.Points = append(d.Points, p)
		}
	}
	return d.built()
}

// built makes the table of a drill's checks.
func (d Drill) built() Drill {
	b := split.NewBuilder(len(d.Units))
	for _, p := range d.Points {
		var except []split.Exception
		for u, full := range p.full {
			if full {
				except = append(except, split.Exception{Hypothesis: split.Hypothesis(u), Outcome: 1})
			}
		}
		b.AddTest(0, 2, except)
	}
	table, err := b.Build()
	if err != nil {
		panic("exam: a drill that cannot be: " + err.Error())
	}
	d.table = table
	return d
}

// Optimum is the least mean and the least worst number of checks in which the open unit
// is found, both exact.
func (d Drill) Optimum() (mean float64, worst int) {
	p := split.Problem{Table: d.table, Prior: make([]float64, len(d.Units))}
	for i := range p.Prior {
		p.Prior[i] = 1 / float64(len(d.Units))
	}
	best := p.Optimum(0, split.Search{})
	least := p.Optimum(0, split.Search{Worst: true})
	return best.Cost, int(math.Round(least.Cost))
}

// Run is one go at a drill.
type Run struct {
	Drill  Drill
	hidden int
	seed   uint64
	Left   []int // units still possible
	Made   []DrillCheck
	Hints  int // points that were named before the end
}

// DrillCheck is a check of a drill and what it was worth.
type DrillCheck struct {
	Point  int
	Volts  float64 // as the meter showed it
	Bits   float64 // that it was expected to tell
	Best   float64 // what the best point was
	At     int     // the best point; -1 for none
	Before int     // units possible before
	After  int
	Full   bool  // it read full volts
	Left   []int // units still possible after it
	told   bool  // the best point was named
}

// Better tells whether another point would have told more.
func (c DrillCheck) Better() bool { return c.At >= 0 && c.Bits < c.Best-1e-9 }

// Start hides an open unit by the seed.
func (d Drill) Start(seed uint64) *Run {
	return &Run{Drill: d, seed: seed, hidden: rand.New(rand.NewPCG(seed, 2)).IntN(len(d.Units)), Left: d.all()}
}

// bits is what a point is expected to tell of what is left, all of it equally likely.
func (r *Run) bits(point int) float64 {
	full := 0
	for _, u := range r.Left {
		if r.Drill.Points[point].full[u] {
			full++
		}
	}
	p := float64(full) / float64(len(r.Left))
	if p == 0 || p == 1 {
		return 0
	}
	return -p*math.Log2(p) - (1-p)*math.Log2(1-p)
}

// Best gives the point that tells most of what is left, the first of several; -1 if none
// tells anything.
func (r *Run) Best() (point int, bits float64) {
	point = -1
	for i := range r.Drill.Points {
		if b := r.bits(i); b > bits+1e-12 {
			point, bits = i, b
		}
	}
	return point, bits
}

// Check puts the leads on a point.
func (r *Run) Check(point int) DrillCheck {
	full := r.Drill.Points[point].full[r.hidden]
	c := DrillCheck{Point: point, Bits: r.bits(point), Before: len(r.Left), Full: full}
	c.At, c.Best = r.Best()
	if full { // within the meter's tolerance, in its figures
		noise := 2*rand.New(rand.NewPCG(r.seed, uint64(len(r.Made)+3))).Float64() - 1
		c.Volts = rounded(log.Volts, r.Drill.Volts*(1+diagnose.MeterTolerance*noise))
	}
	r.Left = slices.DeleteFunc(r.Left, func(u int) bool { return r.Drill.Points[point].full[u] != full })
	c.After, c.Left = len(r.Left), slices.Clone(r.Left)
	r.Made = append(r.Made, c)
	return c
}

// Parted counts what of some units a point leaves: if it reads full volts, and if it reads none.
func (d Drill) Parted(point int, of []int) (full, none int) {
	for _, u := range of {
		if d.Points[point].full[u] {
			full++
		} else {
			none++
		}
	}
	return full, none
}

// DrillHint is what a hint costs in a drill, in checks, for nothing else is counted there. Common
// practice, no source: it saves a check that halves nothing.
const DrillHint = 1

// Spent is what was spent: the checks, and what the hints cost.
func (r *Run) Spent() int { return len(r.Made) + DrillHint*r.Hints }

// Hint names the best point of what is left, at its price; -1, which costs nothing, for none.
func (r *Run) Hint() int {
	at, _ := r.Best()
	if at >= 0 {
		r.Hints++
	}
	return at
}

// Ask has the better point named that the last check passed by, at the price of a hint, once; -1
// for none.
func (r *Run) Ask() int {
	if len(r.Made) == 0 {
		return -1
	}
	c := &r.Made[len(r.Made)-1]
	if !c.Better() {
		return -1
	}
	if !c.told {
		c.told = true
		r.Hints++
	}
	return c.At
}

// Before gives the units that were possible before a check, counted from none.
func (r *Run) Before(check int) []int {
	if check > 0 {
		return r.Made[check-1].Left
	}
	return r.Drill.all()
}

// all are the units.
func (d Drill) all() []int {
	all := make([]int, len(d.Units))
	for u := range all {
		all[u] = u
	}
	return all
}

// Needed counts the checks in which the open unit is found by taking the best point each
// time.
func (r *Run) Needed() int {
	again := r.Drill.Start(r.seed)
	again.hidden = r.hidden
	for {
		at, _ := again.Best()
		if at < 0 {
			return len(again.Made)
		}
		again.Check(at)
	}
}

// Right tells whether a unit is the one that is open.
func (r *Run) Right(unit int) bool { return unit == r.hidden }

// Hidden is the unit that is open.
func (r *Run) Hidden() int { return r.hidden }
