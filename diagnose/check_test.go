package diagnose

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
)

func terminals(names ...string) []circuits.Terminal {
	var t []circuits.Terminal
	for _, n := range names {
		t = append(t, circuits.Terminal(n))
	}
	return t
}

// A check in its JSON form, there and back.
func TestCheckJSON(t *testing.T) {
	for _, test := range []struct {
		json  string
		check Check
		kind  Kind
		leads []circuits.Terminal
	}{
		{`{"look":"H1","step":"door left open"}`, Check{Look: "H1", Step: "door left open"}, Look, nil},
		{`{"volts":["CR1:11","T1:X2"],"step":"mute released"}`,
			Check{Volts: terminals("CR1:11", "T1:X2"), Step: "mute released"}, Volts, terminals("CR1:11", "T1:X2")},
		{`{"ohms":["CR1:A1","CR1:A2"],"step":"mute pressed"}`,
			Check{Ohms: terminals("CR1:A1", "CR1:A2"), Step: "mute pressed"}, Ohms, terminals("CR1:A1", "CR1:A2")},
		{`{"ohms":["CR1:A1","CR1:A2"],"lifted":["CR1:A1"],"step":"mute pressed"}`,
			Check{Ohms: terminals("CR1:A1", "CR1:A2"), Lifted: terminals("CR1:A1"), Step: "mute pressed"}, Ohms, terminals("CR1:A1", "CR1:A2")},
		{`{"ohms":["CR1:A1","CR1:A2"]}`, Check{Ohms: terminals("CR1:A1", "CR1:A2")}, Ohms, terminals("CR1:A1", "CR1:A2")},
	} {
		var c Check
		require.NoError(t, json.Unmarshal([]byte(test.json), &c), test.json)
		assert.Equal(t, test.check, c)
		assert.JSONEq(t, test.json, c.String())
		assert.Equal(t, test.kind, c.Kind())
		assert.Equal(t, test.leads, c.Leads())
		parsed, err := ParseCheck([]byte(test.json))
		require.NoError(t, err)
		assert.Equal(t, c, parsed)
		b, err := json.Marshal(c)
		require.NoError(t, err)
		assert.Equal(t, test.json, string(b), "the keys in the order of the page")
	}
	assert.Zero(t, Check{}.Kind())
}

// What is wrong with a check's form is told in the words of the form.
func TestParseCheckMistakes(t *testing.T) {
	for text, want := range map[string]string{
		``:                           "the check breaks off",
		`{"look":"H1"`:               "the check breaks off",
		`H1`:                         "this is not a JSON object: 'H' is not expected here",
		`[]`:                         "a check is a JSON object, not an array",
		`"H1"`:                       "a check is a JSON object, not a text in quotes",
		`7`:                          "a check is a JSON object, not a number",
		`true`:                       "a check is a JSON object, not true or false",
		`{"lamp":"H1"}`:              `a check has no "lamp"`,
		`{"look":["H1"]}`:            `"look" must not be an array`,
		`{"ohms":"F1:1"}`:            `"ohms" must not be a text in quotes`,
		`{"low-impedance":1}`:        `"low-impedance" must not be a number`,
		`{"look":"H1","step":"a"}{}`: "more than one value in the check",
	} {
		_, err := ParseCheck([]byte(text))
		assert.EqualError(t, err, want, text)
	}
}

// One and the same check, however it is written.
func TestSame(t *testing.T) {
	m := bare(t)
	for _, test := range []struct {
		a, b string
		same bool
	}{
		{`{"look":"B1","step":"store warm"}`, `{"look":"B1","step":"store warm"}`, true},
		{`{"look":"B1","step":"store warm"}`, `{"look":"B1","step":"mute pressed"}`, false},
		{`{"look":"B1","step":"store warm"}`, `{"look":"H1","step":"store warm"}`, false},
		{`{"volts":["F1:1","T1:X2"],"step":"store warm"}`, `{"volts":["T1:X2","F1:1"],"step":"store warm"}`, true},
		{`{"volts":["F1:1","T1:X2"],"step":"store warm"}`, `{"volts":["F1:2","T1:X2"],"step":"store warm"}`, false},
		{`{"ohms":["F1:1","F1:2"]}`, `{"ohms":["F1:2","F1:1"],"step":"door shut, cold"}`, true},
		{`{"ohms":["F1:1","F1:2"]}`, `{"ohms":["F1:1","F1:2"],"lifted":["F1:1"]}`, false},
	} {
		log := readLog(t, m, `{"cannot":`+test.a+`}`, `{"cannot":`+test.b+`}`)
		assert.Equal(t, test.same, m.Same(log.Entries[0], log.Entries[1]), "%s and %s", test.a, test.b)
	}
}

