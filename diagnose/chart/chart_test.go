package chart

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// builtin is the model of a built-in circuit.
func builtin(t testing.TB, name string) *diagnose.Model {
	t.Helper()
	text, ok := circuits.BuiltinText(name)
	require.True(t, ok, name)
	return fromText(t, name, string(text))
}

// fromText is the model of a circuit file.
func fromText(t testing.TB, file, text string) *diagnose.Model {
	t.Helper()
	c, problems := read.Read(file, []byte(text))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(t.Context(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	return m
}

// follow walks a chart on a panel with one fault, and holds that every check on the way is
// the one that the guided search proposes after the same readings. It gives the end, and
// whether the way was followed to it.
func follow(t testing.TB, m *diagnose.Model, c *Chart, fault int, ghosts *rand.Rand) *Fork {
	t.Helper()
	f, log := c.Start, c.Start.Log
	meter := m.Meter(fault)
	for {
		turn := m.Turn(log, diagnose.Choosing{By: c.By, Most: -1})
		if f.Cut {
			return f
		}
		require.Equal(t, turn.Status, f.Turn.Status)
		require.Equal(t, turn.Left, f.Turn.Left)
		require.Equal(t, turn.Proved, f.Turn.Proved)
		if turn.Next == nil || turn.Proved {
			require.Empty(t, f.Ways)
			return f
		}
		check := turn.Next.Check
		require.Equal(t, check, f.Turn.Next.Check)
		r, err := meter.Read(check)
		require.NoError(t, err)
		if !r.Firm {
			most, err := m.Stray(check)
			require.NoError(t, err)
			r.On, r.Value = ghosts.IntN(2) == 1, ghosts.Float64()*most
		}
		r.Value, r.Firm = math.Round(r.Value*10)/10, true
		var way *Way
		for i := range f.Ways {
			if f.Ways[i].Takes(r) && (way == nil || way.Stray) {
				way = &f.Ways[i]
			}
		}
		require.NotNil(t, way, "%s: no way for %v at %s", m.Faults()[fault].ID, r, check)
		e, err := m.Book().NewEntry(check, &r)
		require.NoError(t, err)
		log.Entries = append(log.Entries[:len(log.Entries):len(log.Entries)], e)
		f = way.To
	}
}

func TestChartIsTheGuidedSearch(t *testing.T) {
	for _, name := range circuits.Builtin() {
		for _, by := range []diagnose.By{diagnose.ByMinutes, diagnose.ByChecks} {
			t.Run(fmt.Sprintf("%s/%d", name, by), func(t *testing.T) { followAll(t, builtin(t, name), by) })
		}
	}
	for seed := range uint64(6) {
		t.Run(fmt.Sprintf("panel %d", seed), func(t *testing.T) {
			followAll(t, fromText(t, "panel.yaml", generate.Panel(seed, generate.Options{Rungs: 3})),
				diagnose.ByChecks)
		})
	}
}

// followAll follows a chart to every fault of a panel.
func followAll(t *testing.T, m *diagnose.Model, by diagnose.By) {
	const rare = 1e-6 // ways of readings that nobody can foretell would else be most of the chart
	c := Of(m, log.Log{}, Options{By: by, Cut: rare})
	t.Logf("%d faults, %d forks, %d ends", len(m.Faults()), c.Forks, c.Ends)
	cut := 0.0
	for i, f := range m.Faults() {
		end := follow(t, m, c, i, rand.New(rand.NewPCG(1, uint64(i))))
		if end.Cut {
			cut += f.Prior
			continue
		}
		require.Contains(t, end.Turn.Left, i, f.ID)
	}
	assert.Less(t, cut, 0.01, "by weight, faults that the chart does not lead to")
}

// A cut chart is the whole one up to where it is cut, and a way is cut for a reason.
func TestChartCut(t *testing.T) {
	m := builtin(t, "two-lamp")
	whole := Of(m, log.Log{}, Options{})
	require.Zero(t, whole.Cuts)
	for _, o := range []Options{{Cut: 0.02}, {Cut: 0.2}, {Longest: 3}} {
		cut := Of(m, log.Log{}, o)
		require.Positive(t, cut.Cuts, o)
		require.Less(t, cut.Forks, whole.Forks)
		var walk func(whole, cut *Fork, made int)
		walk = func(whole, cut *Fork, made int) {
			if cut.Cut {
				long := o.Longest > 0 && made >= o.Longest
				require.True(t, cut.Odds < o.Cut || long, "%g", cut.Odds)
				require.Equal(t, whole.Turn.Left, cut.Turn.Left)
				return
			}
			require.Equal(t, whole.Turn.Next, cut.Turn.Next)
			require.Len(t, cut.Ways, len(whole.Ways))
			for i := range cut.Ways {
				require.Equal(t, whole.Ways[i].Answered, cut.Ways[i].Answered)
				walk(whole.Ways[i].To, cut.Ways[i].To, made+1)
			}
		}
		walk(whole.Start, cut.Start, 0)
	}
}

// The shares of the ways of a fork add up, and those of all ends to the whole.
func TestChartShares(t *testing.T) {
	const rounding = 1e-9
	for _, name := range []string{"cold-store-alarm", "mixed-lamps"} {
		c := Of(builtin(t, name), log.Log{}, Options{By: diagnose.ByChecks})
		var ends float64
		var walk func(f *Fork)
		walk = func(f *Fork) {
			var sum, odds float64
			for _, w := range f.Ways {
				sum += w.Probability
				odds += w.To.Odds
				walk(w.To)
			}
			if len(f.Ways) == 0 {
				ends += f.Odds
				return
			}
			require.InDelta(t, 1, sum, rounding, "%s", f.Turn.Next.Check)
			require.InDelta(t, f.Odds, odds, rounding)
		}
		walk(c.Start)
		require.InDelta(t, 1, ends, rounding)
	}
}

// A chart that begins at a complaint leads to every fault that shows it, and to no other.
func TestChartFromComplaint(t *testing.T) {
	m := builtin(t, "cold-store-alarm")
	e, err := m.Book().NewEntry(log.Check{Look: "B1", Step: "door left open"},
		&log.Reading{Kind: log.Look, Firm: true})
	require.NoError(t, err)
	c := Of(m, log.Log{Entries: []log.Entry{e}}, Options{})
	not := m.Disagreeing(e)
	reached := 0
	for i := range m.Faults() {
		if slices.Contains(not, i) {
			continue
		}
		reached++
		end := follow(t, m, c, i, rand.New(rand.NewPCG(2, uint64(i))))
		require.Contains(t, end.Turn.Left, i)
	}
	require.Equal(t, len(c.Start.Turn.Left), reached)
}

// A chart of a panel of a hundred rungs, in the size that is usual for it.
func BenchmarkChart(b *testing.B) {
	m := fromText(b, "panel.yaml", generate.Rungs(100))
	var history log.Log
	for _, c := range m.Complaints(1) {
		history.Entries = append(history.Entries, c.Entry)
	}
	for b.Loop() {
		c := Of(m, history, Options{Cut: 0.005, Longest: 12})
		b.ReportMetric(float64(c.Forks), "forks")
	}
}
