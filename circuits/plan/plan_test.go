package plan

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/joined"
	"deadrung/circuits/read"
)

// plans is how many plans of each circuit are tried.
const plans = 200

// sample reads the built-in circuits and some random panels.
func sample(t *testing.T) map[string]*circuits.Circuit {
	all := make(map[string]*circuits.Circuit)
	add := func(name string, text []byte) {
		c, problems := read.Read(name, text)
		require.NoError(t, problems.Err())
		all[name] = c
	}
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		add(name, text)
	}
	for seed := range uint64(6) {
		add(fmt.Sprint("panel ", seed), []byte(generate.Panel(seed, generate.Options{Rungs: 4 + int(seed)*2})))
	}
	return all
}

// planner makes right plans of a circuit by chance.
type planner struct {
	r     *rand.Rand
	hw    *hardware
	drawn *wiring
	to    []int // by terminal of the plan: its conductor on the drawing
}

func newPlanner(seed uint64, c *circuits.Circuit) *planner {
	hw := hardwareOf(c)
	p := &planner{r: rand.New(rand.NewPCG(seed, 7)), hw: hw, drawn: hw.wired(drawnWires(c), nil)}
	p.choose()
	return p
}

// choose takes other contacts of the same kind and other ways round, wherever that can be.
func (p *planner) choose() {
	hw := p.hw
	p.to = slices.Clone(p.drawn.node)
	for _, d := range hw.circuit.Devices {
		for range 20 {
			if to, ok := p.turned(d); ok {
				for t, n := range to {
					p.to[t] = n
				}
				break
			}
		}
	}
}

// turned wires the elements of one device otherwise; false where two of them would need a
// terminal for two conductors, or where what was chosen does what the drawing does not.
func (p *planner) turned(d *circuits.Device) (map[int]int, bool) {
	hw := p.hw
	to := make(map[int]int)
	for _, name := range d.Terminals {
		if t := hw.index[d.Terminal(name)]; d.Type.Kind != circuits.BlockKind && d.Type.Kind != circuits.GroundKind {
			to[t] = -1
		}
	}
	of := make(map[string][]int)
	for e, el := range hw.elements {
		if el.device == d {
			of[el.label] = append(of[el.label], e)
		}
	}
	used := 0
	for _, label := range slices.Sorted(maps.Keys(of)) {
		list := of[label]
		free := slices.Clone(list)
		p.r.Shuffle(len(free), func(i, k int) { free[i], free[k] = free[k], free[i] })
		for _, e := range list {
			if !p.drawn.used[e] {
				continue
			}
			used++
			f := free[0]
			free = free[1:]
			flip := p.r.IntN(2) * b2i(!hw.elements[e].directed)
			for i, t := range hw.elements[e].ends {
				at, n := hw.elements[f].ends[(i+flip)%2], p.drawn.node[t]
				if was, ok := to[at]; ok && was >= 0 && was != n {
					return nil, false
				}
				to[at] = n
			}
		}
	}
	wired := 0
	for e, el := range hw.elements {
		if a, b := el.ends[0], el.ends[1]; hw.elements[e].device == d && to[a] >= 0 && to[b] >= 0 && to[a] != to[b] {
			wired++
		}
	}
	return to, wired == used
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// plan wires each conductor in a chain by chance, with numbers by chance.
func (p *planner) plan() []Wire {
	var wires []Wire
	numbers := p.r.Perm(10 * p.drawn.nodes)
	for n := range p.drawn.nodes {
		var at []int
		sets := joined.New(len(p.to))
		for _, f := range p.hw.fixed {
			sets.Join(int32(f[0]), int32(f[1]))
		}
		for t, to := range p.to {
			if to == n && (len(p.drawn.landed[t]) > 0 || p.hw.device[t].Type.Kind != circuits.BlockKind && p.hw.device[t].Type.Kind != circuits.GroundKind) {
				at = append(at, t)
			}
		}
		p.r.Shuffle(len(at), func(i, k int) { at[i], at[k] = at[k], at[i] })
		for i := 1; i < len(at); i++ {
			if sets.Of(int32(at[i-1])) == sets.Of(int32(at[i])) {
				continue
			}
			sets.Join(int32(at[i-1]), int32(at[i]))
			from, to := p.hw.terminals[at[i-1]], p.hw.terminals[at[i]]
			if p.r.IntN(2) == 0 {
				from, to = to, from
			}
			wires = append(wires, Wire{Number: fmt.Sprint("W", numbers[n]), From: from, To: to})
		}
	}
	p.r.Shuffle(len(wires), func(i, k int) { wires[i], wires[k] = wires[k], wires[i] })
	return wires
}

func TestRightPlansAreRight(t *testing.T) {
	all := sample(t)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		c := all[name]
		for seed := range uint64(plans) {
			wires := newPlanner(seed, c).plan()
			j := Judge(c, wires)
			require.Empty(t, j.Mistakes, "%s, seed %d: %v", name, seed, wires)
			require.Equal(t, len(c.Numbers), j.Done())
			if seed < 3 {
				require.Empty(t, Energise(c, wires), "%s, seed %d", name, seed)
			}
		}
	}
}

// spoiled is a plan with one mistake, and where that is.
type spoiled struct {
	what  string
	wires []Wire
	at    []circuits.Terminal // any of them has to be named
	kinds []Kind              // any of them has to be told
}

