package faultmodel

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

// everyKind is a circuit that has every kind of fault.
const everyKind = `circuit: Every kind of fault
places: {pit: 6}
devices:
  G1: {type: supply, volts: 240}
  PE: {type: ground}
  Q1: {type: breaker, amps: 6}
  T1: {type: control-transformer, volts: 120, primary-volts: 240}
  F1: {type: fuse, amps: 3}
  PB1: {type: push-button, place: door, contacts: [{nc: [11, 12]}]}
  SS1: {type: selector-switch, place: door, positions: [off, hand, auto mode], contacts: [{terminals: [1, 2], closed: [hand, auto mode]}, {terminals: [3, 4], closed: [hand]}]}
  LS1: {type: limit-switch, place: field, contacts: [{no: [13, 14]}]}
  PX1: {type: proximity-switch, place: pit, odds: 3, contacts: [{no: [13, 14]}]}
  OL1: {type: overload-relay}
  CR1: {type: relay, contacts: [{common: 11, nc: 12, no: 14}, {common: 21, nc: 22, no: 24}]}
  1M: {type: contactor, contacts: [{no: [13, 14]}]}
  TR1: {type: timer, seconds: 5, contacts: [{common: 15, nc: 16, no: 18, timed: true}, {no: [23, 24]}]}
  TR2: {type: timer, seconds: 5, contacts: [{no: [23, 24]}], note: no timed contact is wired}
  X1: {type: connector, pins: [1, 2, 3]}
  TB1: {type: terminal-block, terminals: [1, 2, 3], bridges: [[1, 2]]}
  H1: {type: lamp, place: door}
  H2: {type: lamp, kind: led, place: door}
  B1: {type: horn, place: pit}
  Y1: {type: solenoid, place: field}
  M2: {type: motor}
wires:
  1L: [G1:L, Q1:1]
  2L: [Q1:2, T1:H1]
  N: [G1:N, T1:H2]
  1: [T1:X1, F1:1]
  2:
    - [T1:X2, CR1:A2, 1M:A2, TR1:A2, TR2:A2, H1:2, H2:2, B1:2, Y1:2, M2:2]
    - [T1:X2, PE:1]
  3: [F1:2, PB1:11, SS1:1, LS1:13, CR1:11, CR1:21]
  4: [PB1:12, OL1:95]
  5: [OL1:96, CR1:A1]
  6: [SS1:2, TB1:3, PX1:13]
  7: [PX1:14, 1M:A1]
  8:
    - [LS1:14, TB1:1]
    - [TB1:2, TR1:A1, TR1:15, TR1:23, TR2:A1, TR2:23]
  10: [TR1:18, H1:1]
  11: [TR1:24, H2:1]
  12: [CR1:14, X1:1a]
  13: [X1:1b, B1:1]
  14: [CR1:12, Y1:1]
  "15": [CR1:24, 1M:13]
  16/A: [1M:14, M2:1, TR2:24]
operation:
  - step: at rest
`

// panel reads a circuit.
func panel(t testing.TB, text string) *work.Panel {
	t.Helper()
	c, problems := read.Read("a.yaml", []byte(text))
	require.NoError(t, problems.Err())
	return work.Assemble(c)
}

func list(t testing.TB, text string, o Options) []Fault {
	t.Helper()
	return List(panel(t, text), o)
}

// byEffect finds the one fault with an effect, written as the interface writes it.
func byEffect(t *testing.T, faults []Fault, effect string) *Fault {
	t.Helper()
	var found *Fault
	for i := range faults {
		if effectOf(t, faults[i]) == effect {
			require.Nil(t, found, "%s is listed twice", effect)
			found = &faults[i]
		}
	}
	return found
}

func effectOf(t testing.TB, f Fault) string {
	t.Helper()
	b, err := json.Marshal(f.Effect)
	require.NoError(t, err)
	return string(b)
}

