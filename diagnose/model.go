// Package diagnose turns checks and readings into what is still possible, and says
// what to check next.
//
// A panel (circuits) and its faults (faultmodel) go in once, to make a [Model]: the
// condition at the end of every step of the good circuit, and of the good circuit with
// what a fault blows on the way, and for each fault only what differs from the nearest of
// these. A log of checks with their answers goes in at every turn; out come
// the belief, the next check and in the end a verdict ([Model.Turn]). The choosing
// itself is done by package split, which knows no circuits.
//
//	log line ──► locate ──► foretell for every fault ──► agree? ──► disagreements ──► rank
//	                              ▲                                                    │
//	   trace of each fault ───────┘                 table of checks ──► split ◄────────┘
package diagnose

import (
	"context"
	"math"
	"math/cmplx"
	"runtime"
	"sync"
	"sync/atomic"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
	"deadrung/faultmodel"
)

// Good in place of a fault's index means the good circuit.
const Good = -1

// Model is a panel with all of its faults worked through. It does not change once it
// is made, but for what it remembers of answers computed before.
type Model struct {
	*worked
	options  Options
	beside   []course               // what the traces depart from; the first is the good circuit
	follows  []int32                // by fault: index into beside
	patience []float64              // by step: seconds to wait longer there than the file says
	distance []float64              // by area, see log.Book.AreaOf: minutes to get a lead on a terminal there
	works    []float64              // by step: the minutes that it takes
	moves    [][]float64            // minutes to put the operators, by step before (one higher, 0 is rest) and step
	onNumber map[int][]network.Node // by wire number: the points that are on it

	checks   []log.Located // all that may be proposed
	cells    [][]cell      // by check: the faults that read otherwise than the course they follow
	usual    []log.Reading // by check: the good circuit's reading
	ohmsFrom int32         // index into checks: ohms checks come last
	table    table
	index    map[log.Key]int32 // index into checks

	slipped map[[2]int][]bool // see slipping

	pairing     sync.Once
	second      *work.Course
	secondKnown *conditions
	workedPairs struct { // with two faults at once
		sync.Mutex
		of map[[2]int32]*worked
	}

	costing sync.Once
	priced  costs

	hurrying sync.Once
	hurry    tries // see hurries

	wanted   atomic.Pointer[string] // the key of the choice that somebody waits for
	looking  sync.Mutex
	policies [2]split.Policy       // by By
	looked   map[string]split.Test // what was chosen, by key
	unwanted func() bool           // of the choice that is being worked out
}

// worked is a panel with faults and what each makes of every step: all that a reading is
// foretold from. [New] makes that of a list of faults, and [Model.both] that of two at once.
type worked struct {
	panel  *work.Panel
	book   *log.Book
	faults []faultmodel.Fault
	good   []*condition         // by step
	traces [][]change           // by fault, by step
	blown  [][]*circuits.Device // by fault: what it makes open in the course of the steps
	blows  []int32              // by fault: the step by whose end all of it is open
	// otherwise are, by fault and last for the good circuit, the traces with parts that are not
	// the table's; nil where they change nothing.
	otherwise [][][]change
	bolted    []bolts            // by fault
	left      []float64          // by step: seconds until the first timer of the good circuit may time out
	later     []laterOn          // by hypothesis: what time that passes makes of it
	locked    []network.State    // by step: the power locked off; only where held names it
	own       []network.Source   // by node: the source it belongs to
	visible   map[work.Sight]int // index into Panel.Sights

	basing sync.Mutex
	bases  map[baseOf]*network.OffBase
	roots  map[baseOf]*network.OffBranch // once asked for
}

// Options say what there is to work with.
type Options struct {
	// LowImpedance: the meter has a low-impedance mode, which reads a floating
	// conductor as 0 V.
	LowImpedance bool
	// Rules say what may be done at the panel.
	Rules log.Rules
	// Progress, if any, is told how far the model is made.
	Progress *Progress
}

// Progress tells how far a model is made. It may be read while the model is made.
type Progress struct {
	worked, all atomic.Int64
	// Told, if not nil, is called as the work goes on, from any goroutine.
	Told func()
}

// on tells that one piece more is worked.
func (p *Progress) on() {
	p.worked.Add(1)
	if p.Told != nil {
		p.Told()
	}
}

// Share is from 0 to 1.
func (p *Progress) Share() float64 {
	return min(1, float64(p.worked.Load())/float64(max(1, p.all.Load())))
}

