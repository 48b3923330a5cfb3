package room

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
)

// goesOn lets time pass.
func (w *wall) goesOn(d time.Duration) { w.sleep(d) }

// restarted is the machine after a restart, that had been down for some time.
func (r *machine) restarted(down time.Duration) {
	r.clock.goesOn(down)
	v := r.server
	r.server = &Server{Key: v.Key, Models: v.Models, Clock: v.Clock, Open: v.Open, Failed: v.Failed, Hours: v.Hours}
	r.server.begins()
}

// sat is the first candidate's sitting on the machine.
func (r *machine) sat(t *testing.T) *seat {
	t.Helper()
	s, err := r.server.open(exam.SittingID(r.set.Key.Exam, 1, 1), r.set.Key.Keys[0], 0)
	require.NoError(t, err)
	return s
}

// minutesLeft is what a sitting has left.
func minutesLeft(t *testing.T, s *seat) float64 {
	t.Helper()
	left := s.left()
	require.NotNil(t, left)
	return left.Duration().Round(time.Second).Minutes()
}

// Time begins when the candidate comes, however late; it passes while the machine serves, and
// stands still while that is down. What was spent is known after a restart.
func TestTimePasses(t *testing.T) {
	r := equipped(t, "7")
	r.server.Hours.Minutes = 20
	r.server.begins()
	r.clock.goesOn(time.Hour) // a late joiner
	s := r.sat(t)
	assert.Equal(t, 20.0, minutesLeft(t, s))
	r.clock.goesOn(5 * time.Minute)
	assert.Equal(t, 15.0, minutesLeft(t, s))
	s.keep(`{"line":1}`, 1)
	r.restarted(30 * time.Minute)
	s = r.sat(t)
	assert.Equal(t, 15.0, minutesLeft(t, s))
	r.clock.goesOn(4 * time.Minute)
	s.keep(`{"line":2}`, 2)
	r.clock.goesOn(2 * time.Minute) // killed with nothing written down: those are nobody's
	r.restarted(0)
	r.clock.goesOn(3 * time.Minute) // the candidate lets the machine wait
	assert.Equal(t, 20-5-4-3.0, minutesLeft(t, r.sat(t)))
	assert.Zero(t, r.record().Broken)
}

// After the end no check is answered, whatever the candidate's program says; what was done is
// kept all the same. Extra time that is given meanwhile moves the end at once.
func TestEndOfTime(t *testing.T) {
	r := equipped(t, "7")
	extra := 0.0
	r.server.Hours = Hours{Minutes: 20, Extra: func(candidate int) float64 { return extra }}
	r.server.begins()
	s := r.sat(t)
	look := request{Check: &log.Check{Look: "H1", Step: r.step}, Worked: -1}
	require.Empty(t, s.answer(look).Error)
	r.clock.goesOn(20*time.Minute + time.Second)
	assert.Contains(t, s.answer(look).Error, "time is over")
	assert.Negative(t, minutesLeft(t, s))
	require.Empty(t, s.keep(`{"line":1}`, 1).Error)
	extra = 5
	require.Empty(t, s.answer(look).Error)
	r.clock.goesOn(5 * time.Minute)
	require.Contains(t, s.answer(look).Error, "time is over")
	require.Empty(t, s.keep(`{"act":"state","fault":"open-H1"}`, 2).Error)
	assert.Nil(t, s.left(), "it is named")
	assert.Equal(t, exam.Asked{All: 2, Once: 2 - 1}, r.record().Asked, "what was refused does not count")
	spent, over := r.record().At(2)
	assert.Equal(t, 25, int(spent.Minutes()))
	assert.Zero(t, over)
}

// The end for everybody comes whoever has time left, and a late joiner has no more than that.
func TestUntil(t *testing.T) {
	r := equipped(t, "7")
	r.server.Hours = Hours{Minutes: 20, Until: r.clock.now().Add(30 * time.Minute)}
	r.clock.goesOn(25 * time.Minute)
	s := r.sat(t)
	assert.Equal(t, 5.0, minutesLeft(t, s))
	r.clock.goesOn(8 * time.Minute)
	assert.Contains(t, s.answer(request{Check: &log.Check{Look: "H1", Step: r.step}}).Error, "time is over")
	require.Empty(t, s.keep(`{"act":"state","fault":"open-H1"}`, 1).Error)
	_, over := r.record().At(1)
	assert.InDelta(t, 3, over, 0.1)
}

// Lines that the record had no room for are stamped when it has, and after a restart.
func TestStampedLater(t *testing.T) {
	r := equipped(t, "7")
	s := r.sat(t)
	r.copies[1].set(true, false)
	assert.Equal(t, cannotWrite, s.keep(`{"line":1}`, 1).Error)
	r.copies[1].set(false, false)
	assert.Empty(t, s.keep(`{"line":1}`, 1).Error)
	r.copies[1].set(true, false)
	s.keep(`{"line":2}`, 2)
	r.copies[1].set(false, false)
	r.restarted(0)
	r.sat(t)
	for line := 1; line <= 2; line++ {
		assert.True(t, r.record().Has(line, fmt.Appendf(nil, `{"line":%d}`, line)))
	}
	assert.Equal(t, 2, r.record().Lines)
}

// A record that somebody has edited is told to the instructor, and goes on.
func TestRecordEdited(t *testing.T) {
	r := equipped(t, "7")
	r.sat(t).keep(`{"line":1}`, 1)
	r.copies[1].Buffer.WriteString("{}\n")
	r.restarted(0)
	r.sat(t)
	require.Len(t, r.says(), 1)
	assert.Contains(t, r.says()[0], "line 3 of its record was changed")
}

// A program that sends line after line without an end fills neither the disk nor the memory.
func TestLogHasAnEnd(t *testing.T) {
	r := equipped(t, "7")
	s := r.sat(t)
	long := `{"note":"` + strings.Repeat("x", longestRequest-100) + `"}`
	n := 0
	for n = range 1000 {
		if a := s.keep(long, n+1); a.Lines != n+1 {
			break
		}
	}
	assert.Equal(t, mostSize/len(long), n)
	assert.Less(t, len(r.copies[0].Text()), mostSize)
	assert.Equal(t, n+1, s.keep(`{"act":"state","fault":"open-H1"}`, n+1).Lines, "what is small still has room")
}
