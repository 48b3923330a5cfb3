package diagnose

import (
	"context"
	"sync"

	"deadrung/circuits/network"
	"deadrung/diagnose/log"
)

// views are the ways in which a fault, or the good circuit, may stand when a step's readings are
// taken: as foretold, with other parts, after a longer wait, and with timers at the ends of their
// tolerance. Where the ways read differently nothing is foretold.
type views struct {
	m         *worked
	step      int
	main      *change
	otherwise [][]change
	waits     []waited
	paces     [][]change
	// quick is set where a timer of the fault's own may be quicker than those of the good circuit.
	quick  bool
	degree bool
	// bare leaves out what the fault changes by itself: it reads what the ways depart from.
	bare bool
}

// views gives those of a fault, or of the good circuit, at a step.
func (m *worked) views(fault, step int) views {
	v := views{m: m, step: step, degree: m.degree(fault)}
	if fault == Good {
		v.main = &change{from: m.good[step]}
	} else {
		v.main = &m.traces[fault][step]
		v.quick = m.left != nil && v.main.left < m.left[step]
	}
	if m.otherwise != nil {
		v.otherwise = m.otherwise[m.hypothesis(fault)]
	}
	later := m.laterOf(fault)
	v.waits = later.after(step)
	if later != nil {
		v.paces = later.paces
	}
	return v
}

// along is the reading of a look or a volts check in one of the ways.
func (v *views) along(c *change, l log.Located) log.Reading {
	m := v.m
	if l.Kind == log.Look {
		if v.bare {
			return c.from.look(m.visible[l.Sight()])
		}
		return c.seen(m.visible[l.Sight()])
	}
	if v.bare {
		return m.volts(c.from.at, l.A, l.B, false)
	}
	return m.volts(c.at, l.A, l.B, v.degree)
}

// foretell is the reading of a look or a volts check, not in low-impedance mode; brisk tells
// what [Model.brisk] does of it.
func (v *views) foretell(l log.Located, brisk bool) log.Reading {
	now := v.now(l)
	if v.dependsOnParts(l, now.Reading) || v.runsOut(l, now, brisk) {
		return log.Reading{Kind: l.Kind}
	}
	if now.flashes {
		return log.Reading{Kind: log.Look, On: true, Seems: log.Flashing, Firm: true}
	}
	return now.Reading
}

// nowReads is a reading as a step ends.
type nowReads struct {
	log.Reading
	flashes bool // a look that is the other one at the next turn
}

// now is the reading as the step ends.
func (v *views) now(l log.Located) nowReads {
	n := nowReads{Reading: v.along(v.main, l)}
	if l.Kind != log.Look || !n.Firm {
		return n
	}
	for _, w := range v.waits {
		if w.turn {
			other := v.along(w.at(v.step), l)
			n.flashes = other.Firm && other.On != n.On
		}
	}
	return n
}

// stays tells whether a reading is the same with a change, but for the turns of what flashes.
func (v *views) stays(l log.Located, now nowReads, c *change) bool {
	r := v.along(c, l)
	if now.flashes {
		return r.Firm && (c.left > 0 || v.main.left == 0)
	}
	return !v.m.differ(l, now.Reading, r)
}

// dependsOnParts tells whether a look or a volts check reads otherwise than foretold with
// parts that are not the table's.
func (v *views) dependsOnParts(l log.Located, foretold log.Reading) bool {
	for _, trace := range v.otherwise {
		if v.m.differ(l, v.along(&trace[v.step], l), foretold) {
			return true
		}
	}
	return false
}

// runsOut tells whether a live reading is another one by the time that it is taken.
func (v *views) runsOut(l log.Located, now nowReads, brisk bool) bool {
	for _, trace := range v.paces {
		if !v.stays(l, now, &trace[v.step]) {
			return true
		}
	}
	for _, w := range v.waits {
		if brisk && !v.quick && w.longer >= v.m.left[v.step] {
			continue // nobody knows of a timer of its own that is quicker
		}
		if !v.stays(l, now, w.at(v.step)) {
			return true
		}
	}
	return false
}

