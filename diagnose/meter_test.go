package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// metered is what a meter reads on the panel with a fault ("" for the good one).
type metered struct {
	why   string
	fault faultmodel.ID
	check string  // as JSON
	read  float64 // volts or ohms
	firm  bool
}

// within is how far a reading may be from the figure of the table: the meter's own
// 10 megohm take a little.
func within(want float64) float64 { return math.Max(0.05, 0.002*want) }

func (w metered) holds(t *testing.T, m *Model) {
	t.Helper()
	f := Good
	if w.fault != "" {
		f = fault(t, m, w.fault)
	}
	c := readLog(t, m, `{"cannot":`+w.check+`}`).Entries[0].Check
	r, err := m.Meter(f).Read(c)
	require.NoError(t, err, w.why)
	assert.Equal(t, w.firm, r.Firm, "%s: %s with %q reads %g", w.why, w.check, w.fault, r.Value)
	switch {
	case !w.firm:
	case math.IsInf(w.read, 1):
		assert.Equal(t, log.OL, r.Value, "%s: %s with %q", w.why, w.check, w.fault)
	default:
		assert.InDelta(t, w.read, r.Value, within(w.read), "%s: %s with %q", w.why, w.check, w.fault)
	}
}

// What a meter shows, live and of readings that are not firm, on the cold-store alarm.
func TestLiveMeterRules(t *testing.T) {
	m := coldStore()
	for _, w := range []metered{
		{"across the only open point of a rung, the full supply", "", `{"volts":["LS1:11","LS1:12"],"step":"door shut, cold"}`, 120, true},
		{"the same whichever lead is where", "", `{"volts":["LS1:12","LS1:11"],"step":"door shut, cold"}`, 120, true},
		{"across a closed contact, 0 V", "", `{"volts":["LS1:11","LS1:12"],"step":"door just opened"}`, 0, true},
		{"full volts show that it is open", "open-LS1:11-12", `{"volts":["LS1:11","LS1:12"],"step":"door just opened"}`, 120, true},
		{"and not why", "stuck-LS1-operated", `{"volts":["LS1:11","LS1:12"],"step":"door just opened"}`, 120, true},
		{"across an open contact with a second open in the rung, anything", "open-TR1", `{"volts":["LS1:11","LS1:12"],"step":"door shut, cold"}`, 0, false},
		{"across the second open, anything too", "open-F1", `{"volts":["LS1:11","LS1:12"],"step":"door shut, cold"}`, 0, false},
		{"across a blown fuse with a load behind it, the full supply", "open-F1", `{"volts":["F1:1","F1:2"],"step":"door just opened"}`, 120, true},
		{"across a whole fuse, 0 V", "", `{"volts":["F1:1","F1:2"],"step":"door just opened"}`, 0, true},

		{"0 V does not prove a contact: this one is open", "open-CR1:21-22", `{"volts":["CR1:21","CR1:22"],"step":"door just opened"}`, 0, true},
		{"in the step that feeds it, it shows", "open-CR1:21-22", `{"volts":["CR1:21","CR1:22"],"step":"door left open"}`, 120, true},
		{"closed with an open behind it reads 0 V as well", "open-B1", `{"volts":["CR1:21","CR1:22"],"step":"door left open"}`, 0, true},

		{"a point to the grounded side, upstream of the first open", "open-LS1:12-TR1:A1", `{"volts":["LS1:12","T1:X2"],"step":"door just opened"}`, 120, true},
		{"and downstream, where the load ties it down", "open-LS1:12-TR1:A1", `{"volts":["TR1:A1","T1:X2"],"step":"door just opened"}`, 0, true},
		{"upstream of the first open of a wire number", "open-F1:2-LS1:11", `{"volts":["F1:2","T1:X2"],"step":"door shut, cold"}`, 120, true},
		{"downstream nothing ties it: a conductor that floats reads anything", "open-F1:2-LS1:11", `{"volts":["LS1:11","T1:X2"],"step":"door shut, cold"}`, 0, false},
		{"and floats no more where a coil ties it down", "open-F1:2-LS1:11", `{"volts":["LS1:11","T1:X2"],"step":"door just opened"}`, 0, true},

		{"an open on the grounded side reads hot up to the load", "open-T1:X2-TR1:A2", `{"volts":["H1:1","T1:X2"],"step":"store warm"}`, 120, true},
		{"and past it", "open-T1:X2-TR1:A2", `{"volts":["H1:2","T1:X2"],"step":"store warm"}`, 120, true},
		{"back-fed through the timer's coil, before its contact closes", "open-T1:X2-TR1:A2", `{"volts":["H1:1","T1:X2"],"step":"door left open"}`, 120, true},
		{"the same, at the far end of the broken return", "open-T1:X2-TR1:A2", `{"volts":["B1:2","T1:X2"],"step":"store warm"}`, 120, true},
		{"the same, against ground", "open-T1:X2-TR1:A2", `{"volts":["B1:2","PE:1"],"step":"store warm"}`, 120, true},
		{"no volts across the load that is off", "open-T1:X2-TR1:A2", `{"volts":["H1:1","H1:2"],"step":"store warm"}`, 0, true},
		{"the volts of a load that is open", "open-H1", `{"volts":["H1:1","H1:2"],"step":"store warm"}`, 120, true},

		// The timer is at the near part of the broken return and works; CR1, H1 and B1
		// float up through each other.
		{"a broken return past the timer", "open-TR1:A2-CR1:A2", `{"volts":["TR1:A1","TR1:A2"],"step":"door left open"}`, 120, true},
		{"is hot as soon as one load is fed", "open-TR1:A2-CR1:A2", `{"volts":["CR1:A2","T1:X2"],"step":"door left open"}`, 120, true},
		{"and back-feeds a load that nothing else feeds", "open-TR1:A2-CR1:A2", `{"volts":["CR1:A1","T1:X2"],"step":"door left open"}`, 120, true},
		{"which in a good circuit is dead", "", `{"volts":["CR1:A1","T1:X2"],"step":"door left open"}`, 0, true},

		{"hot side to ground, on a grounded supply", "", `{"volts":["T1:X1","PE:1"],"step":"door shut, cold"}`, 120, true},
		{"grounded side to ground", "", `{"volts":["T1:X2","PE:1"],"step":"door shut, cold"}`, 0, true},
		{"the bond is open: ground floats", "open-T1:X2-PE:1", `{"volts":["T1:X1","PE:1"],"step":"door shut, cold"}`, 0, false},
		{"and nothing else shows it", "open-T1:X2-PE:1", `{"volts":["T1:X1","T1:X2"],"step":"door shut, cold"}`, 120, true},
		{"a dead secondary", "dead-T1-secondary", `{"volts":["T1:X1","T1:X2"],"step":"door just opened"}`, 0, true},
		{"a dead primary", "dead-T1-primary", `{"volts":["T1:X1","T1:X2"],"step":"door just opened"}`, 0, true},
		{"a supply that nothing protects and a short pulls down", "short-1-2", `{"volts":["T1:X1","T1:X2"],"step":"door just opened"}`, 0, true},
		{"a short behind the fuse blows it", "short-2-3", `{"volts":["F1:2","T1:X2"],"step":"door just opened"}`, 0, true},
		{"and the source stays", "short-2-3", `{"volts":["F1:1","T1:X2"],"step":"door just opened"}`, 120, true},
	} {
		w.holds(t, m)
	}
}

