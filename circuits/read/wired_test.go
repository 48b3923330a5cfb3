package read

import (
	"strings"
	"testing"

	"deadrung/circuits"
	"deadrung/circuits/work"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The built-in circuits that are drawn as rungs are wired as they were by hand, to the
// last wire.
func TestBuiltinRungs(t *testing.T) {
	for name, text := range files(t, "testdata/wired/*.yaml") {
		byHand, problems := Read(name, text)
		require.Empty(t, problems)
		drawnAs, ok := circuits.BuiltinText(strings.TrimSuffix(name, ".yaml"))
		require.True(t, ok)
		c, problems := Read(name, drawnAs)
		require.Empty(t, problems)
		require.NotNil(t, c.Rungs, name)
		assert.Equal(t, WireLines(byHand.Numbers), WireLines(c.Numbers), name)
		assert.Empty(t, work.Assemble(c).Verify(drawnAs), name)
		again, problems := Read(name, Wired(drawnAs, c, nil))
		require.Empty(t, problems)
		assert.Nil(t, again.Rungs)
		assert.Equal(t, WireLines(c.Numbers), WireLines(again.Numbers), name)
	}
}

// All that a file holds beside its rungs stays as it is, comments and all.
func TestWiredKeepsTheRest(t *testing.T) {
	text := "# head\ncircuit: Rest\ndevices:   # of the panel\n  G1: {type: supply, volts: 24}\n  " +
		"PB1: {type: push-button, contacts: [{no: [1, 2]}]}\n  H1: {type: lamp}\n\n" +
		"# the ladder\nrungs:\n  - [PB1 no, H1]   # one\n\n  # set in\n\n# the steps\noperation:\n- {step: rest, expect: {H1: off}}\n"
	want := "# head\ncircuit: Rest\ndevices:   # of the panel\n  G1: {type: supply, volts: 24}\n  " +
		"PB1: {type: push-button, contacts: [{no: [1, 2]}]}\n  H1: {type: lamp}\n\n" +
		"# the ladder\nwires:                      # worked out from the rungs\n  1: [G1:L, PB1:1]\n  " +
		"2: [G1:N, H1:2]\n  3: [PB1:2, H1:1]\n  # contacts taken: PB1 no is PB1:1-2\n" +
		"ladder:                     # the rungs as they were drawn\n  # one\n  # set in\n  - [PB1:1-2, H1:1-2]\n" +
		"\n# the steps\noperation:\n- {step: rest, expect: {H1: off}}\n"
	c, problems := Read("rest.yaml", []byte(text))
	require.Empty(t, problems)
	assert.Equal(t, want, string(Wired([]byte(text), c, nil)))
}

// Where the rungs cannot be cut out by lines, the file is written anew.
func TestWiredWritesOut(t *testing.T) {
	for name, text := range map[string]string{
		"keys in braces": "{circuit: Rest, devices: {G1: {type: supply, volts: 24}, H1: {type: lamp}}, rungs: [[H1]], operation: [{step: on, expect: {H1: on}}]}",
		"an anchor in the rungs": "circuit: Rest\ndevices: {G1: {type: supply, volts: 24}, H1: {type: lamp}}\n" +
			"rungs:\n  - {title: &t lamp, rung: [H1]}\noperation: [{step: *t, expect: {H1: on}}]\n",
		"wires after the steps, no line end": "circuit: Rest\nrungs:\n- [wire +, H1, wire 3-]\n# " +
			"why\ndevices: {G1: {type: supply, volts: 24}, H1: {type: lamp}}\n" +
			"operation: [{step: '3', expect: {H1: on}}]\nwires:\n  +: [G1:L, H1:1]\n  3-: [G1:N, H1:2]",
		"line ends of another system": "circuit: Rest\r\nrungs:\r\n- [H1]\r\ndevices: {G1: {type: supply, volts: 24}, H1: {type: lamp}}\r\noperation: [{step: no, expect: {H1: on}}]\r\n",
		"a mark at the beginning":     "\uFEFFrungs:\n- [H1]\ncircuit: Rest\ndevices: {G1: {type: supply, volts: 24}, H1: {type: lamp}}\noperation: [{step: no}]\n",
	} {
		c, problems := Read("rest.yaml", []byte(text))
		require.Empty(t, problems, name)
		out := Wired([]byte(text), c, nil)
		again, problems := Read("rest.yaml", out)
		require.Empty(t, problems, "%s\n%s", name, out)
		assert.Equal(t, WireLines(c.Numbers), WireLines(again.Numbers), name)
		assert.Nil(t, again.Rungs, name)
		assert.Equal(t, c.Title, again.Title, name)
		assert.Equal(t, c.Steps[0].Name, again.Steps[0].Name, name)
	}
}

// Text that YAML or the format would take for something else stands in quotes.
func TestScalar(t *testing.T) {
	for text, want := range map[string]string{
		"3": "3", "3A": "3A", "L1": "L1", "+24": "+24", "no": "no", "null": "'null'", "~": "'~'",
		"-1": "'-1'", "0V (common)": "0V (common)",
		"a: b": "'a: b'", "it's": "'it''s'", "a #b": "'a #b'", "[x]": "'[x]'", "CR1:11": "CR1:11",
		"X1:3*": "X1:3*", "*x": "'*x'", "G1:-": "G1:-", "two\nlines": `"two\nlines"`,
	} {
		assert.Equal(t, want, Scalar(text))
	}
}

// Rungs at the very head of a file are cut out like any others, and the rest stays.
func TestWiredRungsFirst(t *testing.T) {
	text := "rungs:\n  - [H1]\n# of the panel\ncircuit: Rest\ndevices: {G1: {type: supply, volts: 24}, H1: {type: lamp}}\noperation:\n- {step: rest, expect: {H1: on}}\n"
	c, problems := Read("rest.yaml", []byte(text))
	require.Empty(t, problems)
	wired := string(Wired([]byte(text), c, nil))
	assert.True(t, strings.HasPrefix(wired, "wires:"), wired)
	assert.Contains(t, wired, "# of the panel\ncircuit: Rest\ndevices: {G1: {type: supply, volts: 24}, H1: {type: lamp}}\noperation:\n")
}