// A reading beside its check, as readings --json and a log have it.
func TestMarshalCheckWith(t *testing.T) {
	look := Check{Look: "H1", Step: "store warm"}
	volts := Check{Volts: terminals("CR1:22", "T1:X2"), Step: "store warm"}
	ohms := Check{Ohms: terminals("H1:1", "H1:2"), Lifted: terminals("H1:1")}
	for _, test := range []struct {
		check Check
		r     Reading
		want  string
	}{
		{look, Reading{Kind: Look, On: true, Firm: true}, `{"look":"H1","step":"store warm","saw":"on"}`},
		{look, Reading{Kind: Look, Firm: true}, `{"look":"H1","step":"store warm","saw":"off"}`},
		{look, Reading{Kind: Look}, `{"look":"H1","step":"store warm","saw":"off","firm":false}`},
		{volts, Reading{Kind: Volts, Value: 119.98765, Firm: true}, `{"volts":["CR1:22","T1:X2"],"step":"store warm","read":119.9877}`},
		{volts, Reading{Kind: Volts}, `{"volts":["CR1:22","T1:X2"],"step":"store warm","read":0,"firm":false}`},
		{ohms, Reading{Kind: Ohms, Value: OL, Firm: true}, `{"ohms":["H1:1","H1:2"],"lifted":["H1:1"],"read":"OL"}`},
		{ohms, Reading{Kind: Ohms, Value: 480, Firm: true}, `{"ohms":["H1:1","H1:2"],"lifted":["H1:1"],"read":480}`},
	} {
		assert.JSONEq(t, test.want, string(MarshalCheckWith(test.check, test.r)))
	}
}

// Every check that may be proposed can be written down, and found again as the same.
func TestChecksRoundTrip(t *testing.T) {
	m := bare(t)
	checks := m.Checks()
	require.NotEmpty(t, checks)
	kinds := make(map[Kind]int)
	seen := make(map[string]bool)
	for i, c := range checks {
		kinds[c.Kind()]++
		assert.False(t, seen[c.String()], "%s stands twice", c)
		seen[c.String()] = true
		var back Check
		require.NoError(t, json.Unmarshal([]byte(c.String()), &back))
		assert.Equal(t, c, back)
		l, err := m.locate(back)
		require.NoError(t, err)
		assert.Equal(t, m.key(m.checks[i]), m.key(l), "%s", c)
	}
	for _, k := range []Kind{Look, Volts, Ohms} {
		assert.Positive(t, kinds[k], "checks of %s", k)
	}
}

// Checks that are one and the same: leads exchanged, and with the power off two steps
// in which the operators are held alike; the first step where none is named.
func TestSameCheck(t *testing.T) {
	m := bare(t)
	key := func(c Check) any {
		l, err := m.locate(c)
		require.NoError(t, err, "%s", c)
		return m.key(l)
	}
	volts := func(a, b, step string) Check { return Check{Volts: terminals(a, b), Step: step} }
	ohms := func(a, b, step string, lifted ...string) Check {
		return Check{Ohms: terminals(a, b), Step: step, Lifted: terminals(lifted...)}
	}
	for _, test := range []struct {
		a, b Check
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
		{Check{Look: "H1", Step: "store warm"}, Check{Look: "H1", Step: "store warm"}, true},
		{Check{Look: "H1", Step: "store warm"}, Check{Look: "B1", Step: "store warm"}, false},
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
		if c.Kind() == Look {
			kind := m.panel.Circuit.Device(c.Look).Type.Kind
			assert.Contains(t, []circuits.Kind{circuits.LoadKind, circuits.RelayKind}, kind, "%s", c)
		}
		assert.NotEqual(t, -1, m.panel.Circuit.Step(c.Step), "%s", c)
		if c.Kind() != Ohms {
			assert.Empty(t, c.Lifted, "wires are lifted with the power locked off only")
		}
	}
}