// Power off: the supply is open at its line side, a transformer's
// winding of 2 ohm stays; relays released, operators held as in the step. The coil of
// a relay or timer is 2400 ohm, the lamp 480 cold, the horn 900.
func TestOhmmeterRules(t *testing.T) {
	m := coldStore()
	const coil, lamp, horn, winding = 2400.0, 480.0, 900.0, 2.0
	parallel := func(a, b float64) float64 { return a * b / (a + b) }
	for _, w := range []metered{
		{"the sneak path: an open contact reads its own coil and the winding, not OL", "", `{"ohms":["LS1:11","LS1:12"]}`, coil + winding, true},
		{"operators held as in the step: door open, the contact is closed", "", `{"ohms":["LS1:11","LS1:12"],"step":"door just opened"}`, 0, true},
		{"lifting one wire takes every parallel path away", "", `{"ohms":["LS1:11","LS1:12"],"lifted":["LS1:12"]}`, log.OL, true},
		{"the other end does as well", "", `{"ohms":["LS1:11","LS1:12"],"lifted":["LS1:11"]}`, log.OL, true},
		{"with the fuse out there is no way round either", "open-F1", `{"ohms":["LS1:11","LS1:12"]}`, log.OL, true},
		{"a coil alone", "", `{"ohms":["TR1:A1","TR1:A2"]}`, coil, true},
		{"a coil, lifted", "", `{"ohms":["TR1:A1","TR1:A2"],"lifted":["TR1:A1"]}`, coil, true},
		{"an open coil", "open-TR1", `{"ohms":["TR1:A1","TR1:A2"]}`, log.OL, true},
		{"a shorted coil", "shorted-TR1", `{"ohms":["TR1:A1","TR1:A2"]}`, 0, true},
		// H1 hangs on wire 5, and so does B1 through the mute relay's NC contact.
		{"a lamp and what is parallel to it", "", `{"ohms":["H1:1","H1:2"]}`, parallel(lamp, horn), true},
		{"the lamp alone, cold", "", `{"ohms":["H1:1","H1:2"],"lifted":["H1:1"]}`, lamp, true},
		{"an open lamp that the horn hides", "open-H1", `{"ohms":["H1:1","H1:2"]}`, horn, true},
		{"an open lamp, lifted", "open-H1", `{"ohms":["H1:1","H1:2"],"lifted":["H1:1"]}`, log.OL, true},
		{"a relay is released whatever the step", "", `{"ohms":["CR1:21","CR1:22"],"step":"mute released"}`, 0, true},
		{"its NO contact, by way of coil, lamp and horn", "", `{"ohms":["CR1:11","CR1:14"],"step":"mute released"}`, coil + parallel(lamp, horn), true},
		{"the mute button pressed bridges it", "", `{"ohms":["CR1:11","CR1:14"],"step":"mute pressed"}`, 0, true},
		{"a timer is reset", "", `{"ohms":["TR1:15","TR1:18"],"lifted":["TR1:15"],"step":"door left open"}`, log.OL, true},
		{"the winding", "", `{"ohms":["T1:X1","T1:X2"]}`, winding, true},
		{"an open winding leaves what hangs on it", "dead-T1-secondary", `{"ohms":["T1:X1","T1:X2"],"step":"door just opened"}`, coil, true},
		{"a dead primary cannot be seen there", "dead-T1-primary", `{"ohms":["T1:X1","T1:X2"]}`, winding, true},
		{"a whole fuse", "", `{"ohms":["F1:1","F1:2"]}`, 0, true},
		{"a blown fuse, door open: coil and winding hide it", "open-F1", `{"ohms":["F1:1","F1:2"],"step":"door just opened"}`, coil + winding, true},
		{"a blown fuse, lifted", "open-F1", `{"ohms":["F1:1","F1:2"],"lifted":["F1:1"],"step":"door just opened"}`, log.OL, true},
		{"a wire", "", `{"ohms":["CR1:22","B1:1"]}`, 0, true},
		{"an open wire, by way of horn and lamp", "open-CR1:22-B1:1", `{"ohms":["CR1:22","B1:1"]}`, horn + lamp, true},
		// Wires lifted off a terminal stay joined to each other; the leads touch the
		// device's side.
		{"lifted wires stay together", "", `{"ohms":["CR1:11","TS1:14"],"lifted":["TR1:18"]}`, 0, true},
		{"the leads touch the device's side", "", `{"ohms":["TR1:18","TS1:14"],"lifted":["TR1:18"]}`, log.OL, true},
		{"to ground, on a grounded supply", "", `{"ohms":["H1:2","PE:1"]}`, 0, true},
		{"hot side to ground: the winding", "", `{"ohms":["T1:X1","PE:1"]}`, winding, true},
		{"a wire that touches ground", "ground-5", `{"ohms":["H1:1","PE:1"]}`, 0, true},
		{"the same wire in a good circuit", "", `{"ohms":["H1:1","PE:1"]}`, parallel(lamp, horn), true},
		{"the bond is open", "open-T1:X2-PE:1", `{"ohms":["T1:X2","PE:1"]}`, log.OL, true},
	} {
		w.holds(t, m)
	}
}

