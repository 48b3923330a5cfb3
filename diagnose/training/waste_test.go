package training

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// lampAndTwoSwitches is small enough to work out by hand: each fault that leaves the
// lamp dark sits on one line from L to N.
const lampAndTwoSwitches = `
circuit: Lamp and two switches
devices:
  SRC: {type: supply, volts: 120}
  S1:  {type: selector-switch, positions: [off, on], contacts: [{no: [13, 14]}]}
  S2:  {type: selector-switch, positions: [off, on], contacts: [{no: [13, 14]}]}
  H1:  {type: lamp, kind: filament}
  H2:  {type: lamp, kind: filament}
wires:
  L: [[SRC:L, S1:13], [SRC:L, H2:1]]
  1: [S1:14, S2:13]
  2: [S2:14, H1:1]
  N: [SRC:N, H1:2, H2:2]
operation:
  - step: rest
    expect: {H1: off, H2: on}
  - step: both on
    set: {S1: on, S2: on}
    expect: {H1: on, H2: on}
`

// logOf reads lines as a log.
func logOf(t testing.TB, m *diagnose.Model, lines ...string) log.Log {
	t.Helper()
	var text []byte
	for _, l := range lines {
		text = append(append(text, l...), '\n')
	}
	history, problems := m.Book().ReadLog("log", text)
	require.Empty(t, problems)
	return history
}

// judged judges the last line of a log.
func judged(t testing.TB, m *diagnose.Model, lines ...string) Judged {
	t.Helper()
	log := logOf(t, m, lines...)
	j, err := Judge(m, log, len(log.Entries)-1, diagnose.ByChecks)
	require.NoError(t, err)
	return j
}

func smallModel(t testing.TB) *diagnose.Model {
	return modelFrom(t, "lamp", []byte(lampAndTwoSwitches))
}

const dark = `{"look":"H1","step":"both on","saw":"off","note":"known before the checks"}`

// TestBitsByHand: after a dark H1 beside a lit H2, the answer of volts at S2:13 is settled
// by each fault, so what it tells is the entropy of its two answers: full volts for what
// is open behind that point, none for what is open before it.
func TestBitsByHand(t *testing.T) {
	m := smallModel(t)
	lit := `{"look":"H2","step":"both on","saw":"on"}`
	before := []string{"open-SRC:L-S1:13", "open-S1:13-14", "stuck-S1-off", "open-S1:14-S2:13"}
	behind := []string{"open-S2:13-14", "stuck-S2-off", "open-S2:14-H1:1", "open-H1"}
	// The wire N to H1 carries H2 as well: with it open both are dark. It is not left.
	var left []int
	sum := func(ids []string) (all float64) {
		for _, id := range ids {
			f := faultOf(t, m, id)
			left = append(left, f)
			all += m.Faults()[f].Prior
		}
		return all
	}
	p, q := sum(before), sum(behind)
	slices.Sort(left)
	log := logOf(t, m, dark, lit)
	got := m.Left(log)
	slices.Sort(got)
	var names []string
	for _, f := range got {
		names = append(names, string(m.Faults()[f].ID))
	}
	require.Equal(t, left, got, "left: %v", names)
	j := judged(t, m, dark, lit, `{"volts":["S2:13","SRC:N"],"step":"both on","read":119.4}`)
	share := p / (p + q)
	assert.InDelta(t, -share*math.Log2(share)-(1-share)*math.Log2(1-share), j.Bits, 1e-3)
	assert.Equal(t, len(left), j.Before.Faults)
	assert.Equal(t, len(behind), j.After.Faults)
	assert.Equal(t, Useful, j.Waste)
	assert.InDelta(t, j.Before.Bits-j.After.Bits, j.Told, 1e-12)
	assert.InDelta(t, diagnose.ReadyMinutes+0.5, j.Minutes, 1e-9, "a lead in the panel, the other on the return")
}

// TestWaste: one check of each kind on the same circuit, with the reason.
func TestWaste(t *testing.T) {
	m := smallModel(t)
	lit := `{"look":"H2","step":"both on","saw":"on"}`
	for _, tt := range []struct {
		why  string
		want Waste
		log  []string
	}{
		{"H1 was dark from the start", Redundant, []string{dark, `{"look":"H1","step":"both on","saw":"off"}`}},
		{"at rest H1 is dark with everything that keeps it dark when on", Irrelevant, []string{dark, `{"look":"H1","step":"rest","saw":"off"}`}},
		{"H2 tells the supply from the line of H1", Useful, []string{dark, lit}},
		{"full volts at S2:14 tell that there are full volts before it", Redundant,
			[]string{dark, `{"volts":["S2:14","SRC:N"],"step":"both on","read":119.4}`,
				`{"volts":["S1:14","SRC:N"],"step":"both on","read":119.4}`}},
		{"lit H2 has the supply good", Redundant, []string{dark, lit, `{"volts":["SRC:L","SRC:N"],"step":"both on","read":119.9}`}},
		{"one open wire among many: first the middle of the line tells on which side it is", Premature,
			[]string{dark, lit, `{"ohms":["S2:14","H1:1"],"step":"both on","read":0.3}`}},
	} {
		assert.Equal(t, tt.want, judged(t, m, tt.log...).Waste, tt.why)
	}
}

