package paper

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/paper/sheet/browser"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// boardOf is a class of thirty, some in every state.
func boardOf(t *testing.T) Board {
	t.Helper()
	m := builtinModel(t, "cold-store-alarm")
	now := time.Date(2026, 3, 2, 9, 31, 7, 0, time.UTC)
	left := func(minutes float64) *time.Duration {
		d := time.Duration(minutes * float64(time.Minute))
		return &d
	}
	checks := m.Checks()
	glance := func(i int, at time.Duration) exam.Glance {
		c := checks[i*7%len(checks)]
		r, err := m.Meter(i % len(m.Faults())).Read(c)
		require.NoError(t, err)
		e, err := m.Book().NewEntry(c, &r)
		require.NoError(t, err)
		return exam.Glance{State: exam.HalfWay, Checks: 3 + i%5, Last: &e, At: now.Add(-at),
			Start: training.Doubt{Faults: 80, Groups: 30, Bits: 4.2}, Now: training.Doubt{Faults: 20 - i%17, Groups: 9 - i%8, Bits: 3 - float64(i%6)/2}}
	}
	b := Board{Title: "Class test", Now: now, Renews: 4}
	for i := range 30 {
		s := BoardSeat{Candidate: exam.Candidate{Number: i + 1, Name: fmt.Sprintf("Candidate Longername %d", i+1)}, Of: 2, Task: 1,
			Here: true, Left: left(12), Replay: fmt.Sprintf("board/%d.html", i+1), Models: []*diagnose.Model{m}}
		g := glance(i, time.Minute)
		switch i {
		case 3:
			s.Task, s.Here, s.Left, s.Replay = 0, false, nil, ""
			b.Seats = append(b.Seats, s)
			continue
		case 5:
			g.At = now.Add(-7 * time.Minute)
		case 8:
			g.Nothing, g.Now.Groups = 4, 3
		case 11:
			s.Here = false
		case 13:
			s.Left = left(-1)
		case 17:
			g.Unsafe = []training.Unsafe{{Kind: training.OhmsLive}, {Kind: training.NotProvedDead}}
		case 19:
			g.Broken = 4
		case 22:
			done := glance(9, 0)
			done.State, done.Right = exam.Complete, true
			g.State = exam.Complete
			s.Task, s.Glances, s.Here, s.Left = 2, []exam.Glance{done}, false, nil
		}
		s.Glances = append(s.Glances, g)
		b.Seats = append(b.Seats, s)
	}
	return b
}

func boardPage(t *testing.T, b Board) string {
	t.Helper()
	var text bytes.Buffer
	require.NoError(t, b.Write(&text))
	file := filepath.Join(t.TempDir(), "board.html")
	require.NoError(t, os.WriteFile(file, text.Bytes(), 0o600))
	return file
}

// Thirty candidates are seen at one glance, without scrolling, on a screen of 1280 by 800, and
// read one below the other on a phone. Every state has a word and a sign of its own.
func TestBoard(t *testing.T) {
	b := boardOf(t)
	file := boardPage(t, b)
	for _, o := range []browser.Options{{Width: 1280, Height: 800}, {Width: 390, Height: 800}, {Width: 1280, Height: 800, Dark: true, NoScript: true}} {
		w := browser.Open(t, o)
		w.Go(file)
		assert.Empty(t, w.SticksOut(), "%d", o.Width)
		assert.Contains(t, w.Text("#as-of"), "As of 09:31:07, renewed every 4 s.")
		counts := strings.Join(strings.Fields(w.Text(".counts")), " ")
		for _, want := range []string{"23 at work", "1 done", "1 not here", "1 idle", "1 away", "1 stuck", "1 time is over", "1 log changed", "! 1 unsafe"} {
			assert.Contains(t, counts, want)
		}
		text := w.Text("main")
		for _, want := range []string{"7 min quiet", "4 told nothing", "2 named, 1 right", "circuit not tested for voltage", "12 min"} {
			assert.Contains(t, text, want)
		}
		if o.Width == 1280 {
			var height int
			w.Evaluate(`document.documentElement.scrollHeight`, &height)
			assert.LessOrEqual(t, height, 800, "one glance")
		}
		if dir := os.Getenv("DEADRUNG_PICTURES"); dir != "" {
			name := filepath.Join(dir, fmt.Sprintf("board-%d%v", o.Width, o.Dark))
			w.Picture(name + ".png")
			w.Print(name + ".pdf")
		}
	}
}

// A page that nothing renews any more says so; one of an exam that was stopped stands still.
func TestBoardIsOld(t *testing.T) {
	b := boardOf(t)
	w := browser.Open(t, browser.Options{Width: 1280, Height: 800})
	w.Go(boardPage(t, b))
	assert.True(t, w.Has("#old:not([hidden])"))
	b.Now = time.Now()
	w.Go(boardPage(t, b))
	assert.False(t, w.Has("#old:not([hidden])"))
	b.Stopped = true
	var text bytes.Buffer
	require.NoError(t, b.Write(&text))
	assert.Contains(t, text.String(), "Stopped at")
	assert.NotContains(t, text.String(), "http-equiv")
	assert.NotContains(t, text.String(), "<script")
}

// What a seat is at: what needs somebody most comes first.
func TestBoardStates(t *testing.T) {
	now := time.Now()
	over, some := -time.Second, time.Minute
	work := exam.Glance{State: exam.HalfWay, At: now, Now: training.Doubt{Groups: 3}, Last: &log.Entry{}}
	with := func(change func(*BoardSeat, *exam.Glance)) string {
		g := work
		s := BoardSeat{Of: 2, Task: 1, Here: true, Left: &some}
		change(&s, &g)
		s.Glances = []exam.Glance{g, g}[:s.Task]
		return s.at(now)
	}
	for want, change := range map[string]func(*BoardSeat, *exam.Glance){
		atWork:    func(*BoardSeat, *exam.Glance) {},
		atMissing: func(s *BoardSeat, _ *exam.Glance) { s.Task = 0 },
		atDone:    func(s *BoardSeat, g *exam.Glance) { s.Task, s.Here, g.State, g.Nothing = 2, false, exam.Complete, 9 },
		atAway:    func(s *BoardSeat, g *exam.Glance) { s.Here, g.Nothing = false, 9 },
		atStuck:   func(_ *BoardSeat, g *exam.Glance) { g.Nothing, g.At = 3, now.Add(-time.Hour) },
		atIdle:    func(_ *BoardSeat, g *exam.Glance) { g.Nothing, g.At = 2, now.Add(-exam.IdleAfter) },
		atOver:    func(s *BoardSeat, g *exam.Glance) { s.Left, s.Here = &over, false },
		atBroken:  func(s *BoardSeat, g *exam.Glance) { s.Left, g.Broken = &over, 2 },
	} {
		assert.Equal(t, want, with(change))
	}
	assert.Equal(t, atWork, with(func(_ *BoardSeat, g *exam.Glance) { g.Nothing, g.Now.Groups = 9, 1 }), "the verdict may be proved")
}
