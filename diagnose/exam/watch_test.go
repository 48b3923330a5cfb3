package exam

import (
	"bytes"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
	"deadrung/diagnose/training"
)

// What is seen of a candidate, line by line: what is still possible, which checks told nothing,
// what was unsafe, and whether what was named is right.
func TestGlance(t *testing.T) {
	s := newSchool(t, Served, "A", "B")
	w := NewWatch(s.key, []*diagnose.Model{s.m}, Usual)
	glance := func(d *desk) Glance {
		g, err := w.Glance(*s.key.Of(1), 1, d.answers())
		require.NoError(t, err)
		return g
	}
	g, err := w.Glance(*s.key.Of(2), 1, Answers{})
	require.NoError(t, err)
	assert.Equal(t, Missing, g.State)

	d := s.desk(1)
	d.check()
	g = glance(d)
	assert.Equal(t, []any{Begun, 10, 10, 0, false}, []any{g.State, g.Start.Groups, g.Now.Groups, g.Checks, g.Stuck()})
	d.check(behindSwitch)
	g = glance(d)
	assert.Equal(t, []any{HalfWay, 10, 3, 1, 0}, []any{g.State, g.Start.Groups, g.Now.Groups, g.Checks, g.Nothing})
	assert.Equal(t, behindSwitch.String(), g.Last.Check.String())
	d.check(behindSwitch, behindSwitch)
	assert.False(t, glance(d).Stuck())
	d.check(behindSwitch)
	g = glance(d)
	assert.Equal(t, []any{3, 4, true}, []any{g.Nothing, g.Checks, g.Stuck()})
	_, _, err = d.s.Check(lampOhms, d.at())
	require.ErrorIs(t, err, training.ErrRefused)
	require.NotEmpty(t, glance(d).Unsafe)
	assert.Equal(t, training.OhmsLive, glance(d).Unsafe[0].Kind)
	d.name("open-H2", 5)
	g = glance(d)
	assert.Equal(t, []any{Complete, false, false}, []any{g.State, g.Right, g.Stuck()})

	d = s.desk(1)
	d.check(behindSwitch, acrossLamp)
	d.name(darkLamp, 5)
	g = glance(d)
	assert.Equal(t, []any{Complete, true, 1, 0}, []any{g.State, g.Right, g.Now.Groups, g.Broken})
	a := d.answers()
	a.Text = bytes.Replace(a.Text, []byte(`"read":`), []byte(`"read": `), 1)
	g, err = w.Glance(*s.key.Of(1), 1, a)
	require.NoError(t, err)
	assert.Positive(t, g.Broken)
}

// What is marked so far is what is marked in the end.
func TestReplaySoFar(t *testing.T) {
	s := newSchool(t, Served, "A")
	d := s.desk(1)
	d.check(behindSwitch, acrossLamp)
	d.name(darkLamp, 5)
	w := NewWatch(s.key, []*diagnose.Model{s.m}, Usual)
	got, err := w.Replay(*s.key.Of(1), map[int]Answers{1: d.answers()})
	require.NoError(t, err)
	want := s.mark(Usual, d.answers())
	assert.Equal(t, want.Marked[0].Points, got.Marked[0].Points)
	assert.Equal(t, want.Class, got.Class)
	none, err := w.Replay(*s.key.Of(1), nil)
	require.NoError(t, err)
	assert.Empty(t, none.Class)
}

// A glance may be had while a replay is worked out, and while checks are answered.
func TestWatchBesides(t *testing.T) {
	s := newSchool(t, Served, "A")
	d := s.desk(1)
	d.check(behindSwitch, acrossLamp)
	a := d.answers()
	w := NewWatch(s.key, []*diagnose.Model{s.m}, Usual)
	live := NewLive(s.m, faultOf(t, s.m, darkLamp), []byte("a key"))
	var all sync.WaitGroup
	all.Go(func() {
		_, err := w.Replay(*s.key.Of(1), map[int]Answers{1: a})
		assert.NoError(t, err)
	})
	for i := range 20 {
		all.Go(func() {
			g, err := w.Glance(*s.key.Of(1), 1, a)
			assert.NoError(t, err)
			assert.Equal(t, 1, g.Now.Groups)
		})
		_, err := live.Show(behindSwitch, -1, i)
		assert.NoError(t, err)
	}
	all.Wait()
}
