package training

import (
	"bytes"
	"context"
	"io"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// modelOf makes the model of a built-in circuit.
func modelOf(t testing.TB, name string) *diagnose.Model {
	t.Helper()
	text, ok := circuits.BuiltinText(name)
	require.True(t, ok)
	return modelFrom(t, name, text)
}

func modelFrom(t testing.TB, name string, text []byte) *diagnose.Model {
	t.Helper()
	c, problems := read.Read(name+".yaml", text)
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	return m
}

func faultOf(t testing.TB, m *diagnose.Model, id string) int {
	t.Helper()
	i, err := faultmodel.Find(m.Faults(), id)
	require.NoError(t, err)
	return i
}

// bring puts a sitting into the condition of a check, safely.
func bring(t testing.TB, s *Sitting, c log.Check) {
	t.Helper()
	do := func(kinds ...log.ActKind) {
		for _, k := range kinds {
			found, err := s.Do(log.Act{Kind: k})
			require.NoError(t, err)
			require.Empty(t, found)
		}
	}
	kind := log.WorkAct
	if c.Kind().Off() {
		kind = log.HoldAct
		if !s.Stand().Off {
			do(log.LockOutAct, log.TryAct, log.TestMeterAct, log.ProveDeadAct, log.TestMeterAct)
		}
	} else if s.Stand().Off {
		do(log.RestoreAct)
	}
	if s.StepName() != c.Step {
		_, err := s.Do(log.Act{Kind: kind, Step: c.Step})
		require.NoError(t, err)
	}
}

// TestTrueFaultAlwaysFits: whatever is checked, wherever and whenever, the readings of
// the panel never speak against the fault that it has.
func TestTrueFaultAlwaysFits(t *testing.T) {
	for _, name := range circuits.Builtin() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := modelOf(t, name)
			checks := m.Checks()
			random := rand.New(rand.NewPCG(7, 7))
			wandered, most := 0, 0.0
			for f := range m.Faults() {
				s := NewSitting(m, f, random.Uint64())
				for range 12 {
					c := checks[random.IntN(len(checks))]
					bring(t, s, c)
					shown, found, err := s.Check(c, "")
					require.NoError(t, err)
					require.Empty(t, found)
					entries := s.Log().Entries
					require.True(t, m.Fits(f, entries[len(entries)-1]), "%s: %s shows %v", m.Faults()[f].ID, c, shown)
					if shown.Wanders {
						wandered++
					} else if exact, err := m.Meter(f).Found(c, s.worked); c.Kind() == log.Volts && err == nil &&
						exact.Value > 1 {
						allowed := diagnose.MeterTolerance*exact.Value + 3.5*Count(c.Kind(), exact.Value)
						most = max(most, abs(shown.Reading.Value-exact.Value)-allowed)
					}
				}
			}
			assert.LessOrEqual(t, most, 1e-9, "volts within the meter's accuracy and its figures")
			t.Logf("%d readings wandered", wandered)
		})
	}
}

func abs(x float64) float64 { return max(x, -x) }

// TestResume: a sitting gone on with from its log stands as it stood and shows what it
// would have shown.
func TestResume(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	checks := m.Checks()
	var text bytes.Buffer
	require.NoError(t, m.Book().WriteHeader(&text))
	s := NewSitting(m, faultOf(t, m, "open-CR1:21-22"), 5)
	s.Keep(func(write func(io.Writer) error) error { return write(&text) })
	random := rand.New(rand.NewPCG(1, 1))
	for range 20 {
		c := checks[random.IntN(len(checks))]
		bring(t, s, c)
		_, _, err := s.Check(c, "2026-01-01T08:00:00Z")
		require.NoError(t, err)
	}
	log, problems := m.Book().ReadLog("log", text.Bytes())
	require.Empty(t, problems)
	again := NewSitting(m, s.Hidden()[0], 5)
	require.NoError(t, again.Resume(log))
	assert.Equal(t, s.Stand(), again.Stand())
	assert.InDelta(t, s.Minutes(), again.Minutes(), 1e-9)
	assert.Equal(t, s.Unsafe(), again.Unsafe())
	for range 5 {
		c := checks[random.IntN(len(checks))]
		bring(t, s, c)
		bring(t, again, c)
		want, _, err := s.Check(c, "")
		require.NoError(t, err)
		got, _, err := again.Check(c, "")
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
}

// TestUnsafe: each omission is named when the circuit is touched, once.
func TestUnsafe(t *testing.T) {
	m := modelOf(t, "two-lamp")
	ohms := log.Check{}
	for _, c := range m.Checks() {
		if c.Kind().Off() {
			ohms = c
			break
		}
	}
	full := []log.ActKind{log.LockOutAct, log.TryAct, log.TestMeterAct, log.ProveDeadAct, log.TestMeterAct}
	for _, tt := range []struct {
		name string
		acts []log.ActKind
		want []UnsafeKind
	}{
		{"all done", full, nil},
		{"live", nil, []UnsafeKind{OhmsLive}},
		{"only switched off", []log.ActKind{log.SwitchOffAct}, []UnsafeKind{NoLockout, NotTried, MeterBefore, NotProvedDead, MeterAfter}},
		{"meter not tested before", []log.ActKind{log.LockOutAct, log.TryAct, log.ProveDeadAct, log.TestMeterAct}, []UnsafeKind{MeterBefore}},
		{"meter not tested after", full[:4], []UnsafeKind{MeterAfter}},
		{"start button not tried", append([]log.ActKind{log.LockOutAct}, full[2:]...), []UnsafeKind{NotTried}},
		{"power back and off again", append(append([]log.ActKind{}, full...), log.RestoreAct, log.SwitchOffAct),
			[]UnsafeKind{NoLockout, NotTried, MeterBefore, NotProvedDead, MeterAfter}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := NewSitting(m, 0, 1)
			for _, k := range tt.acts {
				_, err := s.Do(log.Act{Kind: k})
				require.NoError(t, err)
			}
			if s.Stand().Off {
				_, err := s.Do(log.Act{Kind: log.HoldAct, Step: ohms.Step})
				require.NoError(t, err)
			}
			for range 2 { // the second time nothing new is named, but for a live circuit
				_, _, err := s.Check(ohms, "")
				if s.Stand().Off {
					require.NoError(t, err)
				} else {
					require.ErrorIs(t, err, ErrRefused)
				}
			}
			var got []UnsafeKind
			for _, u := range s.Unsafe() {
				got = append(got, u.Kind)
			}
			if !s.Stand().Off {
				got = got[1:]
			}
			assert.Equal(t, tt.want, got)
		})
	}
}

