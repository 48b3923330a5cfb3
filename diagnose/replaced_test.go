package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// A fuse that a live step blew is open in the ohms checks from there on, on the meter and in
// belief alike; where the check says that it was replaced it is whole.
func TestFusesAsFound(t *testing.T) {
	m := builtin(t, "cold-store-alarm")
	steps := m.panel.Circuit.Steps
	seen := 0
	for f, fault := range m.faults {
		if len(m.blown[f]) != 1 {
			continue
		}
		fuse := m.blown[f][0]
		across := log.Check{Ohms: []circuits.Terminal{fuse.Terminal("1"), fuse.Terminal("2")}}
		meter := m.Meter(f)
		for step := range steps {
			c := across
			c.Step = steps[step].Name
			found, err := meter.Read(c)
			require.NoError(t, err)
			e, err := m.book.NewEntry(c, &found)
			require.NoError(t, err)
			foretold := m.foretell(f, e.Located())
			assert.True(t, m.agree(e.Located(), log.Reading{Kind: log.Ohms, Value: foretold.Value, Firm: foretold.Firm}, found),
				"%s in %q: the meter reads %v, belief foretells %v", fault.ID, c.Step, found, foretold)
			assert.True(t, m.Fits(f, e), fault.ID)
			blown := len(meter.End(step).Blown) > 0
			assert.Equal(t, blown, int32(step) >= m.blows[f], fault.ID)

			c.Replaced = []string{fuse.Name}
			whole, err := meter.Read(c)
			require.NoError(t, err)
			assert.Zero(t, whole.Value, "%s in %q, replaced", fault.ID, c.Step)
			if e, err = m.book.NewEntry(c, &whole); assert.NoError(t, err) {
				assert.True(t, m.Fits(f, e), fault.ID)
			}
			if e, err = m.book.NewEntry(c, &log.Reading{Kind: log.Ohms, Value: log.OL, Firm: true}); assert.NoError(t, err) {
				assert.False(t, m.Fits(f, e), "%s: a new fuse reads open", fault.ID)
			}
			if blown {
				seen++
			}
		}
	}
	assert.Positive(t, seen)
}

// A fuse that is the fault itself is whole once it is replaced.
func TestReplacedFuseIsWhole(t *testing.T) {
	m := builtin(t, "cold-store-alarm")
	f, err := faultmodel.Find(m.faults, "open-F1")
	require.NoError(t, err)
	fuse := m.panel.Device("F1")
	c := log.Check{Ohms: []circuits.Terminal{fuse.Terminal("1"), fuse.Terminal("2")}}
	r, err := m.Meter(f).Read(c)
	require.NoError(t, err)
	assert.Greater(t, r.Value, 1e6)
	c.Replaced = []string{"F1"}
	r, err = m.Meter(f).Read(c)
	require.NoError(t, err)
	assert.Zero(t, r.Value)
}

func TestReplacedIsForFusesBeforeOhms(t *testing.T) {
	m := builtin(t, "cold-store-alarm")
	_, err := m.book.Locate(log.Check{Look: "CR1", Step: m.panel.Circuit.Steps[0].Name, Replaced: []string{"F1"}})
	assert.ErrorContains(t, err, "before an ohms or a diode check only")
	_, err = m.book.Locate(log.Check{Ohms: []circuits.Terminal{"CR1:A1", "CR1:A2"}, Replaced: []string{"CR1"}})
	assert.ErrorContains(t, err, `no fuse or breaker is called "CR1"`)
}
