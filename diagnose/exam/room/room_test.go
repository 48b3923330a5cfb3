package room

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"net"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// sheet is a file in memory.
type sheet struct {
	mu sync.Mutex
	bytes.Buffer
	full, touched bool
}

// errTouched is a sheet that something else has changed.
type errTouched struct{ error }

func (errTouched) Changed() bool { return true }

func (s *sheet) Text() []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	return bytes.Clone(s.Bytes())
}

func (s *sheet) Cut(size int) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.Truncate(min(s.Len(), size))
	return nil
}

func (s *sheet) Append(lines []byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.full:
		return errors.New("no space left")
	case s.touched:
		return errTouched{errors.New("the copy was replaced")}
	}
	s.Write(lines)
	return nil
}

func (s *sheet) PutBack(lines []byte) (string, error) {
	s.mu.Lock()
	s.touched = false
	s.mu.Unlock()
	return "aside", s.Append(lines)
}

func (s *sheet) Close() error { return nil }

// set makes the sheet one on a full disk, or one that something else has touched.
func (s *sheet) set(full, touched bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.full, s.touched = full, touched
}

// wall is a clock that only the sleeping moves.
type wall struct {
	mu    sync.Mutex
	at    time.Time
	slept time.Duration
}

func (w *wall) now() time.Time { w.mu.Lock(); defer w.mu.Unlock(); return w.at.Add(w.slept) }

func (w *wall) sleep(d time.Duration) { w.mu.Lock(); defer w.mu.Unlock(); w.slept += max(0, d) }

// machine is a served exam in memory.
type machine struct {
	set     *exam.Set
	server  *Server
	address string
	copies  [2]*sheet // of the first candidate: log, questions
	clock   *wall
	step    string
	told    []string // to the instructor
}

// opened sets an exam and serves it until the test ends.
func opened(t *testing.T, seed string) *machine {
	t.Helper()
	r := equipped(t, seed)
	certificate, err := Certificate(r.set.Key.Server, rand.Reader)
	require.NoError(t, err)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { r.server.Serve(ctx, listener, certificate); close(ended) }()
	t.Cleanup(func() { stop(); <-ended })
	r.address = listener.Addr().String()
	return r
}

