package read

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

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
