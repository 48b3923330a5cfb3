package guide

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// kept is a session on the cold-store alarm with answers in its log.
func kept(t *testing.T, entries ...log.Entry) *run {
	t.Helper()
	m := modelOf(t, "cold-store-alarm")
	var history log.Log
	var lines lineBuffer
	require.NoError(t, m.Book().WriteHeader(&lines))
	for _, e := range entries {
		made, err := m.Book().NewEntry(e.Check, e.Answer)
		require.NoError(t, err)
		made.Note, made.At, made.Repaired = e.Note, noon, e.Note == RepairedNote
		require.NoError(t, made.AppendTo(&lines))
		history.Entries = append(history.Entries, made)
	}
	r := &run{TB: t, kept: lines}
	next, told, err := New(m, Finding(diagnose.ByMinutes), history).Begin(noon)
	require.NoError(t, err)
	r.took(next, told)
	return r
}

// lookedOff is a look at a device that was off.
func lookedOff(device, step, note string) log.Entry {
	return log.Entry{Check: log.Check{Look: device, Step: step}, Answer: &log.Reading{Kind: log.Look, Firm: true}, Note: note}
}

// An answer that is dropped is out of the session and out of its file, wherever it stood;
// the others are as they were.
func TestLeaveOut(t *testing.T) {
	entries := []log.Entry{
		lookedOff("B1", "door left open", training.ComplaintNote), lookedOff("CR1", "mute pressed", ""),
		lookedOff("H1", "store warm", RepairedNote), lookedOff("TR1", "door just opened", ""),
	}
	for at := range entries {
		r := kept(t, entries...)
		w := r.s.working(noon)
		require.NoError(t, w.leaveOut(at))
		r.took(w.Session, w.told)
		assert.True(t, r.has(Dropped))
		history, problems := r.s.Model().Book().ReadLog("kept", r.kept)
		require.Empty(t, problems)
		require.Len(t, history.Entries, len(entries)-1)
		require.Len(t, r.s.Log().Entries, len(entries)-1)
		for i, e := range history.Entries {
			was := i
			if i >= at {
				was++
			}
			assert.Equal(t, entries[was].Check, e.Check)
			assert.Equal(t, entries[was].Note, e.Note)
			assert.Equal(t, noon, e.At)
			assert.Equal(t, e.Repaired, r.s.Log().Entries[i].Repaired)
		}
		want := 2
		if at < 2 {
			want = 1
		}
		assert.Equal(t, want, history.Since(), "what was before the repair stays so")
	}
}

// What was read before a repair no longer counts after it, in the session as in its file.
func TestRepairBeginsAnew(t *testing.T) {
	r := kept(t, lookedOff("B1", "door left open", ""), lookedOff("H1", "store warm", RepairedNote))
	assert.Equal(t, 1, r.s.Log().Since())
	fresh := kept(t, lookedOff("H1", "store warm", ""))
	assert.Equal(t, fresh.s.Turn().Left, r.s.Turn().Left)
	assert.Contains(t, string(r.kept), `"note":"after the repair"`)
	assert.Equal(t, 1, strings.Count(string(r.kept), `"repaired":true`))
	r.take(Take("back"))
	assert.Zero(t, r.s.Log().Since())
}

// Either of two readings that contradict each other can be dropped, and a session without
// any has nothing to drop.
func TestEitherCanBeDropped(t *testing.T) {
	lamp := log.Entry{Check: log.Check{Look: "H1", Step: "store warm"},
		Answer: &log.Reading{Kind: log.Look, On: true, Firm: true}, Note: training.ComplaintNote}
	dead := log.Entry{Check: log.Check{Volts: []circuits.Terminal{"H1:1", "H1:2"}, Step: "store warm"},
		Answer: &log.Reading{Kind: log.Volts, Value: 0.1, Firm: true}}
	assert.False(t, kept(t, lamp).s.Ask().Has("drop"))
	stays := make(map[log.Kind]bool)
	for i := range 2 {
		r := kept(t, lamp, dead)
		require.Len(t, r.s.Turn().Contradicting, 1)
		r.take(Take("drop"))
		require.Len(t, r.s.Ask().Choices, 3)
		r.take(Take(keyOf("entry", i)))
		require.Len(t, r.s.Log().Entries, 1)
		assert.False(t, r.s.Ask().Has("drop"), "what is left contradicts nothing")
		stays[r.s.Log().Entries[0].Check.Kind()] = true
	}
	assert.Len(t, stays, 2, "either of them")
}

// The lock-out comes before the first ohms check and whenever power was on since; the
// way back to power comes before the first live check after that.
func TestLockOut(t *testing.T) {
	look := log.Check{Look: "H1", Step: "door left open"}
	ohms := log.Check{Ohms: []circuits.Terminal{"H1:1", "H1:2"}}
	for _, c := range []struct {
		name   string
		wasOff bool
		checks []log.Check
		want   []EventKind
	}{
		{"looks need neither", false, []log.Check{look, look}, []EventKind{"", ""}},
		{"the first ohms", false, []log.Check{ohms, ohms}, []EventKind{LockOut, ""}},
		{"power was on since", false, []log.Check{ohms, look, ohms}, []EventKind{LockOut, BackToPower, LockOut}},
		{"and stays on", false, []log.Check{ohms, look, look}, []EventKind{LockOut, BackToPower, ""}},
		{"resumed after ohms, live", true, []log.Check{look, look}, []EventKind{BackToPower, ""}},
		{"resumed after ohms, ohms", true, []log.Check{ohms, look}, []EventKind{LockOut, BackToPower}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := kept(t)
			r.s.state.WasOff = c.wasOff
			for i, check := range c.checks {
				w := r.s.working(noon)
				w.show(&diagnose.Proposal{Check: check})
				w.state.Stand = After(w.m.Panel().Circuit, check)
				r.took(w.Session, w.told)
				for _, k := range []EventKind{LockOut, BackToPower} {
					assert.Equal(t, c.want[i] == k, r.has(k), "check %d", i+1)
				}
			}
		})
	}
}
