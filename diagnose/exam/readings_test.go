package exam

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/log"
)

// The table of a packet answers every check that may be proposed as a meter on the panel
// with the fault does, for every circuit: for each fault a handful of checks, and every
// fault in turn.
func TestReadingsAreTheMeters(t *testing.T) {
	for _, name := range circuits.Builtin() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := modelOf(t, name)
			checks := m.Checks()
			const faults, stride = 4, 13
			for n := range faults {
				f := n * len(m.Faults()) / faults
				meter := m.Meter(f)
				table, err := MakeReadings(m, f, []byte("a key"))
				require.NoError(t, err)
				opened, err := OpenReadings(m, table.Table(), []byte("a key"))
				require.NoError(t, err)
				for i := n; i < len(checks); i += stride {
					c := checks[i]
					if len(c.Lifted) > 1 {
						continue
					}
					for _, worked := range []int{-1, len(m.Panel().Circuit.Steps) - 1} {
						want, err := meter.Found(c, worked)
						require.NoError(t, err)
						got, err := opened.Found(c, worked)
						require.NoError(t, err, c.String())
						require.Equal(t, want.Firm, got.Firm, "%s with %s", c, m.Faults()[f].ID)
						if want.Firm {
							require.Equal(t, want.On, got.On)
							if math.IsInf(want.Value, 1) {
								require.Equal(t, want.Value, got.Value)
							} else { // the meter's own current, 10 megohm, is left out
								require.InDelta(t, want.Value, got.Value, 0.001*want.Value+0.05, "%s with %s", c, m.Faults()[f].ID)
							}
						}
					}
				}
			}
		})
	}
}

// A table is as long for one fault as for another, and two tables of one fault under two
// keys have nothing in common; nor have two of two faults under two keys.
func TestTablesAreAlike(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	for f := range m.Faults() {
		a, err := MakeReadings(m, f, fmt.Appendf(nil, "key %d", f))
		require.NoError(t, err)
		require.Len(t, a.Table(), TableLength(m))
		counts := make([]int, 256)
		for _, b := range a.Table() {
			counts[b]++
		}
		// Uniform bytes: chi-square with 255 degrees of freedom is 255 on the mean with a
		// standard deviation of 22.6; six of them above is no chance.
		expect, chi := float64(len(a.Table()))/256, 0.0
		for _, n := range counts {
			chi += (float64(n) - expect) * (float64(n) - expect) / expect
		}
		require.Less(t, chi, 255+6*22.6, "%s shows in its table", m.Faults()[f].ID)
	}
	a, _ := MakeReadings(m, 3, []byte("one"))
	b, _ := MakeReadings(m, 3, []byte("two"))
	assert.False(t, bytes.Equal(a.Table()[:64], b.Table()[:64]))
	_, err := OpenReadings(m, a.Table()[1:], []byte("one"))
	assert.EqualError(t, err, "the table of readings does not belong to this circuit")
}

func TestReadingsRefuse(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	r, err := MakeReadings(m, 0, []byte("k"))
	require.NoError(t, err)
	step := m.Panel().Circuit.Steps[0].Name
	for _, c := range []log.Check{
		{Volts: []circuits.Terminal{"CR1:A1", "T1:X2"}, Step: step, LowImpedance: true},
		{Ohms: []circuits.Terminal{"CR1:A1", "CR1:A2"}, Lifted: []circuits.Terminal{"CR1:A1", "CR1:A2"}, Step: step},
		{Ohms: []circuits.Terminal{"CR1:A1", "CR1:A2"}, Lifted: []circuits.Terminal{"H1:1"}, Step: step},
		{Ohms: []circuits.Terminal{"CR1:24", "CR1:A2"}, Step: step},
	} {
		_, err := r.Found(c, -1)
		assert.ErrorIs(t, err, ErrNoAnswer, c.String())
	}
	bonded := log.Check{Ohms: []circuits.Terminal{"PE:1", "CR1:A2"}, Lifted: []circuits.Terminal{"PE:1"}, Step: step}
	_, err = r.Found(bonded, -1)
	assert.ErrorContains(t, err, "the bonding wires on PE:1 stay where they are", "refused before any packet is asked")
	_, err = r.Found(log.Check{Look: "X9", Step: step}, -1)
	assert.Error(t, err)
}
