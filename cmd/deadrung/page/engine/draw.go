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
	out := drawnOf(e.drawn, p, o)
	if o.Wired {
		out.onTheRealThing(p)
	}
	e.post(Message{Kind: Drawing, Of: e.of, Drawn: out})
}

// onTheRealThing takes the connection diagram for the ladder.
func (d *Drawn) onTheRealThing(p *work.Panel) {
	wired := connections.New(p.Circuit).Picture()
	d.SVG, d.Width, d.Height, d.Points = string(wired.SVG), wired.Width, wired.Height, wired.Points
	clear(d.Looks)
	for _, s := range p.Sights() {
		d.Looks[strings.TrimSpace(s.Device.Name+" "+s.At().At)] = wired.Devices[s.Device.Name]
	}
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
		if at, ok := drawing.Middle(out.Points, s.Device); ok {
			out.Looks[strings.TrimSpace(s.Device.Name+" "+s.At().At)] = at
		}
	}
	for _, v := range p.Operators() {
		out.Operators[v.Name] = v.Positions
	}
	return out
}

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
