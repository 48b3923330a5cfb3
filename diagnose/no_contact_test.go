package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Nobody can foretell what an ohmmeter reads through the output of an electronic supply; where a load
// is in the way as well it is still no closed contact. Common practice, no source.
func TestNoContactThroughAnOutputAndALoad(t *testing.T) {
	m := builtin(t, "drive-fan")
	at, err := m.book.Locate(log.Check{Ohms: []circuits.Terminal{"G1:+", "PE1:1"}, Step: "ready"})
	require.NoError(t, err)
	agrees := func(id string, ohms float64) bool {
		f, err := faultmodel.Find(m.faults, id)
		require.NoError(t, err)
		return m.agree(at, m.foretell(f, at), log.Reading{Kind: log.Ohms, Value: ohms, Firm: true})
	}
	assert.True(t, agrees("ground-3", 0), "through the fuse alone")
	assert.False(t, agrees("ground-3", 5e3))
	assert.False(t, agrees("ground-11", 0), "through the output and a lamp")
	for _, ohms := range []float64{20, 5e3, 2e6, log.OL} {
		assert.True(t, agrees("ground-11", ohms), ohms)
	}
	assert.True(t, agrees("ground-2", 0), "through the output alone")
	assert.True(t, agrees("ground-2", log.OL))
}