// spoil puts one mistake into a right plan; false where that kind of mistake cannot be made.
func (p *planner) spoil(wires []Wire) (spoiled, bool) {
	wires = slices.Clone(wires)
	i := p.r.IntN(len(wires))
	w := &wires[i]
	node := func(t circuits.Terminal) int { return p.to[p.hw.index[t]] }
	switch p.r.IntN(6) {
	case 0:
		at := []circuits.Terminal{w.From, w.To}
		if slices.ContainsFunc(at, func(t circuits.Terminal) bool {
			return p.hw.device[p.hw.index[t]].Type.Kind == circuits.BlockKind && p.landed(wires, t) == 1
		}) {
			return spoiled{}, false // a terminal of a strip that nothing else needs may stay empty
		}
		return spoiled{"a wire is missing", slices.Delete(wires, i, i+1), at, []Kind{Missing, Left, Around}}, true
	case 1:
		to := p.hw.terminals[p.r.IntN(len(p.hw.terminals))]
		if node(to) == node(w.From) || to == w.From || node(to) < 0 {
			return spoiled{}, false
		}
		at := []circuits.Terminal{w.From, w.To, to}
		w.To = to
		return spoiled{"an end on another conductor", wires, at, []Kind{Joined, WrongContact, Missing, Extra}}, true
	case 2:
		to := p.hw.terminals[p.r.IntN(len(p.hw.terminals))]
		if node(to) >= 0 || p.hw.device[p.hw.index[to]].Type.Kind == circuits.BlockKind {
			return spoiled{}, false
		}
		at := []circuits.Terminal{w.From, w.To, to}
		w.To = to
		return spoiled{"an end on a spare terminal", wires, at, []Kind{Missing, WrongContact, Left, Extra, Around, Joined}}, true
	case 3:
		k := p.r.IntN(len(wires))
		if node(wires[k].From) == node(w.From) || k == i {
			return spoiled{}, false
		}
		w.Number = wires[k].Number
		return spoiled{"the number of another conductor", wires, []circuits.Terminal{w.From, w.To}, []Kind{OneNumber, TwoNumbers}}, true
	case 4:
		for k, other := range wires {
			if k != i && other.Number == w.Number && p.landed(wires, other.From) == MostWires && !lands(other, w.From) && !lands(other, w.To) {
				if kind := p.hw.device[p.hw.index[other.From]].Type.Kind; kind == circuits.BlockKind || kind == circuits.GroundKind {
					continue
				}
				w.To = other.From
				return spoiled{"three on a terminal", wires, []circuits.Terminal{other.From}, []Kind{Crowded}}, true
			}
		}
		return spoiled{}, false
	default:
		to := p.hw.terminals[p.r.IntN(len(p.hw.terminals))]
		if node(to) == node(w.From) || node(to) < 0 {
			return spoiled{}, false
		}
		from := w.From
		wires = append(wires, Wire{w.Number, from, to, circuits.Pos{}})
		return spoiled{"a wire too many between two conductors", wires, []circuits.Terminal{from, to}, []Kind{Joined, Extra, WrongContact}}, true
	}
}

// lands tells whether a wire lands on a terminal.
func lands(w Wire, t circuits.Terminal) bool { return w.From == t || w.To == t }

func (p *planner) landed(wires []Wire, t circuits.Terminal) int {
	n := 0
	for _, w := range wires {
		n += b2i(lands(w, t))
	}
	return n
}

// has tells whether a plan has a mistake of a kind.
func has(j *Judgement, k Kind) bool {
	return slices.ContainsFunc(j.Mistakes, func(m Mistake) bool { return m.Kind == k })
}

// names lists the terminals that a judgement names.
func names(c *circuits.Circuit, j *Judgement, wires []Wire) []circuits.Terminal {
	var all []circuits.Terminal
	for _, m := range j.Mistakes {
		all = append(all, m.Terminals...)
		all = append(all, m.With...)
		if m.Wire >= 0 {
			all = append(all, wires[m.Wire].From, wires[m.Wire].To)
		}
		if m.Device != nil {
			for _, name := range m.Device.Terminals {
				all = append(all, m.Device.Terminal(name))
			}
		}
	}
	return all
}

func TestOneMistakeIsToldWithItsPlace(t *testing.T) {
	tried, most := make(map[string]int), make(map[int]int)
	all := sample(t)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		c := all[name]
		for seed := range uint64(plans) {
			p := newPlanner(seed, c)
			right := p.plan()
			bad, ok := p.spoil(right)
			for !ok {
				bad, ok = p.spoil(right)
			}
			j := Judge(c, bad.wires)
			what := fmt.Sprintf("%s, seed %d, %s at %v: %+v\n%v", name, seed, bad.what, bad.at, j.Mistakes, bad.wires)
			require.NotEmpty(t, j.Mistakes, what)
			require.True(t, slices.ContainsFunc(bad.kinds, func(k Kind) bool { return has(j, k) }), what)
			named := names(c, j, bad.wires)
			require.True(t, slices.ContainsFunc(bad.at, func(at circuits.Terminal) bool { return slices.Contains(named, at) }), what)
			tried[bad.what]++
			most[len(j.Mistakes)]++
		}
	}
	t.Log("mistakes planted: ", tried, "; plans by number of mistakes told: ", most)
	few := most[1] + most[2] + most[3]
	require.Greater(t, few, 24*len(all)*plans/25, "one mistake is told as few")
}

// What is only begun is not called wrong.
func TestUnfinishedPlansAreNotWrong(t *testing.T) {
	all := sample(t)
	wrong, tried := 0, 0
	for _, name := range slices.Sorted(maps.Keys(all)) {
		c := all[name]
		for seed := range uint64(plans / 4) {
			p := newPlanner(seed, c)
			wires := p.plan()
			wires = wires[:1+p.r.IntN(len(wires))]
			tried++
			for _, m := range Judge(c, wires).Mistakes {
				if !m.Unfinished() {
					wrong++
					t.Logf("%s, seed %d: %+v\n%v", name, seed, m, wires)
					break
				}
			}
		}
	}
	require.Zero(t, wrong, "of %d", tried)
}
