package faultmodel

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

// Every fault sits at terminals of its circuit; one of wires at terminals on their numbers alone.
func TestTerminals(t *testing.T) {
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		c, problems := read.Read(name, text)
		require.NoError(t, problems.Err())
		on := make(map[circuits.Terminal]string) // the wire number
		known := make(map[circuits.Terminal]bool)
		for _, n := range c.Numbers {
			for _, w := range n.Wires {
				on[w.From], on[w.To] = n.Name, n.Name
			}
		}
		for _, d := range c.Devices {
			for _, at := range d.Terminals {
				known[d.Terminal(at)] = true
			}
		}
		for _, f := range List(work.Assemble(c), Options{WiringErrors: true, Worn: true}) {
			at := f.Terminals(c)
			require.NotEmpty(t, at, "%s: %s", name, f.ID)
			for _, terminal := range at {
				require.True(t, known[terminal], "%s: %s at %s", name, f.ID, terminal)
				if len(f.Effect.Short) > 0 || f.Effect.Ground != "" {
					assert.Contains(t, f.Effect.Numbers(), on[terminal], "%s: %s at %s", name, f.ID, terminal)
				}
			}
		}
	}
}
