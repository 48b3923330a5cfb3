package training

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"

	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// ErrNone is the error of a wish that no fault fulfils.
var ErrNone = errors.New("no such fault")

// Wish says which hidden fault is wanted. The zero value takes any that a check shows.
type Wish struct {
	Kind  string // of faultmodel.Kinds; empty for any
	Level Level  // empty for any
	// Least and Most bound the difficulty; Most zero for no bound.
	Least, Most float64
	// Not are faults that were had before.
	Not []faultmodel.ID
	// Like, if not nil, is asked besides.
	Like func(fault int) bool
}

// Hide chooses a fault by its prior among those that are wished for. The error says
// which part of the wish nothing fulfils.
func Hide(m *diagnose.Model, w Wish, seed uint64) (int, error) {
	var pool []int
	if w.Level != "" || w.Least > 0 || w.Most > 0 {
		all, err := Difficulties(m)
		if err != nil {
			return 0, err
		}
		if w.Level != "" {
			all = Third(all, w.Level)
		}
		for _, d := range all {
			if d.Value >= w.Least && (w.Most == 0 || d.Value <= w.Most) {
				pool = append(pool, d.Fault)
			}
		}
	} else {
		pool = Findable(m)
	}
	for _, narrow := range []struct {
		keep func(f int) bool
		why  string
	}{
		{func(int) bool { return true }, "none of this circuit that a check shows is as difficult as that"},
		{func(f int) bool { return w.Kind == "" || m.Faults()[f].Effect.Kind() == w.Kind },
			fmt.Sprintf("none is of the kind %q in this circuit", w.Kind)},
		{func(f int) bool { return w.Like == nil || w.Like(f) }, "none of this circuit is as wished for"},
		{func(f int) bool { return !slices.Contains(w.Not, m.Faults()[f].ID) },
			"every such fault of this circuit has been had"},
	} {
		pool = slices.DeleteFunc(pool, func(f int) bool { return !narrow.keep(f) })
		if len(pool) == 0 {
			return 0, fmt.Errorf("%w: %s", ErrNone, narrow.why)
		}
	}
	slices.Sort(pool)
	return Draw(m, pool, rand.New(rand.NewPCG(seed, 1)).Float64()), nil
}

// Findable are the faults that some check shows.
func Findable(m *diagnose.Model) (shown []int) {
	for f := range m.Faults() {
		if !m.Hidden(f) {
			shown = append(shown, f)
		}
	}
	return shown
}

// Draw takes one of some faults, at least one, by their priors: the one at a share, from 0
// up to 1, of them all.
func Draw(m *diagnose.Model, faults []int, share float64) int {
	var sum float64
	for _, f := range faults {
		sum += m.Faults()[f].Prior
	}
	at := share * sum
	for _, f := range faults {
		if at -= m.Faults()[f].Prior; at < 0 {
			return f
		}
	}
	return faults[len(faults)-1]
}
