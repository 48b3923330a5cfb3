package training

import (
	"bytes"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Two faults at once: the panel shows both, the repair of one leaves the other, in either order,
// and it is good when both are put right. The replay wants both named, and a log goes on.
func TestTwoAtOnce(t *testing.T) {
	m := modelOf(t, "start-stop")
	fuse, seal := faultOf(t, m, "open-F1"), faultOf(t, m, "open-M1:13-14")
	look := func(s *Sitting, device, step string) bool {
		r, err := s.Meter().Read(log.Check{Look: device, Step: step})
		require.NoError(t, err)
		return r.On
	}
	for _, order := range [][2]int{{fuse, seal}, {seal, fuse}} {
		s, ok := NewSittingWithTwo(m, fuse, seal, 5)
		require.True(t, ok)
		var text bytes.Buffer
		require.NoError(t, m.Book().WriteHeader(&text))
		s.Keep(func(write func(io.Writer) error) error { return write(&text) })
		require.NoError(t, s.Begin(""))
		told, seen, err := s.Complain("")
		require.NoError(t, err)
		require.True(t, seen)
		assert.Equal(t, "H2", told.Check.Look, "nothing lights without the fuse")
		for i, f := range order {
			assert.False(t, s.Good())
			id := m.Faults()[f].ID
			for _, a := range []log.Act{{Kind: log.StateAct, Fault: id}, {Kind: log.RepairAct, Fault: id}} {
				_, err := s.Do(a)
				require.NoError(t, err)
			}
			if i == 0 {
				assert.Equal(t, order[0] == fuse, look(s, "H2", "at rest"), "the other is still there")
				assert.False(t, look(s, "M1", "start let go"))
				replay, err := Play(s, diagnose.ByMinutes)
				require.NoError(t, err)
				assert.False(t, replay.Right)
				assert.False(t, replay.Repaired)
			}
		}
		assert.True(t, s.Good())
		assert.True(t, look(s, "M1", "start let go"))
		right := true
		_, err = s.Do(log.Act{Kind: log.ProveAct, Right: &right})
		require.NoError(t, err)
		replay, err := Play(s, diagnose.ByMinutes)
		require.NoError(t, err)
		assert.True(t, replay.Right)
		assert.True(t, replay.Proved)
		assert.NotEmpty(t, replay.Guided.Checks)
		assert.Len(t, replay.Guided.Spent, len(replay.Guided.Checks))

		history, problems := m.Book().ReadLog("log", text.Bytes())
		require.Empty(t, problems)
		again, err := Resumed(m, history)
		require.NoError(t, err)
		assert.Equal(t, s.Hidden(), again.Hidden())
		assert.True(t, again.Good())
	}
	_, ok := NewSittingWithTwo(m, seal, faultOf(t, m, "closed-M1:13-14"), 5)
	assert.False(t, ok, "one contact is not open and welded")
}

// Every two faults of the program's own course can be at once, and each shows once the other is
// put right: a lesson teaches nothing where the second is never seen.
func TestOwnCourseOfTwo(t *testing.T) {
	pairs := 0
	for _, l := range OwnCourse() {
		for _, ids := range l.Faults {
			both := LessonFaults(ids)
			if len(both) < 2 {
				continue
			}
			pairs++
			m := modelOf(t, l.Circuit)
			one, other := faultOf(t, m, string(both[0])), faultOf(t, m, string(both[1]))
			s, ok := NewSittingWithTwo(m, one, other, 1)
			require.True(t, ok, ids)
			_, seen, err := s.Complain("")
			require.NoError(t, err)
			assert.True(t, seen, ids)
			for _, f := range []int{one, other} {
				_, seen, err := ComplaintOf(m, f)
				require.NoError(t, err)
				assert.True(t, seen, m.Faults()[f].ID)
			}
		}
	}
	assert.Positive(t, pairs)
	assert.Equal(t, []faultmodel.ID{"a", "b"}, LessonFaults("a and b"))
}
