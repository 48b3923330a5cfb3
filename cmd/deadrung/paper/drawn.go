package paper

import (
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
)

// drawnRung is a rung in the machine form of the result.
type drawnRung struct {
	Rung  int         `json:"rung"`
	Title string      `json:"title,omitempty"` // as the file has it
	Note  string      `json:"note,omitempty"`
	Wires []string    `json:"wires"`
	Parts []drawnPart `json:"parts"`
}

// drawnPart is a part of a rung in the machine form, its terminals from left to right.
type drawnPart struct {
	Kind      string              `json:"kind"`
	Name      string              `json:"name,omitempty"`
	Terminals []circuits.Terminal `json:"terminals,omitempty"`
	Contacts  []drawnReference    `json:"contacts,omitempty"`
	GoesOn    int                 `json:"goes-on,omitempty"` // rung
}

// drawnReference is a contact of a coil: where it is drawn.
type drawnReference struct {
	Terminals []circuits.Terminal `json:"terminals"`
	Rung      int                 `json:"rung,omitempty"` // none: spare
	NC        bool                `json:"nc,omitempty"`
	Timed     bool                `json:"timed,omitempty"`
}

// DrawnRungs gives the rungs of a drawing in their machine form.
func DrawnRungs(d *drawing.Drawing) []drawnRung {
	var rungs []drawnRung
	for _, r := range d.Rungs {
		out := drawnRung{Rung: r.Number, Wires: []string{}, Title: strings.Join(r.Titles, "; "),
			Note: strings.Join(r.Notes, "; ")}
		for _, n := range r.Numbers {
			out.Wires = append(out.Wires, d.Circuit.Numbers[n].Name)
		}
		for _, p := range r.Parts {
			part := drawnPart{Kind: p.Kind.String(), Name: p.Name()}
			if p.Kind == drawing.Reference {
				part.GoesOn = d.GoesOn(p)
			} else {
				part.Terminals = p.Terminals()
			}
			if p.Kind == drawing.Load && p.Device.Type.Kind == circuits.RelayKind {
				for _, x := range d.CrossReferences(p.Device) {
					c := p.Device.Contacts[x.Number]
					part.Contacts = append(part.Contacts, drawnReference{
						Terminals: []circuits.Terminal{p.Device.Terminal(c.A), p.Device.Terminal(c.B)},
						Rung:      x.Rung, NC: x.NC, Timed: x.Timed,
					})
				}
			}
			out.Parts = append(out.Parts, part)
		}
		rungs = append(rungs, out)
	}
	return rungs
}
