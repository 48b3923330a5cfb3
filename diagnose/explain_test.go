package diagnose

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// The weighing of checks against what follows if each is made: the faults and groups that
// its answers leave, counted anew from the log with the answer in it. A fault that leaves
// the reading open is counted with every answer, so those checks are left out.
func TestExplain(t *testing.T) {
	m := coldStore()
	recounted := 0
	for _, n := range []int{0, 1, 2, 3} {
		history := readLog(t, m, wireToHorn[:n]...)
		turn := m.Turn(history, Choosing{By: ByChecks})
		weighed := m.Explain(turn)
		require.Len(t, weighed, 1+len(turn.Others))
		assert.Equal(t, turn.Next.Check, weighed[0].Check)
		for i, w := range weighed {
			p := append([]Proposal{*turn.Next}, turn.Others...)[i]
			assert.Equal(t, p.Bits, w.Bits)
			assert.Equal(t, p.Minutes, w.Minutes)
			assert.True(t, w.Largest.Probability > 0 && w.Largest.Probability < 1)
			at, err := m.book.Locate(w.Check)
			require.NoError(t, err)
			if slices.ContainsFunc(turn.Left, func(f int) bool { return !m.decides(at, m.foretell(f, at)) }) {
				continue
			}
			recounted++
			var groups float64
			largest := 0
			for _, o := range p.Outcomes {
				a := o.Reading(p.Check.Kind())
				e, err := m.book.NewEntry(p.Check, &a)
				require.NoError(t, err)
				b := m.believe(log.Log{Entries: append(slices.Clone(history.Entries), e)})
				seen, faults := map[int32]bool{}, 0
				for _, left := range b.left() {
					seen[m.table.group[left.Hypothesis]] = true
					faults++
				}
				groups += o.Probability * float64(len(seen))
				largest = max(largest, faults)
			}
			assert.InDelta(t, groups, w.Groups, 0.01, "%s", w.Check)
			assert.Equal(t, largest, w.Largest.Faults, "%s", w.Check)
		}
	}
	assert.Greater(t, recounted, 4)
	turn := m.Turn(log.Log{}, Choosing{})
	turn.Next = nil
	assert.Equal(t, []Weighed{}, m.Explain(turn))
}

// Readings for and against two faults: the one that gave them, and another.
func TestEvidence(t *testing.T) {
	m := coldStore()
	lines := append([]string{`{"circuit":"Cold-store alarm","deadrung":1}`, `{"look":"B1","step":"door left open","saw":"on"}`,
		`{"cannot":{"look":"CR1","step":"store warm"}}`}, wireToHorn...)
	log := readLog(t, m, lines...)
	counts := func(id faultmodel.ID) (got []Counts, all []Evidence) {
		all = m.Evidence(log, fault(t, m, id))
		for _, e := range all {
			got = append(got, e.Counts)
		}
		return got, all
	}
	got, all := counts(wireToHornID)
	assert.Equal(t, []Counts{CountsNeither, CountsFor, CountsFor, CountsFor, CountsFor}, got)
	assert.True(t, all[0].Again, "a look that was made again counts with its last answer")
	assert.Equal(t, []int{2, 4, 5, 6, 7}, []int{all[0].Line, all[1].Line, all[2].Line, all[3].Line, all[4].Line})
	assert.JSONEq(t, `{"saw":"off"}`, string(all[1].Foretold))
	assert.JSONEq(t, `{"read":120}`, string(all[3].Foretold))
	assert.JSONEq(t, wireToHorn[3], string(all[4].Entry))
	for i, e := range all {
		assert.Equal(t, i != 0, !e.Again)
		assert.False(t, e.Before)
	}

	got, all = counts("open-H1") // the lamp is out, the horn sounds
	assert.Equal(t, []Counts{CountsNeither, CountsAgainst, CountsAgainst, CountsFor, CountsAgainst}, got)
	assert.JSONEq(t, `{"saw":"off"}`, string(all[2].Foretold))

	// What is against a fault are the readings that it is ranked by.
	turn := m.Turn(log, Choosing{})
	for _, c := range turn.Candidates {
		against := 0
		for _, e := range m.Evidence(log, c.Index) {
			if e.Counts == CountsAgainst {
				against++
			}
		}
		assert.Equal(t, c.Disagree, against, c.ID)
	}

	log.Entries[len(log.Entries)-1].Repaired = true
	got, all = counts(wireToHornID)
	assert.Equal(t, []Counts{CountsNeither, CountsNeither, CountsNeither, CountsNeither, CountsFor}, got)
	assert.True(t, all[1].Before)
}

// A fault that blows a fuse foretells both what is read with it whole and with it open; one
// that leaves a conductor free foretells nothing there.
func TestEvidenceForetold(t *testing.T) {
	for _, c := range []struct {
		r    log.Reading
		want string
	}{
		{log.Reading{Kind: log.Look, On: true, Firm: true}, `{"saw":"on"}`},
		{log.Reading{Kind: log.Volts, Value: 0.1, Firm: true}, `{"read":0.1}`},
		{log.Reading{Kind: log.Ohms, Value: math.Inf(1), Firm: true}, `{"read":"OL"}`},
		{log.Reading{Kind: log.Ohms, Value: 2, Firm: true, Else: math.Inf(1), Either: true}, `{"read":2,"or":"OL"}`},
		{log.Reading{Kind: log.Volts, Floats: true}, `{"firm":false}`},
	} {
		assert.JSONEq(t, c.want, string(c.r.Marshal()))
		assert.True(t, json.Valid(c.r.Marshal()))
	}
}