// Every form of an effect that the interface promises, to the letter, with the weight
// of its row in the table of weights.
func TestEffectsAndWeights(t *testing.T) {
	faults := list(t, everyKind, Options{})
	for _, test := range []struct {
		effect string
		id     ID
		weight float64
		row    string // of the page
	}{
		{`{"open-wire":{"wire":"4","from":"PB1:12","to":"OL1:95"}}`, "open-PB1:12-OL1:95", 1.3, "wire or either of its terminations open, each"},
		{`{"open-wire":{"wire":"2","from":"T1:X2","to":"PE:1"}}`, "open-T1:X2-PE:1", 1.3, "wire open, the bond as any other"},
		{`{"open-wire":{"wire":"8","from":"LS1:14","to":"TB1:1"}}`, "open-LS1:14-TB1:1", 2.6, "field wiring twice"},
		{`{"open-wire":{"wire":"13","from":"X1:1b","to":"B1:1"}}`, "open-X1:1b-B1:1", 2.6, "field wiring twice, at any place outside"},
		{`{"open-wire":{"wire":"6","from":"TB1:3","to":"PX1:13"}}`, "open-TB1:3-PX1:13", 3 * 2.6, "field wiring twice, odds: 3 multiplies"},

		{`{"open-contact":["LS1:13","LS1:14"]}`, "open-LS1:13-14", 6, "limit, pressure, float, temperature, flow switch: contact open"},
		{`{"closed-contact":["LS1:13","LS1:14"]}`, "closed-LS1:13-14", 1.5, "the same: stuck closed"},
		{`{"open-contact":["PX1:13","PX1:14"]}`, "open-PX1:13-14", 18, "as a limit switch, odds: 3 multiplies"},
		{`{"closed-contact":["PX1:13","PX1:14"]}`, "closed-PX1:13-14", 4.5, "as a limit switch, odds: 3 multiplies"},
		{`{"open-contact":["PB1:11","PB1:12"]}`, "open-PB1:11-12", 3, "push button contact open"},
		{`{"closed-contact":["PB1:11","PB1:12"]}`, "closed-PB1:11-12", 0.7, "push button contact closed"},
		{`{"open-contact":["SS1:1","SS1:2"]}`, "open-SS1:1-2", 3, "selector contact open"},
		{`{"closed-contact":["SS1:1","SS1:2"]}`, "closed-SS1:1-2", 0.7, "selector contact closed"},
		{`{"open-contact":["CR1:11","CR1:14"]}`, "open-CR1:11-14", 3, "relay contact: NO open"},
		{`{"closed-contact":["CR1:11","CR1:14"]}`, "closed-CR1:11-14", 0.7, "relay contact: welded"},
		{`{"open-contact":["CR1:11","CR1:12"]}`, "open-CR1:11-12", 2, "relay contact: NC open"},
		{`{"closed-contact":["CR1:11","CR1:12"]}`, "closed-CR1:11-12", 0.7, "relay contact: welded"},
		{`{"open-contact":["1M:13","1M:14"]}`, "open-1M:13-14", 2 * 3, "contactor contact: NO open, a starter twice"},
		{`{"open-contact":["TR1:15","TR1:18"]}`, "open-TR1:15-18", 3, "timer contact: NO open"},
		{`{"open-contact":["OL1:95","OL1:96"]}`, "open-OL1:95-96", 1, "overload: its contact open though reset"},

		{`{"open-load":"CR1"}`, "open-CR1", 2, "relay or contactor coil open"},
		{`{"shorted-load":"CR1"}`, "shorted-CR1", 0.7, "relay or contactor coil shorted"},
		{`{"open-load":"1M"}`, "open-1M", 2 * 2, "relay or contactor coil open, a starter twice"},
		{`{"open-load":"TR1"}`, "open-TR1", 2, "as a relay coil"},
		{`{"open-load":"H1"}`, "open-H1", 8, "filament lamp open"},
		{`{"open-load":"H2"}`, "open-H2", 1, "LED lamp open"},
		{`{"open-load":"B1"}`, "open-B1", 2, "horn open"},
		{`{"open-load":"Y1"}`, "open-Y1", 2, "solenoid open"},
		{`{"open-load":"M2"}`, "open-M2", 2, "as a solenoid"},
		{`{"shorted-load":"H1"}`, "shorted-H1", 0.3, "any load shorted"},
		{`{"shorted-load":"B1"}`, "shorted-B1", 0.3, "any load shorted"},
		{`{"shorted-load":"Y1"}`, "shorted-Y1", 1, "solenoid: as many shorted or slow as open"},
		{`{"shorted-load":"M2"}`, "shorted-M2", 0.3, "any load shorted"},

		{`{"stuck":"CR1","position":"released"}`, "stuck-CR1-released", 1, "armature stuck"},
		{`{"stuck":"CR1","position":"operated"}`, "stuck-CR1-operated", 1, "armature stuck"},
		{`{"stuck":"TR1","position":"never"}`, "stuck-TR1-never", 3, "timer: never times out"},
		{`{"stuck":"TR1","position":"at-once"}`, "stuck-TR1-at-once", 1, "timer: times out at once"},
		{`{"stuck":"OL1","position":"tripped"}`, "stuck-OL1-tripped", 5, "overload tripped"},
		{`{"stuck":"PB1","position":"released"}`, "stuck-PB1-released", 0.5, "judgement: the operator does not move its contacts"},
		{`{"stuck":"SS1","position":"auto mode"}`, "stuck-SS1-auto-mode", 0.5, "judgement: the operator does not move its contacts"},

		{`{"open-link":"F1"}`, "open-F1", 4, "fuse blown, as a fault of its own"},
		{`{"open-link":"Q1"}`, "open-Q1", 4, "breaker tripped"},
		{`{"open-link":"X1:1"}`, "open-X1:1", 1, "connector pin open"},
		{`{"open-link":"TB1:1-2"}`, "open-TB1:1-2", 1, "terminal-block bridge open"},

		{`{"dead-source":"G1"}`, "dead-G1", 3, "judgement: as a transformer's feed"},
		{`{"dead-source":"T1","winding":"secondary"}`, "dead-T1-secondary", 0.7, "control transformer winding open"},
		{`{"dead-source":"T1","winding":"primary"}`, "dead-T1-primary", 3, "primary or its feed open"},

		{`{"short":["3","4"]}`, "short-3-4", 0.05, "two wire numbers touching, where both land on one device"},
		{`{"short":["6","8"]}`, "short-6-8", 0.05, "two wire numbers touching, where both land on one terminal block"},
		{`{"ground":"1"}`, "ground-1", 0.03, "one wire that stays in the panel: a tenth"},
		{`{"ground":"13"}`, "ground-13", 0.3, "one wire that leaves the panel"},
		// F1 to the door, from there to the door, on to the field, back to the panel, one inside.
		{`{"ground":"3"}`, "ground-3", 4*0.3 + 0.03, "per wire that leaves the panel, others a tenth"},
	} {
		f := byEffect(t, faults, test.effect)
		if !assert.NotNil(t, f, "%s: %s is not listed", test.row, test.effect) {
			continue
		}
		assert.Equal(t, test.id, f.ID, test.effect)
		assert.InDelta(t, test.weight, f.Weight, 1e-12, "%s: %s", test.effect, test.row)
	}
}