// New makes the model of a panel with the faults of the list: it is complete when New
// returns. Where the context ends before, New returns at once with the context's error.
func New(ctx context.Context, p *work.Panel, faults []faultmodel.Fault, o Options) (*Model, error) {
	if o.Progress == nil {
		o.Progress = new(Progress)
	}
	o.Progress.all.Store(2 * int64(len(faults))) // two passes over them take nearly all of the time
	m, course := newModel(p, faults, o)
	if err := m.workThrough(ctx, course); err != nil {
		return nil, err
	}
	return m, nil
}

// Bare is a model that only reads checks: the faults' readings are not worked out, so
// nothing can be diagnosed with it.
func Bare(p *work.Panel, faults []faultmodel.Fault, r log.Rules) *Model {
	m, _ := newModel(p, faults, Options{Rules: r})
	return m
}

// newModel makes all of a model that needs the good circuit alone.
func newModel(p *work.Panel, faults []faultmodel.Fault, o Options) (*Model, *work.Course) {
	w := &worked{panel: p, book: log.NewBook(p, faults), faults: faults, bases: make(map[baseOf]*network.OffBase),
		blown: make([][]*circuits.Device, len(faults)), blows: make([]int32, len(faults))}
	m := &Model{worked: w, options: o, looked: make(map[string]split.Test)}
	m.visible = make(map[work.Sight]int)
	for i, s := range p.Sights() {
		m.visible[s] = i
	}
	m.book.Obey(o.Rules)
	m.measureWays()
	m.timeSteps()
	m.own = m.panel.SourcesOf()
	m.onNumber = make(map[int][]network.Node)
	for n := 1; n <= p.Net.Nodes(); n++ {
		number := p.Number(network.Node(n))
		m.onNumber[number] = append(m.onNumber[number], network.Node(n))
	}
	course := p.Course()
	m.good = make([]*condition, len(p.Circuit.Steps))
	m.locked = make([]network.State, len(p.Circuit.Steps))
	for i := range m.good {
		m.good[i] = m.condition(course.End(i))
		m.left = append(m.left, soonest(course.End(i).Running))
		if m.book.Held(i) == i {
			m.locked[i] = p.LockedOut(&work.Overlay{}, i)
		}
	}
	m.list()
	return m, course
}

// workThrough works every fault along the good circuit's course and makes the table of
// checks out of it; the error is the context's.
func (m *Model) workThrough(ctx context.Context, c *work.Course) error {
	m.traces = make([][]change, len(m.faults))
	known := &conditions{of: make(map[*work.End]*condition)}
	for i, g := range m.good {
		known.of[c.End(i)] = g
	}
	depends := make([]bool, len(m.faults))
	ends, stirs := make([]traced, len(m.faults)), m.stirs(c)
	share(ctx, len(m.faults), c.Follower, func(f *work.Follower, i int) {
		ends[i] = m.traceFault(f, i, known, stirs)
		m.traces[i], depends[i] = ends[i].changes, ends[i].depends
		m.options.Progress.on()
	})
	if err := ctx.Err(); err != nil {
		return err // some traces are missing
	}
	m.workOtherwise(ctx, c, depends, known)
	if m.letTimePass(ctx, c, ends, known); ctx.Err() != nil {
		return ctx.Err()
	}
	m.departFromNearest(ctx)
	m.findCourses(ctx)
	m.index = make(map[log.Key]int32, len(m.checks))
	for i, l := range m.checks {
		m.index[m.book.Key(l)] = int32(i)
	}
	if m.fill(ctx); ctx.Err() != nil {
		return ctx.Err()
	}
	m.table = m.build(ctx)
	return ctx.Err()
}

// share does n pieces of work, or as many as the context leaves time for, on all cores, each core with a space of its own to work
// in. Each piece writes only to its own place, so the result does not depend on the
// number of cores.
func share[Space any](ctx context.Context, n int, space func() Space, do func(s Space, i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			s := space()
			for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				do(s, i)
			}
		})
	}
	wg.Wait()
}

// nothing is the space of work that needs none.
func nothing() struct{} { return struct{}{} }

// Panel is the panel of the model.
func (m *Model) Panel() *work.Panel { return m.panel }

// Book is the panel as logs are written of it.
func (m *Model) Book() *log.Book { return m.book }

// Faults are the faults of the model.
func (m *Model) Faults() []faultmodel.Fault { return m.faults }