// Never judge an LED lamp by its ohms; an electronic dc supply's output reads unknown; an
// ungrounded supply floats against ground.
func TestMeterOnLEDAndUngroundedDC(t *testing.T) {
	m := fromText(t, "led.yaml", `circuit: Ungrounded dc
devices:
  G1: {type: supply, volts: 24, current: dc}
  PE: {type: ground}
  F1: {type: fuse, amps: 1}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}]}
  H1: {type: lamp, kind: led}
  H2: {type: lamp, kind: led, note: between the cabinet and nothing}
wires:
  1: [G1:+, F1:1]
  2: [F1:2, PB1:13, CR1:13]
  3: [PB1:14, CR1:A1]
  4: [CR1:14, H1:1]
  5: [G1:-, CR1:A2, H1:2]
  6: [PE:1, H2:1]
operation:
  - step: rest
    expect: {CR1: off, H1: off}
  - step: pressed
    set: {PB1: pressed}
    expect: {CR1: on, H1: on}
`)
	for _, w := range []metered{
		{"an LED lamp reads OL", "", `{"ohms":["H1:1","H1:2"],"lifted":["H1:1"]}`, log.OL, true},
		{"an open one reads the same", "open-H1", `{"ohms":["H1:1","H1:2"],"lifted":["H1:1"]}`, log.OL, true},
		{"a shorted one does not", "shorted-H1", `{"ohms":["H1:1","H1:2"],"lifted":["H1:1"]}`, 0, true},
		{"a dc coil: running and ohmmeter alike, 24 V and 3 VA", "", `{"ohms":["CR1:A1","CR1:A2"],"lifted":["CR1:A1"]}`, 192, true},
		{"the output of an electronic supply", "", `{"ohms":["G1:+","G1:-"]}`, 0, false},
		{"and what lies parallel to it", "", `{"ohms":["CR1:A1","CR1:A2"],"step":"pressed"}`, 0, false},
		{"and an open contact that it leads round", "", `{"ohms":["PB1:13","PB1:14"]}`, 0, false},
		{"but not where a wire is lifted", "", `{"ohms":["PB1:13","PB1:14"],"lifted":["PB1:13"]}`, log.OL, true},
		{"hot side to ground, ungrounded", "", `{"volts":["G1:+","PE:1"],"step":"rest"}`, 0, false},
		{"the other side", "", `{"volts":["G1:-","PE:1"],"step":"rest"}`, 0, false},
		{"a first ground ties it", "ground-5", `{"volts":["G1:+","PE:1"],"step":"rest"}`, 24, true},
		{"and does no harm", "ground-5", `{"volts":["CR1:A1","G1:-"],"step":"pressed"}`, 24, true},
		{"on the other side", "ground-1", `{"volts":["G1:-","PE:1"],"step":"rest"}`, 24, true},
		{"ohms to ground, ungrounded", "", `{"ohms":["CR1:A2","PE:1"]}`, log.OL, true},
		{"ohms to ground with a first ground", "ground-5", `{"ohms":["CR1:A2","PE:1"]}`, 0, true},
	} {
		w.holds(t, m)
	}
}