// What cannot be wrong, or is no fault of its own, is not in the list.
func TestNotListed(t *testing.T) {
	faults := list(t, everyKind, Options{})
	for _, test := range []struct{ effect, why string }{
		{`{"open-contact":["SS1:3","SS1:4"]}`, "a spare contact"},
		{`{"closed-contact":["CR1:21","CR1:22"]}`, "the spare half of a changeover"},
		{`{"open-contact":["TR1:15","TR1:16"]}`, "the spare half of a timed changeover"},
		{`{"open-contact":["OL1:97","OL1:98"]}`, "a spare contact"},
		{`{"stuck":"TR2","position":"never"}`, "a timer of which no timed contact is wired"},
		{`{"open-link":"X1:3"}`, "a spare pin"},
		{`{"ground":"2"}`, "the number that is bonded"},
		{`{"dead-source":"G1","winding":"primary"}`, "a supply has no winding"},
		{`{"short":["1","3"]}`, "listed: both land on F1"},
		{`{"short":["1","4"]}`, "two numbers that land on no device together"},
	} {
		f := byEffect(t, faults, test.effect)
		if strings.HasPrefix(test.why, "listed") {
			assert.NotNil(t, f, "%s: %s", test.effect, test.why)
		} else {
			assert.Nil(t, f, "%s: %s", test.effect, test.why)
		}
	}
	for _, f := range faults {
		assert.Nil(t, f.Effect.Miswired, "%s: only with the option", f.ID)
		assert.Nil(t, f.Effect.Exchanged, "%s: only with the option", f.ID)
	}

	// Without bonded metalwork nothing can touch it.
	bare := strings.Replace(strings.Replace(everyKind, "  PE: {type: ground}\n", "", 1),
		"    - [T1:X2, PE:1]\n", "", 1)
	for _, f := range list(t, bare, Options{}) {
		assert.Empty(t, f.Effect.Ground, "%s", f.ID)
	}
}