// nominal is the supply voltage that readings between two nodes are held against.
func (m *worked) nominal(a, b network.Node) float64 {
	return m.supplying(a, b, func(s network.Source) float64 { return m.panel.Net.Source(s).Volts })
}

// lineVolts is the most that the device that supplies two nodes has between two of its lines.
func (m *worked) lineVolts(a, b network.Node) float64 {
	return m.supplying(a, b, func(s network.Source) float64 { return m.panel.SourceDevice(s).Volts })
}

// supplying gives the volts of the sources that two nodes belong to.
func (m *worked) supplying(a, b network.Node, volts func(network.Source) float64) float64 {
	net := m.panel.Net
	sa, sb := net.Source(m.own[a]), net.Source(m.own[b])
	// A point on a return that two supplies share takes the other lead's supply.
	switch {
	case a == sb.Return || a == sa.Return && b != sb.Return:
		return volts(m.own[b])
	case b == sa.Return || b == sb.Return:
		return volts(m.own[a])
	}
	return math.Max(volts(m.own[a]), volts(m.own[b]))
}

// foretell gives the reading of a check with a fault, or of the good circuit. It
// leaves the meter's own current out, which is far within what agrees.
func (m *worked) foretell(fault int, l log.Located) log.Reading {
	switch {
	case l.Kind.Off():
		return m.offs(fault).read(l)
	case l.Low:
		if v := m.views(fault, l.Step); len(v.waits)+len(v.paces) > 0 && (v.quick || !m.brisk(l)) {
			return log.Reading{Kind: l.Kind}
		}
		return m.meter(fault).read(l)
	}
	v := m.views(fault, l.Step)
	return v.foretell(l, len(v.waits) > 0 && m.brisk(l))
}

// lookAt is what is seen of a device with a fault, or of the good circuit.
func (m *Model) lookAt(fault, step, visible int) log.Reading {
	if fault == Good {
		return m.good[step].look(visible)
	}
	return m.traces[fault][step].seen(visible)
}

// Unlike visits what looks otherwise with a fault than in the good circuit, step by step, and tells
// whether it is on.
func (m *Model) Unlike(fault int, visit func(step int, s work.Sight, on bool)) {
	sights := m.panel.Sights()
	for step := range m.good {
		good, change := m.good[step], &m.traces[fault][step]
		if change.from == good {
			for _, l := range change.looks {
				if l.on != good.on[l.visible] {
					visit(step, sights[l.visible], l.on)
				}
			}
			continue
		}
		for v, s := range sights {
			if on := change.seen(v).On; on != good.on[v] {
				visit(step, s, on)
			}
		}
	}
}

// phasors are network.Phasors as they are kept.
type phasors [network.MostTones]complex64

// wide gives them as they are worked with.
func (p phasors) wide() (w network.Phasors) {
	for s, v := range p {
		w[s] = complex128(v)
	}
	return w
}

// between is the reading between two nodes with a fault, or of the good circuit.
func (m *worked) between(fault, step int, a, b network.Node) log.Reading {
	return m.volts(func(n network.Node) (int32, phasors) { return m.at(fault, step, n) }, a, b, m.degree(fault))
}

// between is the reading between two nodes, whose islands and voltages at gives. Where sources
// beat, their phases to each other are not known, and what two of them drive is not firm.
func between(at func(network.Node) (int32, phasors), beats bool, a, b network.Node) log.Reading {
	r := log.Reading{Kind: log.Volts}
	if a == b {
		r.Firm = true
		return r
	}
	ia, va := at(a)
	ib, vb := at(b)
	if ia != ib || ia < 0 {
		r.Floats = ia != unsure && ib != unsure
		return r
	}
	drive := 0
	for s := range va {
		if d := va[s] - vb[s]; d != 0 {
			drive++
			r.Value = math.Max(r.Value, cmplx.Abs(complex128(d)))
		}
	}
	r.Firm = !beats || drive < 2
	if r.Value < 1e-4 {
		r.Value = 0
	}
	return r
}

// at gives the island and the voltage of a node with a fault, or in the good circuit.
func (m *worked) at(fault, step int, n network.Node) (int32, phasors) {
	if fault == Good {
		return m.good[step].at(n)
	}
	return m.traces[fault][step].at(n)
}

// overlay is that of a fault, or of the good circuit.
func (m *worked) overlay(fault int) work.Overlay {
	if fault == Good {
		return work.Overlay{}
	}
	return m.faults[fault].Overlay
}
