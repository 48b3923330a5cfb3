package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/diagnose/log"
)

const hornSilent = `{"look":"B1","step":"door left open","saw":"off"}`

// One sure reading outweighs an unsure one; two unsure ones weigh as much as it does.
func TestUnsureCountsByHalf(t *testing.T) {
	m := coldStore()
	const full = `{"volts":["B1:1","T1:X2"],"step":"door left open","read":119`
	horn, wire := fault(t, m, "open-B1"), fault(t, m, "open-CR1:22-B1:1")
	turn := func(l ...string) Turn { return m.Turn(readLog(t, m, l...), Choosing{}) }

	sure := turn(hornSilent, full+"}")
	assert.Contains(t, sure.Left, horn)
	assert.NotContains(t, sure.Left, wire)
	unsure := turn(hornSilent, full+`,"sure":false}`)
	assert.Contains(t, unsure.Left, horn, "it leads on where nothing speaks against it")
	assert.NotContains(t, unsure.Left, wire)
	chance := func(turn Turn, f int) float64 {
		for _, c := range turn.Candidates {
			if c.Index == f {
				return c.Probability
			}
		}
		return 0
	}
	assert.Greater(t, chance(unsure, wire), chance(sure, wire), "it rules out less")

	// What was read without being sure gives way to a sure reading beside it.
	const none = `{"volts":["CR1:22","B1:1"],"step":"door left open","read":119}`
	against := turn(hornSilent, full+`,"sure":false}`, none)
	assert.Contains(t, against.Left, wire)
	assert.NotEqual(t, Contradiction, against.Status)
	assert.NotEmpty(t, turn(hornSilent, full+"}", none).Conflicts)

	// No verdict is proved by it.
	proof := `{"volts":["CR1:22","B1:1"],"step":"door left open","read":119,"sure":false}`
	assert.False(t, turn(hornSilent, `{"volts":["B1:1","T1:X2"],"step":"door left open","read":0}`,
		`{"volts":["CR1:22","T1:X2"],"step":"door left open","read":119}`, proof).Proved)
}

// What is found by eye makes the faults there likely, and is proved like any other verdict.
func TestSeenMakesLikely(t *testing.T) {
	m := coldStore()
	history := readLog(t, m, hornSilent, `{"seen":"B1","text":"burnt"}`)
	turn := m.Turn(history, Choosing{})
	for _, f := range turn.Left {
		assert.Contains(t, m.Faults()[f].Text, "horn B1")
	}
	assert.NotNil(t, turn.Next, "it is proved")
	assert.False(t, turn.Proved)
	assert.Equal(t, "B1", turn.Seen[0].Where)

	// A good horn that is measured clears it: the reading weighs more.
	cleared := m.Turn(readLog(t, m, hornSilent, `{"seen":"B1","text":"burnt"}`,
		`{"volts":["B1:1","T1:X2"],"step":"door left open","read":0}`), Choosing{})
	assert.NotContains(t, cleared.Left, fault(t, m, "open-B1"))

	// Taken back it counts no more, and neither does it after a repair.
	back := m.Turn(readLog(t, m, hornSilent, `{"seen":"B1","text":"burnt"}`, `{"undo":true}`), Choosing{})
	assert.Equal(t, m.Turn(readLog(t, m, hornSilent), Choosing{}).Left, back.Left)
	repaired := readLog(t, m, hornSilent, `{"seen":"B1","text":"burnt"}`,
		`{"look":"B1","step":"door left open","saw":"off","repaired":true}`)
	assert.Empty(t, repaired.Counting())
}

// What nobody could tell says nothing, and is not asked again; what flashes speaks for faults
// that come and go.
func TestLookThatIsNeither(t *testing.T) {
	m := coldStore()
	before := m.Turn(log.Log{}, Choosing{})
	unknown := m.Turn(readLog(t, m, `{"look":"B1","step":"door left open","saw":"unknown"}`), Choosing{})
	assert.Equal(t, before.Left, unknown.Left)
	assert.InDelta(t, before.Candidates[0].Probability, unknown.Candidates[0].Probability, 1e-9)
	for _, p := range append(unknown.Others, *unknown.Next) {
		assert.False(t, p.Check.Look == "B1" && p.Check.Step == "door left open", "asked again")
	}
	flashing := m.Turn(readLog(t, m, `{"look":"B1","step":"door left open","saw":"flashing"}`), Choosing{})
	assert.Contains(t, flashing.Left, fault(t, m, "open-CR1:22-B1:1"), "a loose wire to it")
	assert.NotContains(t, flashing.Left, fault(t, m, "open-H1"), "the horn of that one sounds steadily")
	dim := m.Turn(readLog(t, m, `{"look":"H1","step":"door left open","saw":"dim"}`), Choosing{})
	assert.NotEqual(t, Contradiction, dim.Status, "volts tell what it is")
	assert.NotNil(t, dim.Next)
}