// A transformer whose primary is on no wire has its feed's faults all the same.
func TestPrimaryFedFromOutside(t *testing.T) {
	faults := list(t, `circuit: Fed from outside
devices:
  T1: {type: control-transformer, volts: 120}
  H1: {type: lamp}
wires:
  1: [T1:X1, H1:1]
  2: [T1:X2, H1:2]
operation: [{step: a}]
`, Options{})
	f := byEffect(t, faults, `{"dead-source":"T1","winding":"primary"}`)
	require.NotNil(t, f)
	assert.Equal(t, "the primary of transformer T1 or its feed is open", f.Text)
	assert.InDelta(t, 3, f.Weight, 1e-12)
}

// --wiring-errors adds ends on another terminal of the same device, of which NO used for
// NC is one, and the wires of two terminals exchanged; weighed as an open wire.
func TestWiringErrors(t *testing.T) {
	without := list(t, everyKind, Options{})
	with := list(t, everyKind, Options{WiringErrors: true})
	require.Greater(t, len(with), len(without))
	for i, f := range without {
		assert.Equal(t, f.ID, with[i].ID, "the others stay where they were")
		assert.Equal(t, f.Weight, with[i].Weight)
		assert.Less(t, with[i].Prior, f.Prior, "and make room")
	}
	for _, f := range with[len(without):] {
		one, other := f.Effect.Exchanged, f.Effect.Miswired
		var ends [2]circuits.Terminal
		if assert.True(t, (one == nil) != (other == nil), "%s is one of the two", f.ID) && other != nil {
			ends = [2]circuits.Terminal{other.End, other.Lands}
		} else if assert.Len(t, one, 2) {
			ends = [2]circuits.Terminal(one)
		}
		from, _ := ends[0].Split()
		to, _ := ends[1].Split()
		assert.Equal(t, from, to, "%s: the same device", f.ID)
	}
	exchanged := byEffect(t, with, `{"exchanged":["1M:13","1M:14"]}`)
	assert.Nil(t, exchanged, "the two wires of a contact alone are no fault when exchanged")
	exchanged = byEffect(t, with, `{"exchanged":["CR1:12","CR1:14"]}`)
	require.NotNil(t, exchanged)
	assert.InDelta(t, 1.3, exchanged.Weight, 1e-12)
	nc := byEffect(t, with, `{"miswired":{"wire":"14","end":"CR1:12","lands":"CR1:14"}}`)
	require.NotNil(t, nc, "NO used for NC")
	assert.InDelta(t, 1.3, nc.Weight, 1e-12)
	assert.Equal(t, "wire 14 from Y1:1 sits on CR1:14 and not on CR1:12", nc.Text)
	assert.NotNil(t, byEffect(t, with, `{"miswired":{"wire":"14","end":"CR1:12","lands":"CR1:22"}}`),
		"on a spare terminal")
	assert.Nil(t, byEffect(t, with, `{"miswired":{"wire":"3","end":"CR1:11","lands":"CR1:21"}}`),
		"on a terminal of its own number nothing is wrong")
}

