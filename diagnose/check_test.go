package diagnose

import (
	"context"
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Every check that may be proposed can be written down, and found again as the same.
func TestChecksRoundTrip(t *testing.T) {
	m := bare(t)
	checks := m.Checks()
	require.NotEmpty(t, checks)
	kinds := make(map[log.Kind]int)
	seen := make(map[string]bool)
	for i, c := range checks {
		kinds[c.Kind()]++
		assert.False(t, seen[c.String()], "%s stands twice", c)
		seen[c.String()] = true
		var back log.Check
		require.NoError(t, json.Unmarshal([]byte(c.String()), &back))
		assert.Equal(t, c, back)
		l, err := m.book.Locate(back)
		require.NoError(t, err)
		assert.Equal(t, m.book.Key(m.checks[i]), m.book.Key(l), "%s", c)
	}
	for _, k := range []log.Kind{log.Look, log.Volts, log.Ohms} {
		assert.Positive(t, kinds[k], "checks of %s", k)
	}
}

// Checks that are one and the same: leads exchanged, and with the power off two steps
// in which the operators are held alike; the first step where none is named.
func TestSameCheck(t *testing.T) {
	m := bare(t)
	key := func(c log.Check) any {
		l, err := m.book.Locate(c)
		require.NoError(t, err, "%s", c)
		return m.book.Key(l)
	}
	volts := func(a, b, step string) log.Check { return log.Check{Volts: terminals(a, b), Step: step} }
	ohms := func(a, b, step string, lifted ...string) log.Check {
		return log.Check{Ohms: terminals(a, b), Step: step, Lifted: terminals(lifted...)}
	}
	for _, test := range []struct {
		a, b log.Check
		same bool
	}{
		{volts("F1:1", "F1:2", "store warm"), volts("F1:2", "F1:1", "store warm"), true},
		{volts("F1:1", "F1:2", "store warm"), volts("F1:1", "F1:2", "mute pressed"), false},
		{volts("F1:1", "F1:2", "store warm"), ohms("F1:1", "F1:2", "store warm"), false},
		{ohms("F1:1", "F1:2", ""), ohms("F1:2", "F1:1", "door shut, cold"), true},
		{ohms("F1:1", "F1:2", "door just opened"), ohms("F1:1", "F1:2", "door left open"), true},
		{ohms("F1:1", "F1:2", "door left open"), ohms("F1:1", "F1:2", "mute pressed"), false},
		{ohms("F1:1", "F1:2", "door left open"), ohms("F1:1", "F1:2", "door left open", "F1:1"), false},
		{ohms("F1:1", "F1:2", "", "F1:1", "T1:X1"), ohms("F1:1", "F1:2", "", "T1:X1", "F1:1", "F1:1"), true},
		{log.Check{Look: "H1", Step: "store warm"}, log.Check{Look: "H1", Step: "store warm"}, true},
		{log.Check{Look: "H1", Step: "store warm"}, log.Check{Look: "B1", Step: "store warm"}, false},
	} {
		assert.Equal(t, test.same, key(test.a) == key(test.b), "%s and %s", test.a, test.b)
	}
}

// No check of the list needs a contactor pushed in, a protective device bridged or a lead
// where no wire lands (words: Cautions).
func TestChecksAreSafe(t *testing.T) {
	m := bare(t)
	for _, c := range m.Checks() {
		for _, at := range append(c.Leads(), c.Lifted...) {
			assert.True(t, m.panel.Wired(at), "%s: no wire lands on %s", c, at)
		}
		if c.Kind() == log.Look {
			kind := m.panel.Circuit.Device(c.Look).Type.Kind
			assert.Contains(t, []circuits.Kind{circuits.LoadKind, circuits.RelayKind}, kind, "%s", c)
		}
		assert.NotEqual(t, -1, m.panel.Circuit.Step(c.Step), "%s", c)
		if c.Kind() != log.Ohms {
			assert.Empty(t, c.Lifted, "wires are lifted with the power locked off only")
		}
	}
}

// bare is the cold-store alarm without faults.
func bare(t testing.TB) *Model {
	t.Helper()
	text, ok := circuits.BuiltinText("cold-store-alarm")
	require.True(t, ok)
	c, problems := read.Read("cold-store-alarm.yaml", text)
	require.NoError(t, problems.Err())
	return Bare(work.Assemble(c), nil, log.Rules{})
}

// The lines of a log.
const (
	hornOff  = `{"look":"B1","step":"door left open","saw":"off"}`
	coilOhms = `{"ohms":["CR1:A1","CR1:A2"],"read":2410}`
	undo     = `{"undo":true}`
)

// terminals are the terminals of these names.
func terminals(names ...string) []circuits.Terminal {
	var t []circuits.Terminal
	for _, n := range names {
		t = append(t, circuits.Terminal(n))
	}
	return t
}

// made is a model of a panel.
func made(p *work.Panel, faults []faultmodel.Fault, o Options) *Model {
	m, err := New(context.Background(), p, faults, o)
	if err != nil {
		panic(err)
	}
	return m
}

// Where the context has ended nothing is worked through, and while it is made the model can
// be stopped at any time; made to the end, all of it has been told.
func TestNewObeysTheContext(t *testing.T) {
	p := regular(t, 100)
	faults := faultmodel.List(p, faultmodel.Options{})
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := New(ctx, p, faults, Options{})
	require.ErrorIs(t, err, context.Canceled)

	var far Progress
	ctx, cancel = context.WithCancel(t.Context())
	go func() {
		for far.Share() < 0.2 {
			time.Sleep(time.Millisecond)
		}
		cancel()
	}()
	_, err = New(ctx, p, faults, Options{Progress: &far})
	require.ErrorIs(t, err, context.Canceled)
	assert.Less(t, far.Share(), 0.9)

	far = Progress{}
	p = regular(t, 10)
	_, err = New(t.Context(), p, faultmodel.List(p, faultmodel.Options{}), Options{Progress: &far})
	require.NoError(t, err)
	assert.InDelta(t, 1, far.Share(), 0)
}
