package drawing

import (
	"deadrung/circuits"
)

// Kind says what a part of the drawing is.
type Kind int

const (
	Contact   Kind = iota + 1 // one contact of a device
	Load                      // a coil, lamp, horn, solenoid, motor
	Primary                   // the primary winding of a control transformer
	Source                    // a supply, or the secondary winding of a control transformer
	Link                      // a fuse or breaker
	Pin                       // one pin of a connector
	Bridge                    // a bridge between two terminals of a block
	Post                      // a terminal of a block on the way of a conductor
	Tap                       // terminals of a block beside a conductor, bridged or alone
	Ground                    // a ground
	Reference                 // the conductor goes on elsewhere in the drawing
)

// Part is one symbol of the drawing. Left and Right are its terminals as drawn: the hot
// side is on the left, but for a source, whose row is where the rails come from.
type Part struct {
	Kind        Kind
	Device      *circuits.Device // nil for a reference
	Index       int              // of the contact, coil, pin or bridge in its device
	Left, Right circuits.Terminal
	// LeftNumber and RightNumber are the wire numbers of the conductors at its sides,
	// as indices into Circuit.Numbers; -1 where no wire lands.
	LeftNumber, RightNumber int
	Rung                    int                 // number of the rung that it is on
	Also                    []circuits.Terminal // further terminals of a tap

	at   [2]joint // left, right; none where it has only one side
	slot int      // column of its symbol
	hang bool     // a reference to the left of its conductor
	twin *Part    // of a reference where a group is cut: the one at the other end
}

// Name is how a part is written beside its symbol: "CR1", "TB1:3", "X1:2".
func (p *Part) Name() string {
	switch p.Kind {
	case Pin:
		return p.Device.Name + ":" + p.Device.Pins[p.Index]
	case Bridge:
		b := p.Device.Bridges[p.Index]
		return p.Device.Name + ":" + b[0] + "-" + b[1]
	case Post:
		return string(p.Left)
	case Tap:
		name := string(p.Left)
		if n := len(p.Also); n > 0 {
			_, last := p.Also[n-1].Split()
			name += []string{"-", "…"}[b2i(n > 1)] + last
		}
		return name
	case Reference:
		return ""
	}
	return p.Device.Name
}

// backward tells whether current comes through it from right to left.
func (p *Part) backward() bool {
	return p.Device != nil && p.Kind == Link && p.Device.OneWay() && p.Left != p.Device.Terminal(p.Device.Ends[0])
}

// Terminals gives the terminals of a part.
func (p *Part) Terminals() []circuits.Terminal {
	out := []circuits.Terminal{p.Left}
	if p.Right != "" && p.Right != p.Left {
		out = append(out, p.Right)
	}
	return append(out, p.Also...)
}

// String is the kind in a word.
func (k Kind) String() string {
	return [...]string{"", "contact", "load", "primary", "source", "link", "pin", "bridge", "post",
		"tap", "ground", "reference"}[k]
}
