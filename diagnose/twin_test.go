package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// The check that is taken instead of the chosen one splits what is left in the same way
// and is no dearer, in every turn of every truthful session; somewhere it is another.
func TestTwin(t *testing.T) {
	m := coldStore()
	others := 0
	for _, by := range []By{ByChecks, ByMinutes} {
		for f := range m.faults {
			history := truthful(t, m, f, by).log
			for n := range history.Entries {
				so := log.Log{Entries: history.Entries[:n]}
				b := m.believe(so)
				left, from := b.left(), m.modeAfter(so)
				c := Choosing{By: by, Most: -1}
				chosen := m.choose(left, from, c, b.allowed(false))
				got := b.choose(left, from, c, false)
				require.Len(t, got, len(chosen))
				if len(got) == 0 {
					continue
				}
				require.True(t, alike(chosen[0], got[0]))
				require.LessOrEqual(t, got[0].Cost, chosen[0].Cost+1e-9)
				require.Equal(t, chosen[0].Then, got[0].Then)
				if got[0].Test != chosen[0].Test {
					others++
				}
			}
		}
	}
	assert.Positive(t, others)
}

// A check is asked for again only where that is wanted: a second time, and a third where
// the two answers speak for different faults.
func TestAllowedAgain(t *testing.T) {
	m := coldStore()
	absent, present := `{"volts":["B1:1","T1:X2"],"step":"door left open","read":0}`, `{"volts":["B1:1","T1:X2"],"step":"door left open","read":118.7}`
	for _, c := range []struct {
		lines        []string
		fresh, again bool
	}{
		{nil, true, true},
		{[]string{absent}, false, true},
		{[]string{absent, absent}, false, false},
		{[]string{absent, present}, false, true},
		{[]string{absent, present, absent}, false, false},
	} {
		log := readLog(t, m, c.lines...)
		b := m.believe(log)
		key := m.book.Key(readLog(t, m, absent).Entries[0].Located())
		found := false
		for i, check := range m.table.checks {
			if m.book.Key(m.checks[check]) != key {
				continue
			}
			found = true
			assert.Equal(t, c.fresh, b.allowed(false)(split.Test(i)), "%v", c.lines)
			assert.Equal(t, c.again, b.allowed(true)(split.Test(i)), "%v", c.lines)
		}
		assert.True(t, found)
	}
}
