package guide

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

const noon = "2031-05-06T12:00:00Z"

// modelOf makes the model of a built-in circuit.
func modelOf(t testing.TB, name string) *diagnose.Model {
	t.Helper()
	text, ok := circuits.BuiltinText(name)
	require.True(t, ok)
	return modelOfText(t, name+".yaml", text)
}

// modelOfText makes the model of a circuit file.
func modelOfText(t testing.TB, file string, text []byte) *diagnose.Model {
	t.Helper()
	c, problems := read.Read(file, text)
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	return m
}

// run is a session that is driven, and held against itself after every answer: it reads the
// log back from the lines that it kept, and goes on from its stored state.
type run struct {
	testing.TB
	s      Session
	kept   []byte
	told   []Event
	answer int
}

// begun begins a session.
func begun(t testing.TB, s Session) *run {
	t.Helper()
	r := &run{TB: t}
	var header lineBuffer
	require.NoError(t, s.Model().Book().WriteHeader(&header))
	r.kept = header
	next, told, err := s.Begin(noon)
	require.NoError(t, err)
	r.took(next, told)
	return r
}

func (r *run) took(next Session, told []Event) {
	r.Helper()
	r.s, r.told = next, told
	for _, e := range told {
		r.kept = append(r.kept, e.Lines...)
		assert.Equal(r, e.Kind == Keep, len(e.Lines) > 0)
	}
}

// take answers, and goes on from what is stored.
func (r *run) take(a Answer) {
	r.Helper()
	r.answer++
	a.At = noon
	before, _ := json.Marshal(r.s.State())
	length := len(r.s.Log().Entries)
	next, told, err := r.s.Answer(a)
	require.NoError(r, err, "%+v at %s", a, before)
	after, _ := json.Marshal(r.s.State())
	require.Equal(r, string(before), string(after), "an answer leaves the session as it was")
	require.Len(r, r.s.Log().Entries, length)
	r.took(next, told)
}

// stored gives the session as it comes back from its log and its state.
func (r *run) stored() Session {
	r.Helper()
	m := r.s.Model()
	log, problems := m.Book().ReadLog("kept", r.kept)
	require.Empty(r, problems, "%s", r.kept)
	require.Len(r, log.Entries, len(r.s.Log().Entries))
	for i, e := range log.Entries {
		was := r.s.Log().Entries[i]
		require.Equal(r, was.Check.String(), e.Check.String())
		require.Equal(r, was.Answer, e.Answer, "%s", r.kept)
		require.Equal(r, was.Repaired, e.Repaired, "%s", r.kept)
	}
	require.Equal(r, len(r.s.Log().Seen), len(log.Seen), "%s", r.kept)
	for i, seen := range log.Seen {
		require.Equal(r, r.s.Log().Seen[i].Before, seen.Before, "%s", r.kept)
		require.Equal(r, r.s.Log().Seen[i].Where, seen.Where)
	}
	require.Len(r, log.Acts, len(r.s.Log().Acts))
	text, err := json.Marshal(r.s.State())
	require.NoError(r, err)
	var st State
	require.NoError(r, json.Unmarshal(text, &st))
	fresh := New(m, r.s.Rules(), log)
	if !r.s.Rules().Proposes {
		sit := training.NewSittingAt(m, nil)
		if !r.s.Sitting().Untold() {
			sit, err = training.Resumed(m, log)
			require.NoError(r, err)
		} else {
			require.NoError(r, sit.Resume(log))
		}
		fresh = At(sit, r.s.Rules())
	}
	back, err := fresh.Stored(st)
	require.NoError(r, err, "%s", text)
	require.Equal(r, asked(r, r.s), asked(r, back))
	was, is := r.s.Turn(), back.Turn()
	require.Equal(r, was.Status, is.Status)
	require.Equal(r, was.Left, is.Left)
	if was.Next != nil && is.Next != nil {
		require.Equal(r, was.Next.Check.String(), is.Next.Check.String())
	}
	require.Equal(r, was.Next == nil, is.Next == nil)
	return back
}

// asked writes what a session asks.
func asked(t testing.TB, s Session) string {
	q, err := json.Marshal(s.Ask())
	require.NoError(t, err)
	return string(q) + fmt.Sprint(s.Ask().Stand)
}

// told tells whether the last answer told something of a kind.
func (r *run) has(k EventKind) bool {
	for _, e := range r.told {
		if e.Kind == k {
			return true
		}
	}
	return false
}

