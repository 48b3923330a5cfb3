package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// A lamp of which nobody says whether it is an LED reads open or not when it is good, and near
// zero when it is shorted: with its wire lifted that parts it from its wire number touching another
// that is not at the lamp. One that is at the lamp may touch at its screws.
func TestShortedLampIsPartedFromItsWire(t *testing.T) {
	m := builtin(t, "hand-off-auto")
	at := func(id string) int {
		i, err := faultmodel.Find(m.faults, id)
		require.NoError(t, err)
		return i
	}
	assert.NotEqual(t, m.table.group[at("shorted-H2")], m.table.group[at("short-5-11")])
	assert.Equal(t, m.table.group[at("shorted-H2")], m.table.group[at("short-2-11")])
}

// Behind the fuse that a short has opened everything reads nothing, the part as well: that proves
// no short. Source: common practice, no source; as with any reading of nothing.
func TestNothingBehindABlownFuseProvesNoShort(t *testing.T) {
	m := builtin(t, "hand-off-auto")
	lamp, err := faultmodel.Find(m.faults, "shorted-H2")
	require.NoError(t, err)
	across := func(c log.Check) bool {
		l, err := m.book.Locate(c)
		require.NoError(t, err)
		return m.acrossPart(lamp, m.partEnds(lamp), l)
	}
	assert.False(t, across(log.Check{Volts: []circuits.Terminal{"H2:1", "H2:2"}, Step: "hand"}))
	assert.True(t, across(log.Check{Ohms: []circuits.Terminal{"H2:1", "H2:2"}, Lifted: []circuits.Terminal{"H2:1"}, Step: "off, sump empty"}))
	assert.False(t, across(log.Check{Ohms: []circuits.Terminal{"H1:1", "H1:2"}, Step: "off, sump empty"}))
}
