package diagnose

import (
	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// Meter reads checks on the panel with one fault, or on the good one, as a meter in
// the circuit does: its own current is part of the network.
type Meter struct {
	m       *worked
	overlay work.Overlay
	ends    []*work.End // by step
	offs    *offs
}

// Meter works the panel with a fault (or Good) and is then ready for any number of
// readings.
func (m *Model) Meter(fault int) *Meter {
	return m.meter(fault)
}

// MeterOfBoth is a meter on the panel with two faults at once; false where they cannot be at once,
// as a contact that stays open and is welded.
func (m *Model) MeterOfBoth(x, y int) (*Meter, bool) {
	follower, known := m.again()
	both := m.kept(follower, known, x, y)
	if both == nil {
		return nil, false
	}
	return both.meter(0), true
}

func (m *worked) meter(fault int) *Meter {
	t := &Meter{m: m, overlay: m.overlay(fault), offs: m.metered(fault)}
	m.panel.Work(&t.overlay, func(_ int, e *work.End) bool {
		t.ends = append(t.ends, e)
		return true
	})
	if n := len(t.ends); n > 0 {
		t.offs.blown = t.ends[n-1].Blown
		t.offs.open.blown = t.offs.blown
	}
	if fault != Good && m.faults[fault].Or != nil {
		own := m.panel.Device(m.faults[fault].Devices[0])
		m.panel.Work(m.faults[fault].Or, func(step int, e *work.End) bool {
			t.turns(t.ends[step], e, own)
			return true
		})
	}
	return t
}

// turns makes the end of a step one that is now as it was worked and now the other, but for
// the look at one device.
func (t *Meter) turns(e, other *work.End, own *circuits.Device) {
	for i, d := range t.m.panel.Relays() {
		if d != own && e.In[i] != other.In[i] {
			e.Racing = append(e.Racing, d)
		}
	}
	if len(e.Phases) == 0 {
		e.Phases = append(e.Phases, e.Live)
	}
	e.Phases = append(append(e.Phases, other.Live), other.Phases...)
}

// End gives the condition of the panel at the end of a step.
func (t *Meter) End(step int) *work.End { return t.ends[step] }

// Read gives the reading of a check. The error says what is wrong with the check.
func (t *Meter) Read(c log.Check) (log.Reading, error) {
	l, err := t.m.book.Locate(c)
	if err != nil {
		return log.Reading{}, err
	}
	return t.read(l), nil
}

func (t *Meter) read(l log.Located) log.Reading {
	switch l.Kind {
	case log.Look:
		on, firm := t.m.panel.See(&t.overlay, t.ends[l.Step], l.Sight())
		r := log.Reading{Kind: log.Look, On: on, Firm: firm}
		if t.m.panel.Flashes(&t.overlay, t.ends[l.Step], l.Sight()) {
			r = log.Reading{Kind: log.Look, On: true, Seems: log.Flashing, Firm: true}
		}
		return r
	case log.Volts:
		ohms := network.MeterOhms
		if l.Low {
			ohms = network.LowImpedanceOhms
		}
		v, firm := t.ends[l.Step].ReadVolts(l.A, l.B, ohms)
		return log.Reading{Kind: log.Volts, Value: v, Firm: firm}
	}
	return t.found(l, l.Step)
}

// Found gives the reading of an ohms check as a panel reads that was worked to the end of
// a step before the power was locked off, -1 for none: what blew there is still open, but
// for what the check says was replaced. Any other check it reads as Read does.
func (t *Meter) Found(c log.Check, worked int) (log.Reading, error) {
	l, err := t.m.book.Locate(c)
	if err != nil {
		return log.Reading{}, err
	}
	if !l.Kind.Off() {
		return t.read(l), nil
	}
	return t.found(l, worked), nil
}

func (t *Meter) found(l log.Located, worked int) log.Reading {
	o := t.offs
	if len(l.Replaced) > 0 {
		o = o.replaced(l.Replaced)
	}
	// Belief knows of two states only: everything whole, and everything open that the
	// fault blows in the course of the operation.
	if worked >= 0 && len(t.ends[worked].Blown) == len(t.offs.blown) && len(o.blown) > 0 {
		return o.readWith(l, &o.open)
	}
	return o.readWith(l, &o.whole)
}

// Nominal gives the supply voltage that a volts check is held against; zero for others.
func (m *Model) Nominal(c log.Check) float64 {
	l, err := m.book.Locate(c)
	if err != nil || l.Kind != log.Volts {
		return 0
	}
	return m.nominal(l.A, l.B)
}

// Fits tells whether a fault, or Good, gives an entry's answer.
func (m *Model) Fits(fault int, e log.Entry) bool {
	return e.Answer == nil || m.agree(e.Located(), m.foretell(fault, e.Located()), *e.Answer)
}

// Checks lists every check that may be proposed, in their order.
func (m *Model) Checks() []log.Check {
	out := make([]log.Check, len(m.checks))
	for i, l := range m.checks {
		out[i] = m.book.Check(l)
	}
	return out
}

// Usual gives what the good circuit shows at a check.
func (m *Model) Usual(c log.Check) (log.Reading, error) {
	l, err := m.book.Locate(c)
	if err != nil {
		return log.Reading{}, err
	}
	return m.foretell(Good, l), nil
}

// Return gives the return of the source that a terminal belongs to, where the black lead
// goes; nothing if there is no such terminal.
func (m *Model) Return(t circuits.Terminal) circuits.Terminal {
	n := m.panel.Node(t)
	if n == 0 || m.own[n] == 0 {
		return ""
	}
	return m.panel.Terminal(m.panel.Net.Source(m.own[n]).Return)
}

// HighSupply is how far above its nominal a supply may stand. Common practice, no source: 10 %.
const HighSupply = 1.1

// MostVolts gives what no two conductors of the panel have more than between them: all supplies in series.
func (m *Model) MostVolts() float64 {
	var sum float64
	for s := range m.panel.Net.Sources() {
		sum += m.panel.Net.Source(network.Source(s + 1)).Volts
	}
	return HighSupply * sum
}

// Stray gives the most that a reading which nobody can foretell comes to at a check, in
// volts or ohms; 1 for a look. Where it is not the leads that float, but nobody knows what the fault makes
// of the panel, volts may come to more.
func (m *Model) Stray(c log.Check) (float64, error) {
	l, err := m.book.Locate(c)
	if err != nil {
		return 0, err
	}
	return m.stray(l), nil
}

// Disagreeing lists the faults that do not fit an entry's answer.
func (m *Model) Disagreeing(e log.Entry) []int {
	if e.Answer == nil {
		return nil
	}
	var faults []int
	for h, no := range m.disagreeing(e) {
		if no && m.fault(h) != Good {
			faults = append(faults, h)
		}
	}
	return faults
}

// Foretold gives what a check shows with each fault.
func (m *Model) Foretold(c log.Check) ([]log.Reading, error) {
	l, err := m.book.Locate(c)
	if err != nil {
		return nil, err
	}
	readings := m.Readings(l)
	return readings[:len(m.faults)], nil
}
