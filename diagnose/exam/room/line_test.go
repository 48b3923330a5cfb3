package room

import (
	"net"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/exam"
)

// A second program at a sitting is refused while the first is there, and takes over when that is
// gone, with its log. The first, come back, is refused in its turn.
func TestTwoAtOneSitting(t *testing.T) {
	r := opened(t, "7")
	id := exam.SittingID(r.set.Key.Exam, 1, 1)
	text := "{\"line\":1}\n"
	first, second := r.at(t, r, 1, id), r.at(t, r, 1, id)
	first.Log = func() ([]byte, error) { return []byte(text), nil }
	var back string
	second.Log = func() ([]byte, error) { return []byte(back), nil }
	second.Restore = func(b []byte) error { back = string(b); return nil }
	require.NoError(t, first.Send())
	for range 3 {
		err := second.Connect()
		assert.ErrorIs(t, err, ErrTaken)
		assert.ErrorContains(t, err, "go on there, or stop it there first")
	}
	text += "{\"line\":2}\n"
	require.NoError(t, first.Send(), "the first was not disturbed")
	require.Len(t, r.says(), 1, "the instructor is told once")
	assert.Contains(t, r.says()[0], "another program, at 127.0.0.1:")

	first.Close()
	require.Eventually(t, func() bool { return second.Connect() == nil }, 5*time.Second, 10*time.Millisecond)
	assert.Equal(t, text, back)
	assert.ErrorIs(t, first.Connect(), ErrTaken)
	assert.Equal(t, text, r.copies[0].String())
}

// The program whose connection was lost comes back by another one at once, whatever the machine
// thinks of the old one.
func TestComesBack(t *testing.T) {
	r := opened(t, "7")
	own := r.at(t, r, 1, exam.SittingID(r.set.Key.Exam, 1, 1))
	text := "{\"line\":1}\n"
	own.Log = func() ([]byte, error) { return []byte(text), nil }
	require.NoError(t, own.Send())
	for i := range 10 {
		if i%2 == 0 {
			own.call = nil // the cable is out: nobody has closed it
		} else {
			own.call.conn.Close()
		}
		text += "{\"line\":2}\n"
		require.NoError(t, own.Send())
	}
	assert.Equal(t, text, r.copies[0].String())
	assert.Empty(t, r.says())
}

// A program that is only there by its connection, as one whose machine has lost its power, gives
// its sitting up to the next that asks; of many that ask at once one gets it.
func TestTakenOver(t *testing.T) {
	r := equipped(t, "7")
	id := exam.SittingID(r.set.Key.Exam, 1, 1)
	key := r.set.Key.Keys[0]
	s, err := r.server.open(id, key, 0)
	require.NoError(t, err)
	near, far := net.Pipe()
	defer near.Close()
	dead := newLine(far)
	dead.program = "dead"
	require.Empty(t, s.take(dead))
	var all sync.WaitGroup
	refused := make(chan string, 5)
	for range cap(refused) {
		all.Go(func() {
			near, far := net.Pipe()
			l := newLine(far)
			l.program = near.LocalAddr().String() + time.Now().String()
			go answersPings(near, l)
			refused <- s.take(l)
		})
	}
	all.Wait()
	got := 0
	for range cap(refused) {
		if <-refused == "" {
			got++
		}
	}
	assert.Equal(t, 1, got)
}

// answersPings is a program that says it is there.
func answersPings(c net.Conn, l *line) {
	b := make([]byte, 200)
	for {
		if _, err := c.Read(b); err != nil {
			return
		}
		l.heard()
	}
}
