package exam

import (
	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// A candidate is told what the people at the panel say is wrong, as at work: one look of
// the operation. It goes along in the packet, in as many bytes for one fault as for another:
// step and device by their places in the circuit file, each in two bytes, and what is seen.

// What is seen, in the last byte of a complaint.
const (
	seenOff byte = iota
	seenOn
	seenNothing // nothing goes wrong that anybody sees
)

// packComplaint writes what a fault makes people say.
func packComplaint(m *diagnose.Model, fault int) ([]byte, error) {
	e, seen, err := training.ComplaintOf(m, fault)
	if err != nil || !seen {
		return []byte{0, 0, 0, 0, seenNothing}, err
	}
	step, device := e.Located().Step, deviceIndex(m, e.Check.Look)
	b := []byte{byte(step >> 8), byte(step), byte(device >> 8), byte(device), seenOff}
	if e.Answer.On {
		b[4] = seenOn
	}
	return b, nil
}

func deviceIndex(m *diagnose.Model, name string) int {
	for i, d := range m.Panel().Circuit.Devices {
		if d.Name == name {
			return i
		}
	}
	return -1
}

// Told gives what is wrong in the words of the log; false where nobody has seen anything, or
// the packet does not say.
func (t PacketTask) Told(m *diagnose.Model) (log.Entry, bool) {
	b, c := t.Complaint, m.Panel().Circuit
	if len(b) != 5 || b[4] >= seenNothing {
		return log.Entry{}, false
	}
	step, device := int(b[0])<<8|int(b[1]), int(b[2])<<8|int(b[3])
	if step >= len(c.Steps) || device >= len(c.Devices) {
		return log.Entry{}, false
	}
	return told(m, c.Devices[device], c.Steps[step].Name, b[4] == seenOn)
}

func told(m *diagnose.Model, d *circuits.Device, step string, on bool) (log.Entry, bool) {
	e, err := m.Book().NewEntry(log.Check{Look: d.Name, Step: step}, &log.Reading{Kind: log.Look, On: on, Firm: true})
	e.Note = training.ComplaintNote
	return e, err == nil
}

// complaints are what the faults of a circuit make people say, and what the guided search
// then needs for each.
type complaints struct {
	said   []*log.Entry // by fault; nil where nothing is seen
	needed []diagnose.Needed
}

// NeededAfterComplaint is what the guided search needs for each fault of a circuit from what
// a candidate is told on.
func NeededAfterComplaint(m *diagnose.Model, by diagnose.By) ([]diagnose.Needed, error) {
	c, err := complaintsOf(m, by)
	return c.needed, err
}

func complaintsOf(m *diagnose.Model, by diagnose.By) (complaints, error) {
	c := complaints{said: make([]*log.Entry, len(m.Faults())), needed: make([]diagnose.Needed, len(m.Faults()))}
	alike := make(map[log.Key]map[bool][]int)
	var order []*log.Entry
	var silent []int
	for f := range m.Faults() {
		e, seen, err := training.ComplaintOf(m, f)
		if err != nil {
			return c, err
		}
		if !seen {
			silent = append(silent, f)
			continue
		}
		c.said[f] = &e
		key := m.Book().Key(e.Located())
		if alike[key] == nil {
			alike[key] = make(map[bool][]int)
		}
		if len(alike[key][e.Answer.On]) == 0 {
			order = append(order, &e)
		}
		alike[key][e.Answer.On] = append(alike[key][e.Answer.On], f)
	}
	take := func(needed []diagnose.Needed, faults []int) {
		for _, f := range faults {
			c.needed[f] = needed[f]
		}
	}
	for _, e := range order {
		needed, err := m.NeededAfter(log.Log{Entries: []log.Entry{*e}}, by)
		if err != nil {
			return c, err
		}
		take(needed, alike[m.Book().Key(e.Located())][e.Answer.On])
	}
	if len(silent) > 0 {
		needed, err := m.Needed(by)
		if err != nil {
			return c, err
		}
		take(needed, silent)
	}
	return c, nil
}
