package engine

import (
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// draw posts the drawing of the session's circuit.
func (e *Engine) draw(o Order) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.held == nil {
		return // the session ended while the page asked
	}
	e.post(Message{Kind: Drawing, Drawn: drawnOf(e.drawn, e.held.Model.Panel(), o)})
}

func drawnOf(d *drawing.Drawing, p *work.Panel, o Order) *Drawn {
	var by drawing.Options
	if o.IEC {
		by.Symbols = drawing.IEC
	}
	out := &Drawn{Step: o.Step, Off: o.Off, Points: d.Points(by), Looks: make(map[string][2]float64),
		Operators: make(map[string][]string)}
	out.Width, out.Height = d.Size(by)
	if steps := len(d.Circuit.Steps); o.Step >= 0 && o.Step < steps {
		if by.State = d.At(o.Step); o.Off {
			by.State = d.Off(o.Step)
		}
	}
	out.SVG = string(d.SVG(by))
	for _, s := range p.Sights() {
		if at, ok := middle(out.Points, s.Device); ok {
			out.Looks[strings.TrimSpace(s.Device.Name+" "+s.At().At)] = at
		}
	}
	for _, v := range p.Operators() {
		out.Operators[v.Name] = v.Positions
	}
	return out
}

// middle is where a device is drawn that has two ends.
func middle(points map[circuits.Terminal][2]float64, v *circuits.Device) (at [2]float64, ok bool) {
	a, okA := points[v.Terminal(v.Ends[0])]
	b, okB := points[v.Terminal(v.Ends[1])]
	return [2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}, okA && okB
}

// doubt is, by terminal, how likely a fault lies there, of what a turn leaves possible.
func doubt(m *diagnose.Model, t *diagnose.Turn) map[circuits.Terminal]float64 {
	share := make(map[circuits.Terminal]float64)
	for _, c := range t.Candidates {
		if c.Probability < leastDoubt {
			continue
		}
		for _, at := range terminalsOf(m.Panel().Circuit, m.Faults()[c.Index]) {
			share[at] += c.Probability
		}
	}
	return share
}

// leastDoubt is the share below which a fault is not marked. Common practice, no source.
const leastDoubt = 0.005

// terminalsOf are the terminals at which a fault sits.
func terminalsOf(c *circuits.Circuit, f faultmodel.Fault) []circuits.Terminal {
	effect := f.Effect
	switch {
	case effect.OpenWire != nil:
		return []circuits.Terminal{effect.OpenWire.From, effect.OpenWire.To}
	case len(effect.OpenContact) > 0:
		return effect.OpenContact
	case len(effect.ClosedContact) > 0:
		return effect.ClosedContact
	}
	var all []circuits.Terminal
	for _, name := range f.Devices {
		if v := c.Device(name); v != nil {
			for _, t := range v.Terminals {
				all = append(all, v.Terminal(t))
			}
		}
	}
	if len(all) > 0 {
		return all
	}
	for _, n := range c.Numbers {
		for _, name := range append(effect.Short, effect.Ground) {
			if n.Name == name {
				for _, w := range n.Wires {
					all = append(all, w.From, w.To)
				}
			}
		}
	}
	return all
}
