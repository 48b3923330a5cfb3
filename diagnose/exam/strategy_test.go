package exam

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// Ways to sit an exam, from the one an instructor wants to the one that is no work at all.
// Each knows no more than a candidate does: the circuit, the complaint and the readings.
const (
	halfSplit  = "half-split"         // the guided search, to its end
	atRandom   = "checks at random"   // any check that is on the list, until one group is left or 25 were made
	allLooks   = "looking at all"     // the whole operation looked at, then the likeliest named
	oneLook    = "one look"           // one look, then the likeliest named
	guess      = "guess at once"      // the likeliest after the complaint
	alwaysSame = "always the same"    // one fault for every exam, at once
	blind      = "any fault, at once" // drawn from the list
)

// player sits one exam in one of the ways.
type player struct {
	t      *testing.T
	m      *diagnose.Model
	s      *training.Sitting
	random *rand.Rand
	now    time.Time
}

func (p *player) at() string { return p.now.Format(time.RFC3339) }

// check brings the panel into the condition of a check, safely, and makes it.
func (p *player) check(c log.Check) {
	do := func(kinds ...log.ActKind) {
		for _, k := range kinds {
			_, err := p.s.Do(log.Act{Kind: k, At: p.at()})
			require.NoError(p.t, err)
		}
	}
	kind := log.WorkAct
	switch {
	case c.Kind() == log.Ohms:
		if kind = log.HoldAct; !p.s.Stand().Off {
			do(safely...)
		}
	case p.s.Stand().Off:
		do(log.RestoreAct)
	}
	if c.Step == "" {
		c.Step = p.m.Panel().Circuit.Steps[0].Name
	}
	if p.s.StepName() != c.Step {
		_, err := p.s.Do(log.Act{Kind: kind, Step: c.Step, At: p.at()})
		require.NoError(p.t, err)
	}
	p.now = p.now.Add(time.Minute)
	_, _, err := p.s.Check(c, p.at())
	require.NoError(p.t, err)
}

// play makes the checks of a way and gives the fault that it names.
func (p *player) play(way string) int {
	turn := func() diagnose.Turn { return p.m.Turn(p.s.Log(), diagnose.Choosing{Most: -1}) }
	looks := func(most int) {
		for _, step := range p.m.Panel().Circuit.Steps {
			for _, d := range p.m.Panel().Visible() {
				if most--; most < 0 {
					return
				}
				p.check(log.Check{Look: d.Name, Step: step.Name})
			}
		}
	}
	switch way {
	case halfSplit:
		for t := turn(); t.Groups > 1 && t.Next != nil; t = turn() {
			p.check(t.Next.Check)
		}
	case atRandom:
		checks := p.m.Checks()
		for range 25 {
			if t := turn(); t.Groups == 1 || t.Next == nil {
				break
			}
			p.check(checks[p.random.IntN(len(checks))])
		}
	case allLooks:
		looks(1 << 20)
	case oneLook:
		looks(1)
	case alwaysSame:
		likeliest := 0
		for f := range p.m.Faults() {
			if p.m.Faults()[f].Prior > p.m.Faults()[likeliest].Prior {
				likeliest = f
			}
		}
		return likeliest
	case blind:
		return p.random.IntN(len(p.m.Faults()))
	}
	return turn().Candidates[0].Index
}

// ranks are the ways in the order in which an instructor would put them; of those in one line
// none is better than the others.
var ranks = [][]string{{halfSplit}, {atRandom, allLooks}, {oneLook}, {guess}, {alwaysSame, blind}}

