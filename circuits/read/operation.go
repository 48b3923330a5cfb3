package read

import (
	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

var stepKeys = []string{"step", "set", "wait", "expect", "note"}

// readOperation reads the steps. e may be nil.
func (r *reader) readOperation(e *entry) {
	if e == nil {
		return
	}
	const right = "a list of steps, each beginning with - step: NAME"
	items, ok := r.items(e.value, "operation", right)
	if !ok {
		return
	}
	if len(items) == 0 {
		r.wrong(e.at, right, "operation is empty")
	}
	names := make(map[string]*yaml.Node)
	for _, n := range items {
		entries, ok := r.entries(n, "a step", "step: NAME, then set, wait and expect")
		if !ok {
			continue
		}
		given := r.known(entries, stepKeys, "in a step")
		step := circuits.Step{At: posOf(n)}
		if e := given["step"]; e != nil {
			step.At = posOf(e.value)
			step.Name, ok = r.line(e)
			if before := names[step.Name]; ok && before != nil {
				r.wrong(e.value, "a name of its own for each step", "step %s is already on line %d",
					circuits.Quote(step.Name), before.Line)
			} else {
				names[step.Name] = e.value
			}
		} else if !misspelt("step", entries, stepKeys) {
			r.wrong(n, "step: NAME", "a step has no name")
		}
		r.readSet(&step, given["set"])
		r.readWait(&step, given["wait"])
		r.readExpect(&step, given["expect"])
		if e := given["note"]; e != nil {
			step.Note, _ = r.text(e)
		}
		r.circuit.Steps = append(r.circuit.Steps, step)
	}
}

// readSet reads the operators that a step moves. e may be nil.
func (r *reader) readSet(step *circuits.Step, e *entry) {
	if e == nil {
		return
	}
	entries, _ := r.entries(e.value, "set", "operator: position, as in {PB1: pressed}")
	for _, e := range entries {
		d := r.named(e)
		if d == nil {
			continue
		}
		if d.Type.Kind != circuits.OperatorKind {
			right := "push buttons, switches and overload relays"
			if d.Type.Kind == circuits.RelayKind {
				right += "; its coil moves " + d.Type.Article()
			}
			r.wrong(e.at, right, "%s is %s and cannot be set", d.Name, d.Type.Article())
			continue
		}
		name, ok := r.text(e)
		if !ok {
			continue
		}
		if i := r.position(d, name, e.value); i >= 0 {
			step.Set = append(step.Set, circuits.Setting{Device: d.Device, Position: i, At: posOf(e.at)})
		}
	}
}

// readWait reads the seconds that a step lets pass. e may be nil.
func (r *reader) readWait(step *circuits.Step, e *entry) {
	if e == nil {
		return
	}
	seconds, ok := r.number(e)
	if ok && seconds < 0 {
		r.wrong(e.value, "seconds, zero or more", "wait is %s", e.value.Value)
		return
	}
	step.Wait = seconds
}

// seen are what a device can be expected to be seen as.
var seen = []string{"on", "off", "flashing"}

// readExpect reads what a step expects of a good circuit. e may be nil.
func (r *reader) readExpect(step *circuits.Step, e *entry) {
	if e == nil {
		return
	}
	entries, _ := r.entries(e.value, "expect", "device: on, off or flashing, as in {H1: on}")
	for _, e := range entries {
		d := r.named(e)
		if d == nil {
			continue
		}
		if len(d.Type.Looks) == 0 { // nobody can see, hear or feel it work
			r.wrong(e.at, "a device that can be seen working: a lamp, horn, solenoid, motor, heater, relay",
				"%s is %s, of which nothing can be expected", d.Name, d.Type.Article())
			continue
		}
		if state, ok := r.oneOf(e, seen...); ok {
			step.Expect = append(step.Expect, circuits.Expectation{Device: d.Device, On: state == "on",
				Flashing: state == "flashing", At: posOf(e.at)})
		}
	}
}

// named gives the device that a key names, or complains and gives nil. It gives nil
// silently for a device that could not be read.
func (r *reader) named(e *entry) *drawn {
	d := r.drawn[e.key]
	if d == nil && !r.vagueDevices {
		r.wrong(e.at, r.meantDevice(e.key), "there is no device %s", circuits.Quote(e.key))
	}
	if d == nil || d.Type == nil {
		return nil
	}
	return d
}