// several tells whether there is more than one way.
func (v *views) several() bool { return len(v.otherwise)+len(v.waits)+len(v.paces) > 0 }

// each visits the changes of all ways.
func (v *views) each(visit func(c *change)) {
	visit(v.main)
	for _, trace := range v.otherwise {
		visit(&trace[v.step])
	}
	for _, w := range v.waits {
		visit(w.at(v.step))
	}
	for _, trace := range v.paces {
		visit(&trace[v.step])
	}
}

// nodes visits the nodes that stand otherwise in any of the ways than in what it departs from, some
// more than once.
func (v *views) nodes(visit func(n network.Node)) {
	v.each(func(c *change) {
		for _, n := range c.nodes {
			visit(n.node)
		}
	})
}

// mostWays is the number of ways that a departure can hold.
const mostWays = 12

// departure is what the ways of a fault depart from: faults with the same one read alike but for
// what each changes by itself.
type departure struct {
	ways                    [mostWays]*condition
	otherwise, waits, paces int8
	step                    int32
	course                  int32
	quick                   bool
}

// departure gives that of the views of a fault that follows a course; false where there are too
// many ways.
func (v *views) departure(course int32) (d departure, ok bool) {
	if 1+len(v.otherwise)+len(v.waits)+len(v.paces) > mostWays {
		return d, false
	}
	d = departure{otherwise: int8(len(v.otherwise)), waits: int8(len(v.waits)), paces: int8(len(v.paces)),
		step: int32(v.step), course: course, quick: v.quick}
	i := 0
	v.each(func(c *change) {
		d.ways[i] = c.from
		i++
	})
	return d, true
}

// manyWays knows, by departure, which checks read otherwise than along the course where nothing
// that a fault changes touches them. Each is worked out when the first fault needs it.
type manyWays struct {
	m     *Model
	live  [][]int32 // by step: looks and volts checks, but for those in low-impedance mode
	brisk []bool    // by check

	mu    sync.Mutex
	known map[departure]*otherwiseRead
}

type otherwiseRead struct {
	once  sync.Once
	found []found
}

func (m *Model) manyWays(ctx context.Context, live [][]int32) *manyWays {
	w := &manyWays{m: m, live: live, brisk: make([]bool, len(m.checks)), known: make(map[departure]*otherwiseRead)}
	share(ctx, len(live), nothing, func(_ struct{}, step int) {
		if len(m.laterOf(Good).after(step)) == 0 {
			return
		}
		for _, i := range live[step] {
			w.brisk[i] = m.brisk(m.checks[i])
		}
	})
	return w
}

// note visits the nodes and sights at which a fault itself may read otherwise in any of its ways,
// then the readings of all other checks that are not those of the course it follows.
func (w *manyWays) note(v *views, course int32, node func(network.Node), look func(visible int), rest func(found)) {
	v.each(func(c *change) {
		for _, l := range c.looks {
			look(l.visible)
		}
	})
	v.nodes(node)
	d, ok := v.departure(course)
	if !ok {
		for _, f := range w.read(*v, course) {
			rest(f)
		}
		return
	}
	w.mu.Lock()
	k := w.known[d]
	if k == nil {
		k = new(otherwiseRead)
		w.known[d] = k
	}
	w.mu.Unlock()
	k.once.Do(func() { k.found = w.read(*v, course) })
	for _, f := range k.found {
		rest(f)
	}
}

// read gives what reads otherwise than along a course where a fault changes nothing by itself.
func (w *manyWays) read(v views, course int32) []found {
	v.bare = true
	var all []found
	for _, i := range w.live[v.step] {
		if r := v.foretell(w.m.checks[i], w.brisk[i]); !sameReading(r, w.m.along(course, i)) {
			all = append(all, found{i, r})
		}
	}
	return all
}
