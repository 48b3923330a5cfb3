package work

import (
	"testing"

	"deadrung/circuits"

	"github.com/stretchr/testify/assert"
)

// inputs are which of four are made: the supply, two more and the reset.
type inputs [4]bool

func (in inputs) made(input int, _ bool) bool { return in[input] }

// A safety relay needs both channels and a reset; after one channel alone has gone it stays out
// until both have been open.
func TestGuards(t *testing.T) {
	const yes, no = true, false
	var a armature
	for i, step := range []struct {
		in inputs
		on bool
	}{
		{inputs{yes, no, no, no}, no},
		{inputs{yes, yes, yes, no}, no},
		{inputs{yes, yes, no, yes}, no},
		{inputs{yes, yes, yes, yes}, yes},
		{inputs{yes, yes, yes, no}, yes}, // let go of the reset
		{inputs{yes, no, yes, no}, no},   // one channel alone
		{inputs{yes, yes, yes, yes}, no}, // is held off
		{inputs{yes, yes, no, yes}, no},
		{inputs{yes, no, no, no}, no}, // until both have been open
		{inputs{yes, yes, yes, yes}, yes},
		{inputs{yes, no, no, no}, no}, // both together do not hold it off
		{inputs{yes, yes, yes, yes}, yes},
		{inputs{no, yes, yes, yes}, no}, // without its supply it forgets
		{inputs{yes, yes, yes, yes}, yes},
	} {
		a = guards(a, step.in.made)
		assert.Equal(t, step.on, a.in, "step %d", i)
	}
}

// A zone module tells an open line, a quiet one, an alarm and a short by the share of its supply across
// its own 1.5 kilohm: with 2.7 kilohm at the end 1.5/4.2, with a kilohm beside that 1.5/(1.5 + 0.73), with
// three times a kilohm 1.5/(1.5 + 0.297), by Ohm's law.
func TestZones(t *testing.T) {
	for _, c := range []struct {
		share                float64
		alarm, well, trouble bool
	}{
		{0, false, false, true},
		{0.018, false, false, true}, // three detectors before the break draw their 0.3 mA
		{1.5 / 4.2, false, true, false},
		{1.5 / (1.5 + 0.730), true, true, false},
		{1.5 / (1.5 + 0.297), true, true, false},
		{1, false, false, true},
	} {
		a := zones(true, c.share)
		r := &relay{device: &circuits.Device{Type: circuits.TypeNamed("zone-module")}, jammed: -1}
		assert.Equal(t, c.alarm, r.seen(a), "alarm at %.2f", c.share)
		assert.Equal(t, c.well, a.timed, "fault relay at %.2f", c.share)
		assert.Equal(t, c.trouble, r.tripped(a), "trouble at %.2f", c.share)
		assert.Equal(t, armature{}, zones(false, c.share), "without its supply")
	}
}

// A drive runs while it is started, trips by its trip input, and stays tripped until it is reset.
func TestDrives(t *testing.T) {
	const yes, no = true, false
	var a armature
	for i, step := range []struct {
		in               inputs
		runs, well, trip bool
	}{
		{inputs{no, yes, yes, no}, no, no, no},
		{inputs{yes, no, yes, no}, no, yes, no},
		{inputs{yes, yes, yes, no}, yes, yes, no},
		{inputs{yes, yes, no, no}, no, no, yes},
		{inputs{yes, yes, yes, no}, no, no, yes},
		{inputs{yes, yes, no, yes}, no, no, yes}, // the reset does not help while it trips
		{inputs{yes, no, yes, yes}, no, yes, no},
		{inputs{yes, yes, yes, no}, yes, yes, no},
		{inputs{yes, yes, no, no}, no, no, yes},
		{inputs{no, no, no, no}, no, no, no}, // without its supply it forgets
		{inputs{yes, yes, yes, no}, yes, yes, no},
	} {
		a = drives(a, step.in.made)
		r := &relay{}
		assert.Equal(t, step.runs, a.in && a.timed, "step %d", i)
		assert.Equal(t, step.well, a.timed, "step %d", i)
		assert.Equal(t, step.trip, r.tripped(a), "step %d", i)
	}
}