func TestPriorsAddToOne(t *testing.T) {
	for _, name := range circuits.Builtin() {
		text, ok := circuits.BuiltinText(name)
		require.True(t, ok)
		for _, o := range []Options{{}, {WiringErrors: true}} {
			var sum float64
			for _, f := range list(t, string(text), o) {
				assert.Positive(t, f.Prior, "%s: %s", name, f.ID)
				sum += f.Prior
			}
			assert.InDelta(t, 1, sum, 1e-12, name)
		}
	}
}

// The weights are one table that an instructor can read: each row says for what, and
// where the figure is from, and each is used.
func TestWeightsTable(t *testing.T) {
	used := make(map[Key]bool)
	for _, f := range slices.Concat(list(t, everyKind+"  - step: limit\n    set: {LS1: operated}\n",
		Options{WiringErrors: true, Worn: true}), List(everyType(t), Options{Worn: true})) {
		used[f.Key] = true
		assert.Positive(t, Of(f.Key).Value, "%s", f.ID)
	}
	seen := make(map[Key]bool)
	for _, w := range Weights {
		assert.False(t, seen[w.Key], "%s stands twice", w.Key)
		seen[w.Key] = true
		assert.NotEmpty(t, w.For, "%s", w.Key)
		assert.Positive(t, w.Value, "%s", w.Key)
		assert.Regexp(t, `common practice|from memory|\(|chapter`, w.Source,
			"%s has a source or says that it has none", w.Key)
		if w.Key != FieldWiringFactor && w.Key != StarterFactor {
			assert.True(t, used[w.Key], "no fault uses %s", w.Key)
		}
	}
	assert.Zero(t, Of("nothing"))
}

// The age of a panel multiplies the weights by their columns; what is not said is one.
// Common practice, no source.
func TestAge(t *testing.T) {
	used := list(t, everyKind, Options{})
	for i, f := range list(t, everyKind, Options{Age: AgeUsed}) {
		assert.Equal(t, used[i].Weight, f.Weight, "%s", f.ID)
	}
	for age, factor := range map[Age]func(Weight) float64{
		AgeNew: func(w Weight) float64 { return w.New },
		AgeOld: func(w Weight) float64 { return w.Old },
	} {
		for i, f := range list(t, everyKind, Options{Age: age}) {
			want := factor(Of(f.Key))
			if want == 0 {
				want = 1
			}
			require.Equal(t, used[i].ID, f.ID)
			assert.InDelta(t, want*used[i].Weight, f.Weight, 1e-12, "%s in a panel that is %s", f.ID, age)
		}
	}
}

// odds multiplies what belongs to the device, and nothing else changes.
func TestOdds(t *testing.T) {
	before := list(t, everyKind, Options{})
	after := list(t, strings.Replace(everyKind, "CR1: {type: relay,", "CR1: {type: relay, odds: 4,", 1),
		Options{})
	require.Len(t, after, len(before))
	more := 0
	for i, f := range after {
		require.Equal(t, before[i].ID, f.ID)
		own := slices.Contains(f.Devices, "CR1") && f.Effect.Ground == "" && f.Effect.LeakToGround == "" &&
			f.Effect.Short == nil
		want := before[i].Weight
		if own {
			want *= 4
			more++
		}
		assert.InDelta(t, want, f.Weight, 1e-12, "%s", f.ID)
	}
	assert.Greater(t, more, 10)
}

