package engine

import (
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/circuits/work"
	"deadrung/diagnose"
)

// draw posts the drawing of the session's circuit.
func (e *Engine) draw(o Order) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.held == nil {
		return // the session ended while the page asked
	}
	p := e.held.Model.Panel()
	var out *Drawn
	if o.Wired {
		if e.wired == nil {
			picture := connections.New(p.Circuit).Picture()
			e.wired = &picture
		}
		out = wiredOf(e.wired, p, o)
	} else {
		out = drawnOf(e.drawn, p, o)
	}
	e.post(Message{Kind: Drawing, Of: e.of, Drawn: out})
}

// wiredOf is the connection diagram as the page takes it: the same in every step.
func wiredOf(d *connections.Picture, p *work.Panel, o Order) *Drawn {
	out := newDrawn(p, o)
	out.SVG, out.Width, out.Height, out.Points = string(d.SVG), d.Width, d.Height, d.Points
	for _, s := range p.Sights() {
		out.Looks[lookedAt(s)] = d.Devices[s.Device.Name]
	}
	return out
}

// drawnOf is the ladder as the page takes it, at the end of a step.
func drawnOf(d *drawing.Drawing, p *work.Panel, o Order) *Drawn {
	var by drawing.Options
	if o.IEC {
		by.Symbols = drawing.IEC
	}
	out := newDrawn(p, o)
	out.Points = d.Points(by)
	out.Width, out.Height = d.Size(by)
	if steps := len(d.Circuit.Steps); o.Step >= 0 && o.Step < steps {
		if by.State = d.At(o.Step); o.Off {
			by.State = d.Off(o.Step)
		}
	}
	out.SVG = string(d.SVG(by))
	for _, s := range p.Sights() {
		if at, ok := drawing.Middle(out.Points, s.Device); ok {
			out.Looks[lookedAt(s)] = at
		}
	}
	return out
}

// newDrawn is what the page needs beside a picture.
func newDrawn(p *work.Panel, o Order) *Drawn {
	out := &Drawn{Step: o.Step, Off: o.Off, Looks: make(map[string][2]float64), Operators: make(map[string][]string)}
	for _, v := range p.Operators() {
		out.Operators[v.Name] = v.Positions
	}
	return out
}

// lookedAt is what a look is at, as an order names it.
func lookedAt(s work.Sight) string { return strings.TrimSpace(s.Device.Name + " " + s.At().At) }

// doubt is, by terminal, how likely a fault lies there, of what a turn leaves possible.
func doubt(m *diagnose.Model, t *diagnose.Turn) map[circuits.Terminal]float64 {
	share := make(map[circuits.Terminal]float64)
	for _, c := range t.Candidates {
		if c.Probability < leastDoubt {
			continue
		}
		for _, at := range m.Faults()[c.Index].Terminals(m.Panel().Circuit) {
			share[at] += c.Probability
		}
	}
	return share
}

// leastDoubt is the share below which a fault is not marked. Common practice, no source.
const leastDoubt = 0.005
