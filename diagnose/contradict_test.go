package diagnose

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Two readings that no fault gives both are named by their lines, with what either one
// leaves if the other is dropped.
func TestContradictingReadings(t *testing.T) {
	m := coldStore()
	// The horn's wire is open; at the lamp, which was lit, a lead slipped.
	history := readLog(t, m, `{"circuit":"Cold-store alarm","deadrung":1}`, wireToHorn[0], wireToHorn[1],
		`{"volts":["H1:1","H1:2"],"step":"door left open","read":0.1}`, wireToHorn[2], wireToHorn[3])
	turn := m.Turn(history, Choosing{})
	require.Equal(t, 1, turn.Wrong)
	require.NotEmpty(t, turn.Contradicting)
	assert.LessOrEqual(t, len(turn.Contradicting), MostContradicting)
	assert.Contains(t, turn.Contradicting, Contradicting{Lines: [2]int{3, 4}, Indices: [2]int{1, 2}})
	b := m.believe(history)
	for _, c := range turn.Contradicting {
		x, y := c.Indices[0], c.Indices[1]
		assert.Less(t, x, y)
		assert.Equal(t, [2]int{history.Entries[x].Line, history.Entries[y].Line}, c.Lines)
		for h := range m.hypotheses() {
			assert.True(t, b.against[x][h] || b.against[y][h], "a fault gives both")
		}
		assert.Contains(t, b.against[x], false)
		assert.Contains(t, b.against[y], false)
	}
	slipped := slices.IndexFunc(turn.Conflicts, func(c Conflict) bool { return c.Line == 4 })
	require.GreaterOrEqual(t, slipped, 0)
	assert.Equal(t, []faultmodel.ID{wireToHornID}, turn.Conflicts[slipped].Leaves)
	for _, c := range turn.Conflicts {
		without := log.Log{Entries: slices.Delete(slices.Clone(history.Entries), c.Index, c.Index+1)}
		left := m.Turn(without, Choosing{Most: -1})
		if len(c.Leaves) == 0 {
			assert.Positive(t, left.Wrong)
			continue
		}
		assert.Zero(t, left.Wrong)
		assert.ElementsMatch(t, leftIDs(m, left), asText(c.Leaves), "without line %d", c.Line)
	}
	assert.Empty(t, m.Turn(readLog(t, m, wireToHorn...), Choosing{}).Contradicting)
}

func asText(ids []faultmodel.ID) []string {
	text := []string{}
	for _, id := range ids {
		text = append(text, string(id))
	}
	return text
}

// A repeated reading that changed is named, with the faults that give both by coming and
// going; one that did not change, or that a fault which is left leaves open, is not.
func TestIntermittent(t *testing.T) {
	m := coldStore()
	good := `{"volts":["B1:1","T1:X2"],"step":"door left open","read":118.7}`
	turned := `{"volts":["T1:X2","B1:1"],"step":"door left open","read":118.7}`
	log := readLog(t, m, append(slices.Clone(wireToHorn), turned)...)
	turn := m.Turn(log, Choosing{})
	require.Len(t, turn.Intermittent, 1)
	found := turn.Intermittent[0]
	assert.Equal(t, []int{4, 5}, found.Lines)
	assert.Equal(t, []int{3, 4}, found.Indices)
	assert.Equal(t, log.Entries[3].Check, found.Check)
	assert.Equal(t, []faultmodel.ID{wireToHornID}, found.IDs, "a wire that comes and goes")
	b, err := json.Marshal(turn)
	require.NoError(t, err)
	assert.Contains(t, string(b), `"intermittent":[{"check":{"volts":["B1:1","T1:X2"],"step":"door left open"},"lines":[4,5],"ids":["open-CR1:22-B1:1"]}]`)
	wholeTurn(t, m, turn)

	for name, lines := range map[string][]string{
		"made once":                    wireToHorn,
		"the same again":               append(slices.Clone(wireToHorn), wireToHorn[3], wireToHorn[0]),
		"within what a meter is off":   {good, `{"volts":["B1:1","T1:X2"],"step":"door left open","read":109}`},
		"before and after a repair":    append(slices.Clone(wireToHorn), `{"volts":["B1:1","T1:X2"],"step":"door left open","read":118.7,"repaired":true}`),
		"taken back":                   append(slices.Clone(wireToHorn), good, undo),
		"another step":                 append(slices.Clone(wireToHorn), `{"volts":["B1:1","T1:X2"],"step":"store warm","read":118.7}`),
		"a conductor that hangs free":  {`{"volts":["B1:1","T1:X2"],"step":"mute pressed","read":31}`, `{"volts":["B1:1","T1:X2"],"step":"mute pressed","read":8}`},
		"cannot be made, then is made": {`{"cannot":{"volts":["B1:1","T1:X2"],"step":"door left open"}}`, good},
	} {
		assert.Empty(t, m.Turn(readLog(t, m, lines...), Choosing{}).Intermittent, name)
	}
	for name, lines := range map[string][]string{
		"a look":       {`{"look":"H1","step":"store warm","saw":"on"}`, `{"look":"H1","step":"store warm","saw":"off"}`},
		"ohms":         {`{"ohms":["CR1:22","B1:1"],"read":0.2}`, `{"ohms":["CR1:22","B1:1"],"read":"OL"}`},
		"three times":  {good, wireToHorn[3], good},
		"and repaired": {`{"look":"H1","step":"store warm","saw":"on","repaired":true}`, `{"look":"H1","step":"store warm","saw":"off"}`},
	} {
		turn := m.Turn(readLog(t, m, lines...), Choosing{})
		assert.Len(t, turn.Intermittent, 1, name)
	}
}