// Identities are unique, and can be typed: letters, digits, - : and . only, unless a
// wire number or a terminal itself has others.
func TestIdentities(t *testing.T) {
	texts := map[string]string{"every kind": everyKind}
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		texts[name] = string(text)
	}
	for name, text := range texts {
		t.Run(name, func(t *testing.T) {
			p := panel(t, text)
			strange := make(map[rune]bool) // that a name in the file has
			for _, n := range p.Circuit.Numbers {
				for _, r := range n.Name {
					strange[r] = true
				}
			}
			for _, d := range p.Circuit.Devices {
				for _, r := range d.Name + strings.Join(d.Terminals, "") {
					strange[r] = true
				}
			}
			seen := make(map[string]bool)
			for _, f := range List(p, Options{WiringErrors: true}) {
				id := strings.ToLower(string(f.ID)) // Find ignores case
				assert.False(t, seen[id], "%s is listed twice", f.ID)
				seen[id] = true
				for _, r := range string(f.ID) {
					ok := strings.ContainsRune("-:.", r) || unicode.IsLetter(r) || unicode.IsDigit(r) || strange[r]
					assert.True(t, ok, "%s has %q", f.ID, r)
				}
				assert.NotContains(t, f.Text, "\n")
				assert.NotEmpty(t, f.Where, "%s", f.ID)
				assert.NotEmpty(t, f.Devices, "%s", f.ID)
			}
		})
	}
}

// Identities stay as they are under edits elsewhere in the file.
func TestIdentitiesAreStable(t *testing.T) {
	before := identities(list(t, everyKind, Options{}))
	for _, test := range []struct {
		name string
		edit func(*testing.T, string) string
		more bool // the edit adds faults
	}{
		{"a device and its wires are added", func(t *testing.T, s string) string {
			s = edit(t, s, "  H1: {type: lamp, place: door}\n",
				"  H1: {type: lamp, place: door}\n  H9: {type: lamp}\n")
			s = edit(t, s, "  10: [TR1:18, H1:1]\n", "  10: [TR1:18, H1:1, H9:1]\n")
			return edit(t, s, "    - [T1:X2, PE:1]\n", "    - [T1:X2, PE:1]\n    - [M2:2, H9:2]\n")
		}, true},
		{"devices in another order", func(t *testing.T, s string) string { return reorder(t, s, "devices:", "wires:") }, false},
		{"wire numbers in another order", func(t *testing.T, s string) string { return reorder(t, s, "wires:", "operation:") }, false},
		{"steps added", func(_ *testing.T, s string) string {
			return s + "  - step: another\n    set: {PB1: pressed}\n"
		}, false},
		{"notes, places, odds and electrical values", func(t *testing.T, s string) string {
			return edit(t, s, "1M: {type: contactor,",
				"1M: {type: contactor, note: fan, odds: 2, va: 12, place: door,")
		}, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			text := test.edit(t, everyKind)
			before, after := before, identities(list(t, text, Options{}))
			for id, effect := range before {
				assert.Equal(t, effect, after[id], "%s", id)
			}
			if !test.more {
				assert.Len(t, after, len(before))
			}
		})
	}
}

// identities gives the effects by identity.
func identities(faults []Fault) map[ID]string {
	out := make(map[ID]string)
	for _, f := range faults {
		b, _ := json.Marshal(f.Effect)
		out[f.ID] = string(b)
	}
	return out
}

func edit(t *testing.T, s, old, new string) string {
	t.Helper()
	require.Contains(t, s, old)
	return strings.Replace(s, old, new, 1)
}

// reorder turns the entries of a section round.
func reorder(t *testing.T, s, head, tail string) string {
	t.Helper()
	before, rest, ok := strings.Cut(s, head+"\n")
	require.True(t, ok)
	section, after, ok := strings.Cut(rest, tail+"\n")
	require.True(t, ok)
	var entries []string
	for line := range strings.Lines(section) {
		if strings.HasPrefix(line, "    ") {
			entries[len(entries)-1] += line
		} else {
			entries = append(entries, line)
		}
	}
	slices.Reverse(entries)
	return before + head + "\n" + strings.Join(entries, "") + tail + "\n" + after
}

func TestByNumber(t *testing.T) {
	want := []string{"1", "3", "3A", "5A", "10", "11", "100", "+24", "L1", "L2", "N"}
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortFunc(got, byNumber)
	assert.Equal(t, want, got)
}

