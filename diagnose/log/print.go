package log

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"deadrung/circuits"
)

// Print is the fingerprint of the circuit that a log is of, as it was when the log was begun: a
// short sum of each device, wire number and step. It tells which readings still apply when the
// circuit file has changed since.
type Print struct {
	Devices map[string]string `json:"devices"` // type, terminals, contacts
	Wires   map[string]string `json:"wires"`   // every landing of the number
	Steps   map[string]string `json:"steps"`   // all that was worked up to the end of the step
}

// Stale is a line of a log that does not apply to the circuit as it is now.
type Stale struct {
	Line int
	Text string // the line as it is written
	Why  string
}

// printOf makes the fingerprint of a circuit.
func printOf(c *circuits.Circuit) *Print {
	p := &Print{Devices: map[string]string{}, Wires: map[string]string{}, Steps: map[string]string{}}
	for _, d := range c.Devices {
		var contacts []string
		for _, k := range d.Contacts {
			contacts = append(contacts, fmt.Sprint(k.A, k.B, k.Closed, k.Timed))
		}
		p.Devices[d.Name] = sum(d.Type.Name, d.Terminals, d.Positions, contacts)
	}
	for _, n := range c.Numbers {
		var wires []string
		for _, w := range n.Wires {
			ends := []string{string(w.From), string(w.To)}
			slices.Sort(ends)
			wires = append(wires, strings.Join(ends, " "))
		}
		slices.Sort(wires)
		p.Wires[n.Name] = sum(wires)
	}
	worked := ""
	for _, s := range c.Steps {
		var set []string
		for _, x := range s.Set {
			set = append(set, x.Device.Name+" "+x.Device.Positions[x.Position])
		}
		slices.Sort(set)
		worked = sum(worked, set, s.Wait)
		p.Steps[s.Name] = worked
	}
	return p
}

// sum is a short sum of anything.
func sum(of ...any) string {
	h := sha256.Sum256(fmt.Appendf(nil, "%q", of))
	return hex.EncodeToString(h[:4])
}

// changes tells how a circuit differs from its fingerprint.
func (p *Print) changes(now *Print) []string {
	if p == nil {
		return nil
	}
	var all []string
	for _, k := range []struct {
		was, is   map[string]string
		name, how string
	}{
		{p.Devices, now.Devices, "device", "has another type, other terminals or contacts"},
		{p.Wires, now.Wires, "wire", "is landed otherwise"},
		{p.Steps, now.Steps, "step", "is worked otherwise"},
	} {
		for _, name := range slices.Sorted(maps.Keys(k.was)) {
			if is, ok := k.is[name]; !ok {
				all = append(all, fmt.Sprintf("%s %q is gone", k.name, name))
			} else if is != k.was[name] {
				all = append(all, fmt.Sprintf("%s %q %s", k.name, name, k.how))
			}
		}
		for _, name := range slices.Sorted(maps.Keys(k.is)) {
			if _, ok := k.was[name]; !ok {
				all = append(all, fmt.Sprintf("%s %q is new", k.name, name))
			}
		}
	}
	return all
}

// stale tells why a check that was made on the circuit of the fingerprint does not apply now;
// empty if it does.
func (p *Print) stale(now *Print, c *circuits.Circuit, x Check) string {
	if x.Step != "" && p.Steps[x.Step] != now.Steps[x.Step] {
		return fmt.Sprintf("the step %q is worked otherwise now", x.Step)
	}
	touched := slices.Concat(x.Leads(), x.Lifted)
	if d := c.Device(x.Look); d != nil {
		for _, t := range d.Terminals {
			touched = append(touched, d.Terminal(t))
		}
	}
	for _, t := range touched {
		name, _ := t.Split()
		if p.Devices[name] != now.Devices[name] {
			return fmt.Sprintf("%s has another type, other terminals or contacts now", name)
		}
		for _, n := range c.Numbers {
			on := slices.ContainsFunc(n.Wires, func(w circuits.Wire) bool { return w.From == t || w.To == t })
			if on && p.Wires[n.Name] != now.Wires[n.Name] {
				return fmt.Sprintf("wire %s, on %s, is landed otherwise now", n.Name, t)
			}
		}
	}
	return ""
}

// WriteTo writes what still stands of a log as one that is begun on the circuit as it is now.
func (b *Book) WriteTo(w io.Writer, history Log) error {
	if err := b.WriteHeader(w); err != nil {
		return err
	}
	for i := range len(history.Entries) + 1 {
		for _, a := range history.ActsBefore(i) {
			if err := a.AppendTo(w); err != nil {
				return err
			}
		}
		for _, s := range history.SeenBefore(i) {
			if err := s.AppendTo(w); err != nil {
				return err
			}
		}
		if i == len(history.Entries) {
			break
		}
		if err := history.Entries[i].AppendTo(w); err != nil {
			return err
		}
	}
	return nil
}

// staleNow tells why a check of a log does not apply: it cannot be made any more on a circuit
// that has changed, or it was made on what has changed.
func staleNow(then, now *Print, c *circuits.Circuit, x Check, err error, changes []string) string {
	switch {
	case len(changes) == 0:
		return ""
	case err != nil:
		return err.Error()
	}
	return then.stale(now, c, x)
}