// What is foretold for the belief is what the meter reads: for every fault and every
// check of the list.
func TestForetoldIsRead(t *testing.T) {
	m := coldStore()
	m.Turn(log.Log{}, Choosing{}) // all is worked out
	for f := Good; f < len(m.faults); f += 5 {
		meter := m.Meter(f)
		for _, l := range m.checks {
			told := m.foretell(f, l)
			read, err := meter.Read(m.book.Check(l))
			require.NoError(t, err)
			if !told.Firm && l.Kind == log.Ohms && len(l.Lifted) > 0 {
				continue // what touches may do so at the screws or in the duct
			}
			if v := m.views(f, l.Step); !told.Firm && v.runsOut(l, v.now(l), m.brisk(l)) {
				continue // by the time that it is taken it may be another one
			}
			if !assert.Equal(t, read.Firm, told.Firm, "%s", m.book.Check(l)) || !read.Firm {
				continue
			}
			assert.Equal(t, read.On, told.On)
			if read.Kind == log.Ohms { // by class, where the file does not give the ohms
				assert.True(t, m.agree(l, told, read), "%s: %v is foretold, %v read", m.book.Check(l), told, read)
				continue
			}
			if read.Kind != log.Look && !(math.IsInf(read.Value, 1) && math.IsInf(told.Value, 1)) {
				assert.InDelta(t, read.Value, told.Value, within(read.Value), "%s", m.book.Check(l))
			}
		}
	}
}

// No check that is proposed reads a floating conductor (such a reading
// is never the check to propose). On a supply that a short pulls down no volts are firm.
func TestNoFloatingConductorIsProposed(t *testing.T) {
	m := coldStore()
	for _, by := range []By{ByChecks, ByMinutes} {
		for f := range m.faults {
			s := truthful(t, m, f, by)
			meter := m.Meter(f)
			for _, e := range s.log.Entries {
				r, err := meter.Read(e.Check)
				require.NoError(t, err)
				down := e.Located().Kind == log.Volts && len(meter.End(e.Located().Step).Collapsed) > 0
				assert.True(t, r.Firm || down, "%s: %s is proposed and may read anything", m.faults[f].ID, e.Check)
			}
		}
	}
}

// The meter tells what is wrong with a check.
func TestMeterRefuses(t *testing.T) {
	m := bare(t)
	_, err := m.Meter(Good).Read(log.Check{Volts: []circuits.Terminal{"CR1:11", "T1:X9"}, Step: "store warm"})
	assert.EqualError(t, err, `T1 has no terminal "T1:X9"; it has X1, X2, H1, H2`)
}

// What a fault opens on its course is what is open at the end of the operation.
func TestBlown(t *testing.T) {
	for _, name := range circuits.Builtin() {
		m := builtin(t, name)
		for i, f := range m.faults {
			blown := m.Meter(i).End(len(m.good) - 1).Blown
			require.Subset(t, m.Blown(i), blown, "%s: %s", name, f.ID)
			if m.otherwise[i] == nil { // else it may open more with other parts
				require.Equal(t, blown, m.Blown(i), "%s: %s", name, f.ID)
			}
		}
	}
}
