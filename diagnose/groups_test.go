package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
	"deadrung/faultmodel"
)

// Faults that no check tells apart carry the same group number (interface: next --json).
// A column is what a hypothesis gives at each test; . is a reading that nobody can
// foretell.
func TestGroups(t *testing.T) {
	for _, test := range []struct {
		name    string
		columns []string
		want    []int32
	}{
		{"one", []string{"0"}, []int32{0}},
		{"told apart", []string{"0", "1", "2"}, []int32{0, 1, 2}},
		{"alike", []string{"01", "10", "01", "01"}, []int32{0, 1, 0, 0}},
		{"apart by the second test", []string{"00", "01", "00"}, []int32{0, 1, 0}},
		{"one undecided where they differ", []string{"00", "0.", "11"}, []int32{0, 0, 1}},
		{"undecided, but apart elsewhere", []string{"00", "1.", "11"}, []int32{0, 1, 1}},
		{"a chain: 00 and 11 are apart, and one between fits either", []string{"00", "..", "11"}, []int32{0, 1, 1}},
		{"the same chain, the end of it the good circuit", []string{"11", "..", "00"}, []int32{0, 1, 1}},
		{"undecided everywhere as usual", []string{"..", "..", "00", "11"}, []int32{0, 0, 1, 0}},
		{"undecided as usual, decided by two alike", []string{".0", "10", "10", ".1"}, []int32{0, 0, 0, 1}},
		{"two pairs of a ring", []string{"0.0", "00.", ".11", "1.1"}, []int32{0, 0, 1, 1}},
		{"nothing tells", []string{"00", "00"}, []int32{0, 0}},
	} {
		t.Run(test.name, func(t *testing.T) {
			b := split.NewBuilder(len(test.columns))
			for test, columns := 0, test.columns; test < len(columns[0]); test++ {
				outcome := func(h int) split.Outcome {
					if c := columns[h][test]; c != '.' {
						return split.Outcome(c - '0')
					}
					return split.Any
				}
				usual := outcome(len(columns) - 1)
				var except []split.Exception
				for h := range columns {
					if o := outcome(h); o != usual {
						except = append(except, split.Exception{Hypothesis: split.Hypothesis(h), Outcome: o})
					}
				}
				b.AddTest(usual, 3, except)
			}
			table, err := b.Build()
			require.NoError(t, err)
			group, _ := groups(table)
			assert.Equal(t, test.want, group)
		})
	}
}

// On a panel: no check tells two faults of one group apart, and no fault stands alone that
// could stand in a group before it.
func TestGroupsOnAPanel(t *testing.T) {
	m := coldStore()
	m.Turn(log.Log{}, Choosing{})
	n := m.hypotheses()
	told := make([][]log.Reading, n)
	for h := range n {
		offs := m.offs(m.fault(h))
		for _, l := range m.checks {
			if l.Kind == log.Ohms {
				told[h] = append(told[h], offs.read(l))
			} else {
				told[h] = append(told[h], m.foretell(m.fault(h), l))
			}
		}
	}
	// Readings are told apart where both are firm and they are two outcomes.
	parts := make([][]part, len(m.checks))
	for i, l := range m.checks {
		var values []log.Reading
		for h := range n {
			if r := told[h][i]; m.settles(l, told[n-1][i], r) {
				values = append(values, r)
			}
		}
		parts[i] = m.part(l, values)
	}
	part := func(h, i int) int {
		if r := told[h][i]; m.settles(m.checks[i], told[n-1][i], r) {
			for k, p := range parts[i] {
				if r.Number() >= p.least && r.Number() <= p.most {
					return k
				}
			}
		}
		return -1
	}
	apart := func(a, b int) bool {
		for i := range m.checks {
			if x, y := part(a, i), part(b, i); x >= 0 && y >= 0 && x != y {
				return true
			}
		}
		return false
	}
	// A fault that could have joined an earlier group without a pair that is told apart did.
	for a := range n {
		fits := map[int32]bool{m.table.group[a]: true}
		for b := range n {
			if g := m.table.group[b]; g == m.table.group[a] {
				assert.False(t, apart(a, b), "%d and %d stand together", a, b)
			} else if b < a && g < m.table.group[a] {
				if _, ok := fits[g]; !ok {
					fits[g] = true
				}
			}
		}
		for b := range n {
			if apart(a, b) {
				fits[m.table.group[b]] = false
			}
		}
		for g, fit := range fits {
			assert.True(t, !fit || g == m.table.group[a], "%d could stand in group %d", a, g)
		}
	}

	// An open contact is the twin of a switch stuck there; a blown fuse is no twin of
	// what blows it, nor a load of the wire to it.
	group := func(id string) int { return m.Group(fault(t, m, faultmodel.ID(id))) }
	assert.Equal(t, group("open-LS1:11-12"), group("stuck-LS1-operated"))
	assert.Equal(t, group("closed-TS1:13-14"), group("stuck-TS1-operated"))
	assert.NotEqual(t, group("open-F1"), group("shorted-H1"))
	assert.NotEqual(t, group("open-CR1:22-B1:1"), group("open-B1"))
}
