package guide

import (
	"slices"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// choosing begins to choose a check of a kind, where a reading means anything.
func (w *taking) choosing(kind log.Kind, at Place) {
	off := w.sit.Stand().Off
	switch {
	case w.sit.StepName() == "" && !kind.Off() && !off:
		w.tell(Event{Kind: NotWorkedAt})
	case len(w.state.Moved) > 0 || w.state.Waited > 0:
		w.tell(Event{Kind: Between})
	default:
		w.state.At, w.state.Kind, w.state.Leads = at, kind, nil
	}
}

// leads takes the terminals of a check, given at once or chosen one after the other.
func (w *taking) leads(a Answer) error {
	_, thing := a.Take.Of()
	switch w.state.At {
	case Leads:
		if a.Check == nil {
			w.state.At = LeadPlace
			return nil
		}
		return w.led(*a.Check)
	case LeadPlace:
		w.state.Place, w.state.At = thing, LeadDevice
	case LeadDevice:
		w.state.Device, w.state.At = thing, LeadScrew
	case LeadScrew:
		w.state.Leads = append(w.state.Leads, circuits.Terminal(thing))
		switch {
		case len(w.state.Leads) < 2:
			w.state.At = LeadPlace
		case w.state.Kind.Off() && w.state.Leads[0] != w.state.Leads[1]:
			w.state.At = Lift
		default:
			return w.led(log.CheckOf(w.state.Kind, w.state.Leads))
		}
	case Lift:
		c := log.CheckOf(w.state.Kind, w.state.Leads)
		if a.Take != "none" {
			c.Lifted = []circuits.Terminal{circuits.Terminal(thing)}
		}
		return w.led(c)
	}
	return nil
}

// led takes the terminals of a check that is to be made as the panel stands.
func (w *taking) led(c log.Check) error {
	c.Step = w.m.Panel().Circuit.Steps[0].Name // the condition is looked at later
	w.state.Leads = nil
	if err := w.checkable(c); err != nil {
		w.tell(Event{Kind: Refused, Text: err.Error()})
		w.state.At = Leads
		return nil
	}
	return w.bring(c)
}

// bring has a check made as the panel stands. With the power off before anything was
// worked, the operators are first put as in the first step.
func (w *taking) bring(c log.Check) error {
	w.state.At = Act
	if c.Step = w.sit.StepName(); c.Step == "" {
		c.Step = w.m.Panel().Circuit.Steps[0].Name
		if c.Kind().Off() && w.sit.Stand().Off {
			act := log.Act{Kind: log.HoldAct, Step: c.Step}
			if err := w.do(act); err != nil {
				return err
			}
			w.tell(Event{Kind: Done, Act: &act})
		}
	}
	found, err := w.sit.Ready(c, w.at)
	w.warn(found)
	if err != nil {
		if len(found) > 0 { // it was named, and stopped before a lead touched
			w.tell(Event{Kind: Stopped})
			return nil
		}
		return err
	}
	w.state.At, w.state.Own = Measure, &c
	return nil
}

// measured takes what the panel shows, or what the person reads on it.
func (w *taking) measured(a Answer) error {
	c := *w.state.Own
	w.state.At, w.state.Own = Act, nil
	shown := a.Shown
	switch {
	case a.Take != "":
		shown = &training.Shown{Reading: log.Reading{Kind: log.Look, On: a.Take == "on", Firm: true}}
	case shown == nil:
		if len(c.Lifted) > 0 {
			w.tell(Event{Kind: Land, Terminals: c.Lifted})
		}
		shown = &training.Shown{Reading: *a.Reading}
	}
	found, err := w.sit.Take(c, shown.Reading, w.at)
	if err != nil {
		return err
	}
	w.turn = nil
	w.warn(found)
	w.tell(Event{Kind: Shown, Check: &c, Shown: shown, Terminals: c.Lifted})
	if w.rules.Coach == CoachAlways {
		return w.lastWorth(false)
	}
	return nil
}

// Places are those that the devices of a circuit sit at, in the order of the file.
func Places(c *circuits.Circuit) []string {
	var places []string
	for _, d := range c.Devices {
		if d.Type.Kind != circuits.GroundKind && !slices.Contains(places, d.Place) {
			places = append(places, d.Place)
		}
	}
	return places
}

// devicesAt are the devices at a place that a lead may go on.
func (s *Session) devicesAt(place string) []*circuits.Device {
	var devices []*circuits.Device
	for _, d := range s.m.Panel().Circuit.Devices {
		if d.Place == place && len(s.screws(d)) > 0 {
			devices = append(devices, d)
		}
	}
	return devices
}

// screws are the terminals of a device that a lead belongs on.
func (s *Session) screws(d *circuits.Device) []circuits.Terminal {
	var out []circuits.Terminal
	for _, name := range d.Terminals {
		if at := d.Terminal(name); s.m.Book().LeadOn(at) == nil {
			out = append(out, at)
		}
	}
	return out
}
