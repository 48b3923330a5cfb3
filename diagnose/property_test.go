package diagnose

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/generate"
	"deadrung/diagnose/log"
)

// Properties that must hold on any panel, tried on random ones.

// randomRungs are the sizes of the random panels, by seed. Large ones take long, so there
// are few of them.
var randomRungs = []int{2, 3, 4, 5, 6, 7, 8, 2, 3, 4, 5, 6, 2, 3, 4, 5, 6, 12, 2, 3, 4, 5, 10, 3, 4}

const shortPanels = 5 // with -short

// onRandomPanels runs a test on every random panel, several at once.
func onRandomPanels(t *testing.T, test func(t *testing.T, seed uint64, m *Model)) {
	t.Helper()
	sizes := randomRungs
	if testing.Short() {
		sizes = sizes[:shortPanels]
	}
	for i, rungs := range sizes {
		seed := uint64(i)
		t.Run(fmt.Sprintf("seed %d of %d rungs", seed, rungs), func(t *testing.T) {
			t.Parallel()
			text := generate.Panel(seed, generate.Options{Rungs: rungs})
			test(t, seed, fromText(t, "generated.yaml", text))
		})
	}
}

// sessions runs the truthful sessions of all faults of a model, as truthful does for one.
// Those that have had the same answers so far share their turns. visit is called at
// every turn with the faults that it is the turn of.
type sessions struct {
	m      *Model
	by     By
	seed   uint64
	meters []*Meter
	visit  func(faults []int, s session)
}

func (all *sessions) run(t testing.TB) {
	t.Helper()
	faults := make([]int, len(all.m.faults))
	all.meters = make([]*Meter, len(faults))
	for i := range faults {
		faults[i] = i
		all.meters[i] = all.m.Meter(i)
	}
	all.from(t, faults, session{})
}

// from goes on with the faults that have had the answers of a session.
func (all *sessions) from(t testing.TB, faults []int, s session) {
	t.Helper()
	s.last = all.m.Turn(s.log, Choosing{By: all.by})
	all.visit(faults, s)
	if s.last.Status != Continue {
		return
	}
	require.NotNil(t, s.last.Next)
	require.Less(t, s.checks, 60, "the loop does not end")
	c := s.last.Next.Check
	at, err := all.m.book.Locate(c)
	require.NoError(t, err)
	made := 0
	for _, e := range s.log.Entries {
		if all.m.book.Key(e.Located()) == all.m.book.Key(at) {
			made++
		}
	}
	require.LessOrEqual(t, made, 1, "%s is proposed a third time", c) // once more where a verdict is thin
	var answers []log.Reading
	answered := make(map[log.Reading][]int)
	for _, f := range faults {
		r, err := all.meters[f].Read(c)
		require.NoError(t, err)
		r = all.shown(at, r)
		if answered[r] == nil {
			answers = append(answers, r)
		}
		answered[r] = append(answered[r], f)
	}
	s.checks++
	s.minutes += s.last.Next.Minutes
	for _, r := range answers {
		e, err := all.m.book.NewEntry(c, &r)
		require.NoError(t, err)
		next := s
		next.log.Entries = append(slices.Clone(s.log.Entries), e)
		all.from(t, answered[r], next)
	}
}

// shown is a reading as the meter shows it: rounded, and a voltage that is not firm is
// anything up to half of the supply.
func (all *sessions) shown(at log.Located, r log.Reading) log.Reading {
	if !r.Firm && r.Kind == log.Volts {
		h := fnv.New64a()
		h.Write([]byte(fmt.Sprint(all.m.book.Key(at))))
		r.Value = rand.New(rand.NewPCG(all.seed, h.Sum64())).Float64() * 0.5 * all.m.nominal(at.A, at.B)
	}
	r.Value = math.Round(r.Value*100) / 100
	r.Firm = true // nobody at the meter sees whether it is
	return r
}

func TestRandomPanelsEndInTheGroup(t *testing.T) {
	onRandomPanels(t, func(t *testing.T, seed uint64, m *Model) {
		for _, by := range []By{ByChecks, ByMinutes} {
			ended := 0
			all := sessions{m: m, by: by, seed: seed}
			all.visit = func(faults []int, s session) {
				for _, f := range faults {
					require.Contains(t, s.last.Left, f, "%s is ranked out by true readings", m.faults[f].ID)
				}
				if s.last.Status != Continue {
					ended += len(faults)
					for _, f := range faults {
						endsHidden(t, m, f, s)
					}
				}
			}
			all.run(t)
			require.Equal(t, len(m.faults), ended)
		}
	})
}

// endsHidden is endsInGroup, but for one way in which a fault of the good circuit's group
// can end. It is told from the good circuit by no check, or only by way of others in the
// group whose readings there are not firm; so a reading may rule the good circuit out all
// the same, and what is left of the group is the verdict.
func endsHidden(t testing.TB, m *Model, fault int, s session) {
	t.Helper()
	if !m.Hidden(fault) || s.last.Status == Healthy {
		endsInGroup(t, m, fault, s)
		return
	}
	f := m.faults[fault]
	require.Contains(t, []Status{Found, GroupLeft, Unlisted}, s.last.Status, f.ID)
	require.Zero(t, s.last.Wrong, "%s: true readings disagree with what is left", f.ID)
	require.False(t, s.last.GoodLeft, f.ID)
	require.Contains(t, s.last.Left, fault, "%s is ranked out by true readings", f.ID)
	for _, other := range s.last.Left {
		require.True(t, m.Hidden(other), "%s is left with %s", f.ID, m.faults[other].ID)
	}
}

// What is believed depends on what was read, not on the order in which it was.
func TestRandomPanelsOrderOfTheLog(t *testing.T) {
	onRandomPanels(t, func(t *testing.T, seed uint64, m *Model) {
		if slices.ContainsFunc(m.left, func(seconds float64) bool { return seconds > 0 }) {
			t.Skip("where a timer runs on, the order tells how much time has passed")
		}
		r := rand.New(rand.NewPCG(seed, 0))
		checks := m.Checks()
		for range 20 {
			log := m.randomLog(t, r, checks, 2+r.IntN(8))
			want := m.believe(log).candidates(1)
			r.Shuffle(len(log.Entries), func(i, k int) {
				log.Entries[i], log.Entries[k] = log.Entries[k], log.Entries[i]
			})
			assert.Equal(t, want, m.believe(log).candidates(1))
		}
	})
}

// randomLog answers different checks, each for some fault or other: readings that no one
// fault explains are in it as well.
func (m *Model) randomLog(t testing.TB, r *rand.Rand, checks []log.Check, n int) log.Log {
	t.Helper()
	var history log.Log
	made := make(map[log.Key]bool)
	for len(history.Entries) < n {
		e, err := m.book.NewEntry(checks[r.IntN(len(checks))], nil)
		require.NoError(t, err)
		if k := m.book.Key(e.Located()); made[k] {
			continue
		} else {
			made[k] = true
		}
		answer := m.foretell(r.IntN(len(m.faults)+1)-1, e.Located())
		e.Answer = &answer
		history.Entries = append(history.Entries, e)
	}
	return history
}