// equipped sets an exam, and makes all that serves it.
func equipped(t testing.TB, seed string) *machine {
	t.Helper()
	text, ok := circuits.BuiltinText("two-lamp")
	require.True(t, ok)
	c, problems := read.Read("two-lamp.yaml", text)
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(t.Context(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	models := []*diagnose.Model{m}
	random, err := exam.Stretch(seed, "a passphrase for the test", 1)
	require.NoError(t, err)
	set, err := exam.Make(exam.Setting{Title: "Test", Form: exam.Served, Faults: 1, Class: exam.Numbered(2),
		Circuits: []exam.CircuitFile{{File: "two-lamp.yaml", Text: string(text)}}, Models: models, Seed: seed, Random: random, Made: "2026-03-02T09:00:00Z"})
	require.NoError(t, err)
	r := &machine{set: set, clock: &wall{at: time.Now()}, copies: [2]*sheet{{}, {}}, step: c.Steps[0].Name}
	r.server = &Server{Key: &set.Key, Models: models, Clock: Clock{Now: r.clock.now, Wall: r.clock.now, Sleep: r.clock.sleep},
		Open: func(candidate, task int) (Copy, Copy, error) {
			assert.Equal(t, [2]int{1, 1}, [2]int{candidate, task})
			return r.copies[0], r.copies[1], nil
		},
		Failed: func(sitting string, err error) {
			r.clock.mu.Lock()
			defer r.clock.mu.Unlock()
			r.told = append(r.told, err.Error())
		}}
	return r
}

// record is what is written down of the first candidate's sitting.
func (r *machine) record() exam.Record {
	return exam.ReadRecord(r.copies[1].Text(), r.set.Key.RecordChain(exam.SittingID(r.set.Key.Exam, 1, 1)))
}

// says is what the instructor was told.
func (r *machine) says() []string {
	r.clock.mu.Lock()
	defer r.clock.mu.Unlock()
	return slices.Clone(r.told)
}

// at is a candidate's program.
func (r *machine) at(t *testing.T, other *machine, candidate int, sitting string) *Remote {
	k := other.set.Key.Keys[candidate-1]
	remote := &Remote{Address: r.address, Public: other.set.Exam.Server, Chain: k.Chain, Sitting: sitting, Wall: time.Now}
	t.Cleanup(remote.Close)
	return remote
}

// Only who has the packet of a sitting is answered, by the machine of the exam alone, no
// faster than a hand measures, and not after the fault was named.
func TestRefused(t *testing.T) {
	r, other := opened(t, "7"), opened(t, "8")
	id := exam.SittingID(r.set.Key.Exam, 1, 1)
	assert.ErrorContains(t, r.at(t, r, 1, exam.SittingID(r.set.Key.Exam, 2, 1)).Connect(), "this packet does not belong to the exam", "as the neighbour")
	assert.ErrorContains(t, r.at(t, r, 1, "none/1/1").Connect(), "this packet does not belong to the exam")
	assert.ErrorContains(t, r.at(t, other, 1, exam.SittingID(other.set.Key.Exam, 1, 1)).Connect(), "another machine answers there")

	own := r.at(t, r, 1, id)
	require.NoError(t, own.Connect())
	for range 3 {
		_, err := own.Show(log.Check{Look: "H1", Step: r.step}, -1, 0)
		require.NoError(t, err)
	}
	assert.Equal(t, 2*Pause, r.clock.slept, "the first question is answered at once")
	_, err := own.Show(log.Check{Look: "nothing", Step: r.step}, 1e9, -7)
	assert.ErrorIs(t, err, exam.ErrNoAnswer)
	assert.Equal(t, 4, strings.Count(r.copies[1].String(), `"asked":`), "every question is kept")
	assert.Equal(t, exam.Asked{All: 3, Once: 1}, r.record().Asked, "the log has not gone on")
	_, err = own.ask(request{Keep: `{ "fault":"x", "\u0061ct" : "state" }`})
	require.NoError(t, err)
	_, err = own.Show(log.Check{Look: "H1", Step: r.step}, -1, 0)
	assert.ErrorContains(t, err, "this sitting is over")
}

// Nonsense ends the connection and nothing else.
func TestNonsense(t *testing.T) {
	r := opened(t, "7")
	id := exam.SittingID(r.set.Key.Exam, 1, 1)
	first := r.at(t, r, 1, id)
	require.NoError(t, first.Connect())
	_, err := first.call.conn.Write([]byte("nonsense\n"))
	require.NoError(t, err)
	_, there := <-first.call.replies
	assert.False(t, there)
	assert.NoError(t, r.at(t, r, 1, id).Connect())
}

// The log is sent line by line and comes back whole to who has lost it; what no log holds
// is not kept; another log of the same sitting is refused.
func TestLogSentAndBack(t *testing.T) {
	r := opened(t, "7")
	id := exam.SittingID(r.set.Key.Exam, 1, 1)
	text := "{\"line\":1}\n{\"line\":2}\n{\"cut"
	own := r.at(t, r, 1, id)
	own.Log = func() ([]byte, error) { return []byte(text), nil }
	require.NoError(t, own.Send())
	whole := "{\"line\":1}\n{\"line\":2}\n"
	assert.Equal(t, whole, r.copies[0].String(), "a line that is cut short waits")
	for _, refused := range []string{"no JSON", "{}\r"} {
		a, err := own.ask(request{Keep: refused})
		require.NoError(t, err)
		assert.Equal(t, 2, a.Lines, refused)
	}
	own.Close()

	lost := r.at(t, r, 1, id)
	lost.Log = func() ([]byte, error) { return nil, nil }
	var back string
	lost.Restore = func(b []byte) error { back = string(b); return nil }
	require.NoError(t, lost.Connect())
	assert.Equal(t, whole, back)
	assert.Equal(t, 2, lost.CameBack())
	lost.Close()

	second := r.at(t, r, 1, id)
	second.Log = func() ([]byte, error) { return []byte("{\"line\":9}\n"), nil }
	assert.ErrorIs(t, second.Connect(), ErrOtherLog)
}

// A full disk on the instructor's machine is told on both sides, leaves no half line, and what
// could not be kept is sent again. A copy that something else has touched is written back.
func TestMachineCannotKeep(t *testing.T) {
	r := opened(t, "7")
	id := exam.SittingID(r.set.Key.Exam, 1, 1)
	text := "{\"line\":1}\n{\"line\":2}\n"
	own := r.at(t, r, 1, id)
	own.Log = func() ([]byte, error) { return []byte(text), nil }
	r.copies[0].set(true, false)
	assert.ErrorContains(t, own.Send(), "the instructor's machine cannot write")
	assert.Empty(t, r.copies[0].Text())
	r.copies[0].set(false, false)
	require.NoError(t, own.Send())
	assert.Equal(t, text, r.copies[0].String())
	r.copies[1].set(true, false)
	_, err := own.Show(log.Check{Look: "H1", Step: r.step}, -1, 0)
	assert.ErrorContains(t, err, "cannot write", "a question that is not kept is not answered")
	r.copies[1].set(false, false)
	_, err = own.Show(log.Check{Look: "H1", Step: r.step}, -1, 0)
	require.NoError(t, err)
	text += "{\"line\":3}\n"
	r.copies[0].set(false, true)
	require.NoError(t, own.Send())
	assert.Equal(t, text, r.copies[0].String())
	r.clock.mu.Lock()
	defer r.clock.mu.Unlock()
	require.Len(t, r.told, 3)
	assert.Contains(t, r.told[0], "no space left")
	assert.Contains(t, r.told[2], "written back as it was, and what stood there is in aside")
}

// A file that is no copy of an answer log is left as it is.
func TestStrangeCopy(t *testing.T) {
	r := opened(t, "7")
	r.copies[0].WriteString("a sealed key\nof an exam")
	own := r.at(t, r, 1, exam.SittingID(r.set.Key.Exam, 1, 1))
	assert.ErrorContains(t, own.Connect(), "tell the instructor")
	assert.Equal(t, "a sealed key\nof an exam", r.copies[0].String())
	r.clock.mu.Lock()
	defer r.clock.mu.Unlock()
	require.Len(t, r.told, 1)
}
