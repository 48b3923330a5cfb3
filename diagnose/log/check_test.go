package log

import (
	"deadrung/circuits"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
	b := coldStore(t)
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
		log := readLog(t, b, `{"cannot":`+test.a+`}`, `{"cannot":`+test.b+`}`)
		assert.Equal(t, test.same, b.Same(log.Entries[0], log.Entries[1]), "%s and %s", test.a, test.b)
	}
}

// A reading beside its check, as readings --json and a log have it.
func TestMarshalWith(t *testing.T) {
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
		assert.JSONEq(t, test.want, string(MarshalWith(test.check, test.r)))
	}
}

// A primary that is no part of the circuit is fed from elsewhere: no lead goes there, in
// whatever form the check comes, and no bonding wire is lifted.
func TestRefusedChecks(t *testing.T) {
	b := coldStore(t)
	for text, want := range map[string]string{
		`{"volts":["T1:H1","T1:X2"],"step":"store warm"}`: "T1:H1 is fed from outside this circuit",
		`{"ohms":["T1:X1","T1:H2"]}`:                      "T1:H2 is fed from outside this circuit",
		`{"ohms":["F1:1","F1:2"],"lifted":["T1:H1"]}`:     "T1:H1 is fed from outside this circuit",
		`{"ohms":["F1:1","F1:2"],"lifted":["PE:1"]}`:      "the bonding wires on PE:1 stay where they are",
	} {
		c, err := ParseCheck([]byte(text))
		require.NoError(t, err)
		_, err = b.NewEntry(c, nil)
		assert.ErrorContains(t, err, want, text)
		_, problems := b.ReadLog("a.log", []byte(`{"cannot":`+text+"}\n"))
		assert.ErrorContains(t, problems.Err(), want, text)
	}
}