// TestBestIsNeverWasted: whoever makes the checks that the guided search proposes, proofs
// included, wastes none, is led to the hidden fault, and no reading speaks against it.
func TestBestIsNeverWasted(t *testing.T) {
	for _, name := range []string{"two-lamp", "cold-store-alarm", "jog", "off-delay-fan", "mixed-lamps"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := modelOf(t, name)
			random := rand.New(rand.NewPCG(3, 3))
			for n := range 8 {
				f := random.IntN(len(m.Faults()))
				if m.Hidden(f) {
					continue
				}
				playBest(t, m, f, random.Uint64(), diagnose.By(n%2))
			}
		})
	}
}

// TestReadingsNeverMislead: the error of the meter is within what agrees, so a reading
// leaves the same faults possible as one without error.
func TestReadingsNeverMislead(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	random := rand.New(rand.NewPCG(11, 5))
	checks := m.Checks()
	for range 60 {
		f := random.IntN(len(m.Faults()))
		c := checks[random.IntN(len(checks))]
		s := NewSitting(m, f, random.Uint64())
		bring(t, s, c)
		shown, _, err := s.Check(c, "")
		require.NoError(t, err)
		if shown.Wanders || c.Kind() == log.Look {
			continue
		}
		exact, err := m.Meter(f).Found(c, s.worked)
		require.NoError(t, err)
		exact.Firm = true
		e, err := m.Book().NewEntry(c, &exact)
		require.NoError(t, err)
		want := m.Left(log.Log{Entries: []log.Entry{e}})
		got := m.Left(s.Log())
		assert.Equal(t, want, got, "%s with %s: %v for %v", c, m.Faults()[f].ID, shown.Reading.Value, exact.Value)
	}
}

// TestHintsGrow: a stronger hint tells all that a weaker one does, and more; none tells the
// check itself before the strongest.
func TestHintsGrow(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	log := logOf(t, m, `{"look":"B1","step":"door left open","saw":"off","note":"known before the checks"}`)
	best := m.Turn(log, diagnose.Choosing{}).Next.Check
	one, two, three := HintFor(m, log, 1, diagnose.ByMinutes), HintFor(m, log, 2, diagnose.ByMinutes),
		HintFor(m, log, 3, diagnose.ByMinutes)
	assert.Equal(t, best.Kind(), one.Kind)
	assert.NotEmpty(t, one.Place)
	assert.Empty(t, one.Device+one.Step)
	assert.NotEmpty(t, two.Device)
	assert.Equal(t, best.Step, two.Step)
	assert.Zero(t, two.Check.Kind())
	assert.Equal(t, best, three.Check)
}

// TestDifficulty: D = N (1 + M), by hand where the looks leave one line of faults: the
// likeliest group of it is not misleading, and M of any other is the share of what is
// likelier.
func TestDifficulty(t *testing.T) {
	m := smallModel(t)
	all, err := Difficulties(m)
	require.NoError(t, err)
	at := map[string]Difficulty{}
	for i, d := range all {
		assert.InDelta(t, d.Checks*(1+d.Mislead), d.Value, 1e-12)
		assert.GreaterOrEqual(t, d.Mislead, 0.0)
		assert.Less(t, d.Mislead, 1.0)
		assert.Positive(t, d.Checks)
		if i > 0 {
			assert.GreaterOrEqual(t, d.Value, all[i-1].Value)
		}
		at[string(m.Faults()[d.Fault].ID)] = d
	}
	line := []string{"open-SRC:L-S1:13", "open-S1:13-14", "stuck-S1-off", "open-S1:14-S2:13",
		"open-S2:13-14", "stuck-S2-off", "open-S2:14-H1:1", "open-H1"}
	weight := map[int]float64{}
	var sum float64
	for _, id := range line {
		f := faultOf(t, m, id)
		weight[m.Group(f)] += m.Faults()[f].Prior
		sum += m.Faults()[f].Prior
	}
	assert.Zero(t, at["open-H1"].Mislead, "a filament is the likeliest of the line")
	for _, id := range line {
		own := weight[m.Group(faultOf(t, m, id))]
		var likelier float64
		for _, w := range weight {
			if w > own*(1+1e-9) {
				likelier += w
			}
		}
		assert.InDelta(t, likelier/sum, at[id].Mislead, 1e-9, id)
	}
	n := 0
	for _, l := range Levels {
		n += len(Third(all, l))
	}
	assert.Len(t, all, n)
}

// TestHide: the hidden fault is as wished for, the same by the same seed, and by its odds.
func TestHide(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	for seed := range uint64(30) {
		f, err := Hide(m, Wish{Kind: "open-wire"}, seed)
		require.NoError(t, err)
		assert.Equal(t, "open-wire", m.Faults()[f].Effect.Kind())
		again, _ := Hide(m, Wish{Kind: "open-wire"}, seed)
		assert.Equal(t, f, again)
		hard, err := Hide(m, Wish{Level: Hard}, seed)
		require.NoError(t, err)
		easy, err := Hide(m, Wish{Level: Easy}, seed)
		require.NoError(t, err)
		dh, _ := DifficultyOf(m, hard)
		de, _ := DifficultyOf(m, easy)
		assert.GreaterOrEqual(t, dh.Value, de.Value)
	}
	_, err := Hide(m, Wish{Least: 1000}, 1)
	assert.ErrorIs(t, err, ErrNone)
	_, err = Hide(m, Wish{Kind: "miswired"}, 1)
	assert.ErrorContains(t, err, `none is of the kind "miswired"`)
	count := map[int]int{}
	for seed := range uint64(4000) {
		f, err := Hide(m, Wish{}, seed)
		require.NoError(t, err)
		count[f]++
	}
	lamp := faultOf(t, m, "open-H1")
	assert.InDelta(t, 4000*m.Faults()[lamp].Prior, count[lamp], 80, "by its odds")
}
