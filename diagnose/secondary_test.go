package diagnose

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/log"
)

// The secondary of a current transformer is never opened: no lead goes there with the power on, no
// wire is lifted that opens it, whoever asks, and no such check is among those to propose. What opens
// nothing stays as it was.
func TestSecondariesStayClosed(t *testing.T) {
	text, err := os.ReadFile("testdata/parts/current.yaml")
	require.NoError(t, err)
	m := fromText(t, "current.yaml", string(text))
	type terminals = []circuits.Terminal
	for _, c := range []log.Check{
		{Volts: terminals{"CT1:S1", "CT1:S2"}, Step: "running"},
		{Volts: terminals{"CS1:A1", "T1:X2"}, Step: "off"},
		{Volts: terminals{"T1:X2", "AM1:2"}, Step: "running"},
		{Ohms: terminals{"AM1:1", "AM1:2"}, Lifted: terminals{"AM1:1"}},
		{Ohms: terminals{"CS1:A1", "CS1:A2"}, Lifted: terminals{"CS1:A2"}},
		{Ohms: terminals{"CT1:S1", "CT1:S2"}, Lifted: terminals{"CT1:S2"}},
		{Ohms: terminals{"H1:1", "H1:2"}, Lifted: terminals{"AM1:2", "H1:1"}},
	} {
		_, err := m.book.Locate(c)
		assert.ErrorContains(t, err, "CT1", "%s", c)
		assert.ErrorContains(t, err, "a voltage that kills", "%s", c)
	}
	for _, c := range []log.Check{
		{Ohms: terminals{"CT1:S1", "CT1:S2"}},
		{Ohms: terminals{"H1:1", "H1:2"}, Lifted: terminals{"H1:1"}},
		{Ohms: terminals{"CT1:P1", "CT1:P2"}, Lifted: terminals{"CT1:P1"}},
		{Volts: terminals{"CT1:P1", "G1:N"}, Step: "running"},
		{Volts: terminals{"CS1:11", "T1:X2"}, Step: "running"},
		{Look: "AM1", Step: "running"},
	} {
		_, err := m.book.Locate(c)
		assert.NoError(t, err, "%s", c)
	}
	for _, l := range m.checks {
		if l.Kind == log.Look {
			continue
		}
		_, err := m.book.Locate(m.book.Check(l))
		assert.NoError(t, err)
	}
}
