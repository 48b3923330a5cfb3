package main

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// searched runs a simulated search to its end.
func searched(t *testing.T, m *diagnose.Model, fault string) *logged {
	t.Helper()
	i, err := faultmodel.Find(m.Faults(), fault)
	require.NoError(t, err)
	out, _ := inMemory(80)
	d := simulating(m, out)
	require.NoError(t, d.search(newRig(m, i, rand.New(rand.NewPCG(1, 1))), &simulated{}))
	return d
}

func pointsText(points []talk.Point) string {
	var lines []string
	for _, p := range points {
		lines = append(lines, p.Label+": "+p.Line())
	}
	return strings.Join(lines, "\n")
}

// A blown fuse never goes without the warning, be it the verdict or its consequence.
func TestFuseWarnings(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	for fault, says := range map[string]string{
		"open-F1":     "WARNING: Find what blew it before a new one goes in.",
		"shorted-CR1": "WARNING: This opens fuse F1 as well.",
		"shorted-TR1": "WARNING: This opens fuse F1 as well.",
		"ground-4":    "WARNING: This opens fuse F1 as well.",
	} {
		d := searched(t, m, fault)
		assert.Contains(t, pointsText(d.Speak.Verdict(d.Turn())), says, fault)
	}
	d := searched(t, m, "open-B1")
	assert.Equal(t, "VERDICT: Horn B1 is open.\nWhere: horn B1, terminals 1 and 2, on the door.",
		pointsText(d.Speak.Verdict(d.Turn())))
	assert.Equal(t, []string{"Replace the horn."}, d.Speak.Repair(d.Turn()))
}

func TestVerdictOfAGroup(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	d := searched(t, m, "stuck-TR1-never")
	text := pointsText(d.Speak.Verdict(d.Turn()))
	assert.Contains(t, text, "VERDICT: One of these 2; no check tells them apart:")
	assert.Contains(t, text, "- timer TR1 never times out (50 %); timer TR1, in the panel.")
	assert.Len(t, d.Speak.Repair(d.Turn()), 2)
}

// What each reading ruled out adds up to all that is ruled out, and a check that was
// made again counts with its last answer.
func TestTallies(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	d := searched(t, m, "open-B1")
	gone := 0
	for _, tally := range d.Speak.Tallies(d.Log()) {
		gone += len(tally.Faults)
	}
	assert.Equal(t, len(m.Faults())-len(d.Turn().Left), gone)

	wrong, err := m.Book().NewEntry(d.Log().Entries[0].Check,
		&log.Reading{Kind: log.Look, On: !d.Log().Entries[0].Answer.On, Firm: true})
	require.NoError(t, err)
	log := log.Log{Entries: append([]log.Entry{wrong}, d.Log().Entries...)}
	tallies := d.Speak.Tallies(log)
	assert.Equal(t, "made again later, and counted there", d.Speak.RuledOut(tallies[0], 3))
	assert.Empty(t, tallies[0].Faults)
}

func TestPossible(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	s := talk.NewSpeaker(m)
	turn := m.Turn(log.Log{}, diagnose.Choosing{})
	lines := s.Possible(&turn, 5)
	require.Len(t, lines, 7)
	assert.Regexp(t, `^\d+ %$`, lines[0].Label)
	assert.Regexp(t, `^and \d+ less likely, in \d+ groups$`, lines[5].Text)
	assert.Equal(t, "nothing at all: a good circuit fits as well", lines[6].Text)
}