// TestRepair: the right repair makes the panel good, a repair of the same device does as
// well, a wrong one changes nothing.
func TestRepair(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	look := log.Check{Look: "B1", Step: "door left open"}
	for _, tt := range []struct {
		repair string
		on     bool
	}{{"open-CR1:21-22", true}, {"open-CR1", true}, {"open-B1", false}, {"open-CR1:22-B1:1", false}} {
		s := NewSitting(m, faultOf(t, m, "open-CR1:21-22"), 1)
		_, err := s.Do(log.Act{Kind: log.RepairAct, Fault: faultmodel.ID(tt.repair)})
		require.NoError(t, err)
		require.Equal(t, []Unsafe{{RepairLive, 0}}, s.Unsafe())
		bring(t, s, look)
		shown, _, err := s.Check(look, "")
		require.NoError(t, err)
		assert.Equal(t, tt.on, shown.Reading.On, "after %s", tt.repair)
		assert.True(t, s.Log().Entries[0].Repaired)
	}
}

// FuzzResume: no log that can be read makes a sitting fail otherwise than by an error.
func FuzzResume(f *testing.F) {
	m := modelFrom(f, "lamp", []byte(lampAndTwoSwitches))
	f.Add([]byte(dark + `
{"act":"begin","hidden":"00","seed":1}
{"act":"work","step":"both on"}
{"look":"H2","step":"both on","saw":"on"}
{"act":"attempt","attempt":{"ohms":["H1:1","H1:2"]}}
{"act":"lock-out"}
{"act":"hold","step":"rest"}
{"ohms":["H1:1","H1:2"],"read":480}
{"act":"hint","strength":3}
{"act":"state","fault":"open-H1"}
{"act":"repair","fault":"open-H1"}
{"act":"restore"}
{"act":"prove","right":true}
{"act":"stop"}
`))
	f.Fuzz(func(t *testing.T, text []byte) {
		log, problems := m.Book().ReadLog("log", text)
		if problems.Err() != nil || len(log.Entries) > 20 {
			return
		}
		_, _ = Resumed(m, log)
		s := NewSitting(m, 0, 1)
		if s.Resume(log) == nil {
			_, err := Play(s, diagnose.ByMinutes)
			require.NoError(t, err)
		}
	})
}

// TestGhosts: a floating wire reads up to half of its supply, wanders from reading to
// reading, and is the same wire at every screw of it. In low-impedance mode it is 0 V.
func TestGhosts(t *testing.T) {
	m := modelFrom(t, "lamp", []byte(lampAndTwoSwitches))
	differ := 0
	for seed := range uint64(40) {
		s := NewSitting(m, faultOf(t, m, "open-S2:13-14"), seed)
		_, err := s.Do(log.Act{Kind: log.WorkAct, Step: "rest"})
		require.NoError(t, err)
		read := func(c log.Check) Shown {
			c.Step = "rest"
			shown, _, err := s.Check(c, "")
			require.NoError(t, err)
			return shown
		}
		one := log.Check{Volts: []circuits.Terminal{"S1:14", "SRC:N"}}
		first, second := read(one), read(one)
		require.True(t, first.Wanders)
		if first.Reading != second.Reading {
			differ++
		}
		assert.Equal(t, first.Low, second.Low)
		assert.LessOrEqual(t, first.High, GhostShare*120+0.1)
		assert.True(t, first.Low <= second.Reading.Value && second.Reading.Value <= first.High)
		other := read(log.Check{Volts: []circuits.Terminal{"S2:13", "SRC:N"}})
		assert.Equal(t, first.High, other.High)
		one.LowImpedance = true
		low := read(one)
		assert.False(t, low.Wanders)
		assert.Less(t, low.Reading.Value, 0.1)
	}
	assert.Greater(t, differ, 35, "two readings seldom come out the same")
}