// TestEveryFault: every fault of a circuit is led to its verdict, its repair and the proof
// of operation, the session coming back from what is stored at every point.
func TestEveryFault(t *testing.T) {
	for _, name := range []string{"cold-store-alarm", "start-stop", "two-lamp", "transformer-primary"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := modelOf(t, name)
			for f, fault := range m.Faults() {
				if m.Hidden(f) {
					continue
				}
				meter := m.Meter(f)
				r := begun(t, New(m, Finding(diagnose.ByMinutes), log.Log{}))
				verdict := false
				for !r.s.Over() {
					require.Less(t, r.answer, 200, "%s has no end", fault.ID)
					r.s = r.stored()
					switch q := r.s.Ask(); q.Ask {
					case Complaint:
						r.take(Take("none"))
					case Check:
						reading, err := meter.Read(*q.Check)
						require.NoError(t, err)
						reading.Firm = true
						r.take(Answer{Reading: &reading})
					case Repair:
						verdict = true
						assert.Contains(t, r.s.Turn().Left, f, "%s", fault.ID)
						assert.True(t, r.s.Stand().Locked, "what is repaired is locked off")
						meter = m.Meter(diagnose.Good)
						r.take(Take("repaired"))
						assert.True(t, r.has(BackToPower))
					case Operation:
						r.take(Take("right"))
					default:
						t.Fatalf("%s stands at %s", fault.ID, q.Ask)
					}
				}
				assert.True(t, verdict && r.s.Finished() && r.has(RepairProved), "%s", fault.ID)
				for _, o := range r.s.Proving() {
					assert.Equal(t, WorkedRight, o)
				}
			}
		})
	}
}

// TestEveryFaultSimulated: the same machine without a complaint and without a repair ends
// with the verdict.
func TestEveryFaultSimulated(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	for f, fault := range m.Faults() {
		meter := m.Meter(f)
		r := begun(t, New(m, Simulating(diagnose.ByChecks), log.Log{}))
		for !r.s.Over() {
			require.Less(t, r.answer, 200, "%s has no end", fault.ID)
			q := r.s.Ask()
			require.True(t, q.Panel, "the panel answers")
			reading, err := meter.Read(*q.Check)
			require.NoError(t, err)
			reading.Firm = true
			r.take(Answer{Shown: &training.Shown{Reading: reading}})
		}
		if m.Hidden(f) {
			assert.True(t, r.has(Healthy), "%s", fault.ID)
			continue
		}
		assert.True(t, r.has(Verdict), "%s", fault.ID)
		assert.Contains(t, r.s.Turn().Left, f)
		assert.False(t, r.s.Finished())
	}
}

// TestEveryFaultPractised: the apprentice works to where the guided search would, makes its
// checks, names and mends what is left, and proves the operation.
func TestEveryFaultPractised(t *testing.T) {
	m := modelOf(t, "start-stop")
	for f, fault := range m.Faults() {
		if m.Hidden(f) {
			continue
		}
		r := begun(t, At(training.NewSitting(m, f, 7), Practising(diagnose.ByMinutes, CoachAlways)))
		for r.s.Turn().Next != nil && r.s.Turn().Groups > 1 {
			require.Less(t, r.answer, 500, "%s has no end", fault.ID)
			r.makeCheck(r.s.Turn().Next.Check)
			assert.True(t, r.has(Worth), "the coach tells what it was worth")
		}
		require.Contains(t, r.s.Turn().Left, f)
		r.take(Take("name"))
		r.take(Answer{Where: string(fault.ID)})
		assert.Zero(t, r.told[len(r.told)-1].Stands.Against)
		if !r.s.Ask().Stand.Off {
			r.lockOut()
		}
		r.take(Take("repair"))
		r.take(Take("named"))
		r.take(Take("restore"))
		r.take(Take("prove"))
		for !r.s.Over() {
			r.s = r.stored()
			q := r.s.Ask()
			require.Equal(t, Operation, q.Ask)
			for _, device := range q.Must.On {
				assert.Contains(t, q.Seen.On, device, "%s: what was put right works", fault.ID)
			}
			r.take(Take("right"))
		}
		assert.Equal(t, training.Proved, r.s.Sitting().Ended())
		assert.Empty(t, r.s.Sitting().Unsafe(), "%s", fault.ID)
	}
}

// makeCheck brings the panel into the condition of a check, safely, and makes it.
func (r *run) makeCheck(c log.Check) {
	r.Helper()
	word := Key("work")
	if c.Kind() == log.Ohms {
		if word = "hold"; !r.s.Ask().Stand.Off {
			r.lockOut()
		}
	} else if r.s.Ask().Stand.Off {
		r.take(Take("restore"))
	}
	step := max(0, r.s.Model().Panel().Circuit.Step(c.Step))
	if r.s.Ask().Stand.Step != step {
		r.take(Take(word))
		r.take(Take(keyOf("step", step)))
	}
	r.take(Take(Key(c.Kind().String())))
	bare := c
	bare.Step = ""
	if c.Kind() == log.Look {
		r.take(Take(keyOf("device", c.Look)))
	} else {
		r.take(Answer{Check: &bare})
	}
	r.s = r.stored()
	q := r.s.Ask()
	require.Equal(r, Measure, q.Ask)
	shown, err := r.s.Sitting().Show(*q.Check)
	require.NoError(r, err)
	r.take(Answer{Shown: &shown})
}

func (r *run) lockOut() {
	for _, k := range []Key{"lock", "try", "meter", "dead", "meter"} {
		r.take(Take(k))
	}
}
