package circuits

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNearest(t *testing.T) {
	known := []string{"limit-switch", "lamp", "relay", "CR1", "A1", "+", "-", "no", "off"}
	tests := []struct{ word, want string }{
		{"limit switch", "limit-switch"},
		{"LimitSwitch", "limit-switch"},
		{"limt-swich", "limit-switch"},
		{"limit-switch-of-a-door", ""},
		{"lmap", "lamp"},  // swapped
		{"lam", "lamp"},   // missing
		{"laamp", "lamp"}, // doubled
		{"lump", "lamp"},
		{"limp", "lamp"},
		{"lime", ""},
		{"cr1", "CR1"},
		{"CR11", "CR1"},
		{"a1", "A1"},
		{"CRl", "CR1"},
		{"CRI", "CR1"},
		{"A2", "A1"},
		{"x", ""},
		{"NO", "no"},
		{"of", "off"},
		{"", ""},
	}
	for _, test := range tests {
		assert.Equal(t, test.want, nearest(test.word, known), test.word)
	}
}

// Only what the file may be told to write is suggested: a device that is there and whose
// own name is not refused.
func TestSuggestedDevices(t *testing.T) {
	const circuit = `circuit: Names
devices:
  G1: {type: supply, volts: 24}
  DEVICE: {type: limit-switch, contacts: [{no: [13, 14]}]}
  PS5: {type: pressure-switch, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
wires:
  1: [G1:L, WIRE:13]
  2: [PS5:14, H1:1]
  3: [G1:N, H1:2]
operation:
  - step: rest
    set: {WIRE: operated}
    expect: {H1: off}
`
	for _, test := range []struct {
		device, wire string
		hint         string
	}{
		{"LS2", "LS22", "LS2"},
		{"LS2", "ls2", "LS2"},
		{"LS-2", "LS2", ""},
		{"LS 2", "LS2", ""},
		{"LS2", "PS55", "PS5"},
		{"LS2", "Q9", ""},
		{"L" + strings.Repeat("S", 41), "L" + strings.Repeat("S", 40), ""},
	} {
		text := strings.NewReplacer("DEVICE", test.device, "WIRE", test.wire).Replace(circuit)
		_, problems := Read("a.yaml", []byte(text))
		told := 0
		for _, p := range problems {
			if strings.HasPrefix(p.What, "there is no device") {
				told++
				assert.Equal(t, test.hint, p.Hint, p.What)
			}
		}
		assert.Equal(t, 2, told, "once in the wires, once in the operation: %s", problems)
	}
}

func TestDistance(t *testing.T) {
	tests := []struct {
		a, b string
		want int
	}{
		{"", "", 0},
		{"", "abc", 3},
		{"abc", "", 3},
		{"abc", "abc", 0},
		{"abc", "abd", 1},
		{"abc", "acb", 1},
		{"abcd", "badc", 2},
		{"kitten", "sitting", 3}, // the usual example of the distance
		{"ca", "abc", 3},         // 2 if a swapped pair might be changed again
		{"größe", "grösse", 2},
	}
	for _, test := range tests {
		assert.Equal(t, test.want, distance(test.a, test.b, 99), "%s %s", test.a, test.b)
		assert.Equal(t, test.want, distance(test.b, test.a, 99), "%s %s", test.b, test.a)
	}
}

func TestListed(t *testing.T) {
	assert.Equal(t, "", listed(nil))
	assert.Equal(t, "a", listed([]string{"a"}))
	assert.Equal(t, "a or b", listed([]string{"a", "b"}))
	assert.Equal(t, "a, b or c", listed([]string{"a", "b", "c"}))
	assert.Contains(t, listed(make([]string, 100)), "and others")
}
