package work

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
)

// A motor of two speeds runs by either of its windings, hums where that one has lost a line, and
// tells which way it runs by the winding that is fed. The other winding reads nothing firmly: it has
// what is induced in it. With both fed nobody is sure of anything.
func TestTwoSpeeds(t *testing.T) {
	text, err := os.ReadFile("../../diagnose/testdata/parts/two-speed.yaml")
	require.NoError(t, err)
	c, problems := read.Read("two-speed.yaml", text)
	require.NoError(t, problems.Err())
	p := Assemble(c)
	motor := p.Device("TSM1")
	look := func(o *Overlay, e *End, part string) (on, firm bool) {
		return p.See(o, e, Sight{Device: motor, Look: motor.Type.LookAt(part)})
	}
	type seen struct{ runs, hums, fast, firm bool }
	at := func(o *Overlay) (steps []seen) {
		p.Work(o, func(_ int, e *End) bool {
			var s seen
			var firm [3]bool
			s.runs, firm[0] = look(o, e, "")
			s.hums, firm[1] = look(o, e, "hum")
			s.fast, firm[2] = look(o, e, "high-speed")
			s.firm = firm[0] && firm[1] && firm[2]
			steps = append(steps, s)
			return true
		})
		return steps
	}
	rest, slow, quick, hum := seen{firm: true}, seen{runs: true, firm: true}, seen{runs: true, fast: true, firm: true}, seen{hums: true, firm: true}
	assert.Equal(t, []seen{rest, slow, quick}, at(&Overlay{}))
	contact := func(device string, i int) []network.Conductor {
		return []network.Conductor{p.Contact(p.Device(device), i)}
	}
	assert.Equal(t, []seen{rest, hum, quick}, at(&Overlay{Overlay: network.Overlay{Open: contact("M1", 1)}}))
	assert.Equal(t, []seen{rest, slow, hum}, at(&Overlay{Overlay: network.Overlay{Open: contact("M2", 2)}}))
	jammed := at(&Overlay{Stuck: []Stuck{{Device: motor}}})
	assert.Equal(t, []seen{rest, hum, hum}, jammed)
	welded := network.Overlay{}
	for i := range 3 {
		welded.Closed = append(welded.Closed, p.Contact(p.Device("M1"), i))
	}
	both := at(&Overlay{Overlay: welded})
	assert.Equal(t, []seen{slow, slow}, both[:2])
	assert.False(t, both[2].firm)

	p.Work(&Overlay{}, func(step int, e *End) bool {
		volts := func(a, b circuits.Terminal) (float64, bool) {
			return e.ReadVolts(p.Node(a), p.Node(b), network.MeterOhms)
		}
		if step == 0 {
			return true
		}
		fed, other := []circuits.Terminal{"TSM1:1U", "TSM1:1V"}, []circuits.Terminal{"TSM1:2U", "TSM1:2V"}
		if step == 2 {
			fed, other = other, fed
		}
		v, firm := volts(fed[0], fed[1])
		assert.True(t, firm)
		assert.InDelta(t, 400, v, 1)
		_, firm = volts(other[0], other[1])
		assert.False(t, firm)
		_, firm = volts(other[0], "G1:N")
		assert.False(t, firm)
		assert.Equal(t, 1, p.Turns(&Overlay{}, e, motor))
		return true
	})
}
