package exam

import (
	"crypto/sha256"
	"encoding/binary"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// Live is a panel with a fault as the instructor's machine meters it, a check at a time. It
// needs no table, so it answers a panel of any size, and whatever a meter answers there.
type Live struct {
	m     *diagnose.Model
	meter *diagnose.Meter
	seed  uint64
}

// NewLive puts a fault into the panel of a model. The error of the meter and what wanders come
// from the key of the task.
func NewLive(m *diagnose.Model, fault int, key []byte) *Live {
	return &Live{m: m, meter: m.Meter(fault), seed: meterSeed(key)}
}

// Show gives what a meter shows at a check, as [Readings.Show] does of a packet.
func (l *Live) Show(c log.Check, worked, nth int) (training.Shown, error) {
	reading, err := l.meter.Found(c, worked)
	if err != nil {
		return training.Shown{}, err
	}
	return shownBy(l.m, l.seed, c, reading, nth), nil
}

// Steps is how many steps the panel's operation has.
func (l *Live) Steps() int { return len(l.m.Panel().Circuit.Steps) }

// meterSeed is what the chances of a simulated meter come from.
func meterSeed(key []byte) uint64 {
	seed := sha256.Sum256(append([]byte("meter "), key...))
	return binary.BigEndian.Uint64(seed[:])
}

// shownBy is what a simulated meter shows of a reading without error.
func shownBy(m *diagnose.Model, seed uint64, c log.Check, reading log.Reading, nth int) training.Shown {
	w := training.Display{Model: m, Seed: seed}
	return w.Show(c, reading, func(e log.Entry) bool { return m.Agree(c, reading, *e.Answer) }, nth)
}