// Two wires side by side are two faults.
func TestTwoWiresSideBySide(t *testing.T) {
	faults := list(t, `circuit: Doubled
devices:
  G1: {type: supply, volts: 24}
  H1: {type: lamp}
wires:
  1: [G1:L, H1:1]
  2:
    - [G1:N, H1:2]
    - [G1:N, H1:2]
operation: [{step: a}]
`, Options{})
	ids := slices.Collect(maps.Keys(identities(faults)))
	assert.Contains(t, ids, ID("open-G1:N-H1:2"))
	assert.Contains(t, ids, ID("open-G1:N-H1:2.2"))
}

func TestFind(t *testing.T) {
	faults := list(t, everyKind, Options{})
	for _, id := range []string{"open-CR1:11-14", "OPEN-cr1:11-14", "Open-Cr1:11-14"} {
		i, err := Find(faults, id)
		require.NoError(t, err, id)
		assert.Equal(t, ID("open-CR1:11-14"), faults[i].ID)
	}
	for _, f := range faults {
		i, err := Find(faults, strings.ToLower(string(f.ID)))
		require.NoError(t, err)
		assert.Equal(t, f.ID, faults[i].ID)
	}

	// The near ones are those that were probably meant, not the first of the list.
	for _, test := range []struct{ typed, near string }{
		{"open-CR1:11-15", "open-CR1:11-14"},
		{"open-CR2", "open-CR1"},
		{"stuck-TR1-always", "stuck-TR1-never"},
		{"CR1:11-14", "open-CR1:11-14"},
		{"welded-CR1:11-14", "closed-CR1:11-14"},
		{"ground-88", "ground-8"},
		{"F1", "open-F1"},
		{"short-4-3", "short-3-4"},
	} {
		_, err := Find(faults, test.typed)
		require.Error(t, err, test.typed)
		assert.Contains(t, err.Error(), fmt.Sprintf("%q", test.typed))
		assert.Regexp(t, `(; near it are |, |; perhaps )`+test.near+`(,|$| is meant$)`, err.Error())
		assert.LessOrEqual(t, strings.Count(err.Error(), ", "), 3, "a few are enough")
	}
	// Of two that differ by case only, the one that was typed.
	twins := []Fault{{ID: "open-cr1"}, {ID: "open-CR1"}}
	i, err := Find(twins, "open-CR1")
	require.NoError(t, err)
	assert.Equal(t, 1, i)

	_, err = Find(faults, "")
	assert.EqualError(t, err, `no fault of this circuit is called ""`)
	_, err = Find(faults, "open")
	assert.EqualError(t, err, `no fault of this circuit is called "open"; near it are open-G1:L-Q1:1, open-Q1:2-T1:H1, open-G1:N-T1:H2, open-T1:X1-F1:1`)
	_, err = Find(faults, "zzzzzzzzz")
	assert.EqualError(t, err, `no fault of this circuit is called "zzzzzzzzz"`)
}

// Weights are finite and ordered as the page orders the kinds: opens outnumber shorts
// about ten to one (Kuphaldt, Lessons in Electric Circuits; WASH-1400 appendix III, from
// memory).
func TestOpensOutnumberShorts(t *testing.T) {
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		var opens, shorts float64
		for _, f := range list(t, string(text), Options{}) {
			switch {
			case f.Effect.OpenWire != nil, f.Effect.OpenContact != nil, f.Effect.OpenLoad != "",
				f.Effect.OpenLink != "", f.Effect.DeadSource != "":
				opens += f.Weight
			case f.Effect.ShortedLoad != "", f.Effect.Short != nil, f.Effect.Ground != "":
				shorts += f.Weight
			}
		}
		ratio := opens / shorts
		assert.False(t, math.IsInf(ratio, 0))
		assert.Greater(t, ratio, 5.0, name)
		assert.Less(t, ratio, 20.0, name)
	}
}