// Every way of sitting is played against marking, on several circuits and faults. The marks
// come out in the order in which an instructor would put the ways: who works by half-split has
// 90 and more each time, and whoever guesses is far from passing.
func TestStrategies(t *testing.T) {
	ways := slices.Concat(ranks...)
	for _, name := range []string{"cold-store-alarm", "two-lamp", "start-stop", "off-delay-fan"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := modelOf(t, name)
			pool, _, err := Pool([]*diagnose.Model{m}, Simulated, diagnose.ByMinutes, false)
			require.NoError(t, err)
			random := rand.New(rand.NewPCG(17, 4))
			const faults = 6
			mean, worst := make(map[string]float64), make(map[string]float64)
			for _, way := range ways {
				worst[way] = 100
			}
			e := &Exam{Version: Version, ID: "e", Form: Simulated}
			for range faults {
				fault := pool[random.IntN(len(pool))].Fault
				key := &Key{Version: Version, Exam: "e", Form: Simulated, Faults: 1, By: "minutes"}
				var answers []Answers
				for i, way := range ways {
					k := CandidateKey{Candidate: Candidate{Number: i + 1, Name: way}, Chain: []byte(way),
						Tasks: []TaskKey{{Fault: m.Faults()[fault].ID, Table: []byte("table of " + way)}}}
					key.Keys = append(key.Keys, k)
					answers = append(answers, Answers{File: way, Text: sat(t, m, fault, k, way, random)})
				}
				r, err := Mark(e, key, []*diagnose.Model{m}, Usual, answers)
				require.NoError(t, err)
				for _, d := range r.Marked {
					about := fmt.Sprintf("%s, %s: %+v, %v", d.Candidate.Name, d.Text, d.Points, d.Remarks)
					assert.Equal(t, chainWhole, d.Chain, about)
					assert.Empty(t, d.Remarks, about)
					way := d.Candidate.Name
					mean[way] += d.Points.Total / faults
					worst[way] = min(worst[way], d.Points.Total)
					if way == halfSplit {
						assert.GreaterOrEqual(t, d.Points.Total, 90.0, about)
					}
					var sum float64
					for _, reason := range d.Reasons {
						assert.NotEmpty(t, reason.Why, about)
						sum += reason.Had
					}
					assert.InDelta(t, d.Points.Total, sum, 1e-6, about)
				}
			}
			for _, way := range ways {
				t.Logf("%-20s mean %5.1f, least %5.1f", way, mean[way], worst[way])
			}
			for i, rank := range ranks[1:] {
				for _, better := range ranks[i] {
					for _, way := range rank {
						assert.GreaterOrEqual(t, mean[better]+1e-9, mean[way], "%s before %s", better, way)
					}
				}
			}
			for _, way := range slices.Concat(ranks[1:]...) {
				assert.Less(t, mean[way], mean[halfSplit]-10, way)
			}
			for _, way := range slices.Concat(ranks[2:]...) {
				assert.Less(t, mean[way], Usual.Pass-20, way)
			}
		})
	}
}

// sat is the answer log of a sitting that was played.
func sat(t *testing.T, m *diagnose.Model, fault int, k CandidateKey, way string, random *rand.Rand) []byte {
	table, err := MakeReadings(m, fault, k.Tasks[0].Table)
	require.NoError(t, err)
	p := player{t: t, m: m, s: training.NewSittingAt(m, table), random: random, now: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
	sitting := SittingID("e", k.Number, 1)
	chain := NewChain(k.Chain, sitting)
	var text bytes.Buffer
	keep := func(write func(io.Writer) error) error {
		var line bytes.Buffer
		if err := write(&line); err != nil {
			return err
		}
		text.Write(chain.Add(line.Bytes()))
		return nil
	}
	require.NoError(t, keep(func(w io.Writer) error { return m.Book().WriteSitting(w, sitting, p.at()) }))
	p.s.Keep(keep)
	packed, err := packComplaint(m, fault)
	require.NoError(t, err)
	if e, seen := (PacketTask{Complaint: packed}).Told(m); seen {
		e.At = p.at()
		require.NoError(t, p.s.Told(e))
	}
	named := p.play(way)
	p.now = p.now.Add(time.Minute)
	_, err = p.s.Do(log.Act{Kind: log.StateAct, Fault: m.Faults()[named].ID, At: p.at()})
	require.NoError(t, err)
	return text.Bytes()
}
