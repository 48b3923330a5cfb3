package training

import (
	"fmt"
	"slices"
	"sort"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// Difficulty says how hard a hidden fault is to find.
//
//	D = N × (1 + M)
//
// N is the number of checks that the guided search, every check counted as one, is
// expected to need until one group is left. M, from 0 to below 1, is how much the first
// looks mislead: of the faults that fit all that can be seen in the operation with this
// fault, by prior, the share of those that are likelier than its own group. A fault that
// the looks point to first has M = 0; one in the shadow of likelier ones comes near 1.
// The formula is ours: common practice, no source.
type Difficulty struct {
	Fault   int
	Checks  float64 // N
	Mislead float64 // M
	Value   float64 // D
}

// Difficulties works out the difficulty of every fault that some check shows, the
// easiest first.
func Difficulties(m *diagnose.Model) ([]Difficulty, error) {
	needed, err := m.Needed(diagnose.ByChecks)
	if err != nil {
		return nil, err
	}
	mislead := misleading(m)
	var out []Difficulty
	for _, f := range Findable(m) {
		n := needed[f].Checks
		out = append(out, Difficulty{f, n, mislead[f], n * (1 + mislead[f])})
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Value < out[k].Value })
	return out, nil
}

// misleading works out M for every fault: faults are held against each other at every
// look of the operation that is a firm one for both.
func misleading(m *diagnose.Model) []float64 {
	faults := m.Faults()
	seen := make([]sights, len(faults))
	looks := 0
	for _, c := range m.Checks() {
		if c.Kind() != log.Look {
			continue
		}
		foretold, err := m.Foretold(c)
		if err != nil {
			continue
		}
		for f := range faults {
			seen[f].add(looks, foretold[f])
		}
		looks++
	}
	out := make([]float64, len(faults))
	for f := range faults {
		weight := make(map[int]float64) // by group
		for other := range faults {
			if seen[f].fit(seen[other]) {
				weight[m.Group(other)] += faults[other].Prior
			}
		}
		var all, likelier float64
		own := weight[m.Group(f)]
		for _, g := range sortedKeys(weight) {
			all += weight[g]
			if weight[g] > own*(1+1e-9) {
				likelier += weight[g]
			}
		}
		if all > 0 {
			out[f] = likelier / all
		}
	}
	return out
}

// sights are all looks at a panel with one fault, a bit each: whether it is a firm one, and
// whether it then shows something on.
type sights struct{ firm, on []uint64 }

// add adds a look, in the order of their numbers.
func (s *sights) add(look int, r log.Reading) {
	if look%64 == 0 {
		s.firm, s.on = append(s.firm, 0), append(s.on, 0)
	}
	bit := uint64(1) << (look % 64)
	if r.Firm {
		s.firm[look/64] |= bit
	}
	if r.On {
		s.on[look/64] |= bit
	}
}

// fit tells whether no look that is a firm one of both parts the two.
func (s sights) fit(t sights) bool {
	for i := range s.firm {
		if s.firm[i]&t.firm[i]&(s.on[i]^t.on[i]) != 0 {
			return false
		}
	}
	return true
}

func sortedKeys(weight map[int]float64) []int {
	var keys []int
	for k := range weight {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// Level is a third of a circuit's faults by difficulty.
type Level string

const (
	Easy   Level = "easy"   // the third that takes least
	Middle Level = "middle" // the third between
	Hard   Level = "hard"   // the third that takes most
)

// Levels are all levels, the easiest first.
var Levels = []Level{Easy, Middle, Hard}

// Third gives the difficulties of a level, out of all in rising order.
func Third(all []Difficulty, l Level) []Difficulty {
	i := slices.Index(Levels, l)
	return all[len(all)*i/len(Levels) : len(all)*(i+1)/len(Levels)]
}

// DifficultyOf gives the difficulty of one fault.
func DifficultyOf(m *diagnose.Model, fault int) (Difficulty, error) {
	all, err := Difficulties(m)
	if err != nil {
		return Difficulty{}, err
	}
	for _, d := range all {
		if d.Fault == fault {
			return d, nil
		}
	}
	return Difficulty{Fault: fault}, fmt.Errorf("%w: no check shows the fault", ErrNone)
}
