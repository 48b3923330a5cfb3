package talk

import (
	"fmt"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/plan"
)

// mostNamed is how many terminals of a conductor a sentence names.
const mostNamed = 4

// terminals lists terminals in a sentence: a few, and how many more.
func terminals(list []circuits.Terminal) string {
	var names []string
	for _, t := range list {
		names = append(names, string(t))
	}
	if more := len(names) - mostNamed; more > 1 {
		names = append(names[:mostNamed], fmt.Sprintf("%d more", more))
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// PlannedWire writes a wire of a plan: "wire 7 from CR1:22 to B1:1".
func PlannedWire(w plan.Wire) string {
	text := "the wire"
	if w.Number != "" {
		text = "wire " + w.Number
	}
	return fmt.Sprintf("%s from %s to %s", text, w.From, w.To)
}

// PlanMistake says what is wrong with a plan, and what would be right; not as a whole sentence.
func PlanMistake(c *circuits.Circuit, wires []plan.Wire, m plan.Mistake) string {
	var wire plan.Wire
	if m.Wire >= 0 {
		wire = wires[m.Wire]
	}
	free := ""
	if len(m.Instead) > 0 {
		free = fmt.Sprintf(" (%s %s free)", circuits.Listed(m.Instead), Verb(len(m.Instead), "is", "are"))
	}
	switch m.Kind {
	case plan.Unknown:
		return fmt.Sprintf("%s: there is no terminal %s%s", PlannedWire(wire), m.Terminals[0], NearTerminal(c, m.Terminals[0]))
	case plan.Itself:
		return fmt.Sprintf("%s runs from a terminal to itself", PlannedWire(wire))
	case plan.Crowded:
		return fmt.Sprintf("%s has more than %d wires; go on from another terminal of the same conductor", m.Terminals[0], plan.MostWires)
	case plan.Missing:
		text := fmt.Sprintf("nothing joins %s to %s; on the drawing they are one conductor", terminals(m.Terminals), terminals(m.With))
		if len(m.With) == 0 {
			text = fmt.Sprintf("no wire joins %s; on the drawing they are one conductor", terminals(m.Terminals))
		}
		if m.Wire >= 0 {
			text += "; " + PlannedWire(wire) + " ends where the drawing has nothing"
		}
		return text
	case plan.Joined:
		return fmt.Sprintf("%s joins two conductors that the drawing keeps apart: that of %s, and that of %s", PlannedWire(wire),
			terminals(m.Terminals), terminals(m.With))
	case plan.WrongContact:
		return fmt.Sprintf("%s is the wrong contact here: the drawing has one of %s that is %s%s", m.Part, m.Device.Name, contactKind(m.Wants), free)
	case plan.Extra:
		if m.Device == nil {
			return fmt.Sprintf("%s joins nothing that the drawing joins", PlannedWire(wire))
		}
		return fmt.Sprintf("%s is wired in; the drawing does not have it there", m.Part)
	case plan.Left:
		if m.Wants != "" {
			return fmt.Sprintf("a contact of %s that is %s is left out%s", m.Device.Name, contactKind(m.Wants), free)
		}
		return fmt.Sprintf("%s is not wired", m.Part)
	case plan.Reversed:
		if m.Device.Type.Kind != circuits.SourceKind {
			return fmt.Sprintf("two lines of %s are exchanged: its phases come in the wrong order", m.Device.Name)
		}
		return fmt.Sprintf("%s is wired the wrong way round: %s is its hot side", m.Part, m.Device.Terminal(m.Device.Ends[0]))
	case plan.Around:
		return fmt.Sprintf("the conductor of %s does not pass terminal block %s, as it does on the drawing", terminals(m.Terminals), m.Part)
	case plan.TwoNumbers:
		if m.Numbers[0] == "" {
			return fmt.Sprintf("the conductor of %s has no wire number", terminals(m.Terminals))
		}
		if m.Numbers[len(m.Numbers)-1] == "" || len(m.Numbers) < 2 {
			return fmt.Sprintf("%s has no wire number; its conductor is %s", PlannedWire(wire), m.Numbers[0])
		}
		return fmt.Sprintf("the conductor of %s has several wire numbers: %s", terminals(m.Terminals), strings.Join(m.Numbers, ", "))
	case plan.OneNumber:
		return fmt.Sprintf("two conductors have the wire number %s: that of %s, and that of %s", m.Numbers[0], terminals(m.Terminals), terminals(m.With))
	}
	panic("talk: a mistake of no kind")
}

// NearTerminal suggests what a terminal that there is not may have been meant for.
func NearTerminal(c *circuits.Circuit, t circuits.Terminal) string {
	name, _ := t.Split()
	if d := c.Device(name); d != nil {
		return fmt.Sprintf("; %s has %s", d.Name, strings.Join(d.Terminals, ", "))
	}
	var all []string
	for _, d := range c.Devices {
		all = append(all, d.Name)
	}
	return circuits.Suggest(name, all)
}

// contactKind says what kind of contact the drawing has.
func contactKind(kind string) string {
	kind, timed := strings.CutSuffix(kind, " timed")
	switch kind {
	case "no":
		kind = "normally open"
	case "nc":
		kind = "normally closed"
	default:
		kind = "closed in " + kind
	}
	if timed {
		kind += ", timed"
	}
	return kind
}

// Happening says what a panel wired by a plan does otherwise than one wired as drawn.
func Happening(c *circuits.Circuit, h plan.Happening) string {
	at := func(what string) string {
		return fmt.Sprintf("in step %q %s %s", c.Steps[h.Step].Name, h.Device.Called(), what)
	}
	switch h.What {
	case plan.Opens:
		return at("opens: a dead short or an overload")
	case plan.Collapses:
		return at("is shorted, with nothing to protect it")
	case plan.Chatters:
		return at("chatters: it finds no rest")
	case plan.StaysOff:
		return at("is off and should be on")
	case plan.ComesOn:
		return at("is on and should be off")
	case plan.TurnsBack:
		return at("turns the wrong way")
	case plan.IsNotFed:
		return h.Device.Called() + " is not fed"
	}
	panic("talk: nothing that happens")
}

// DeviceTerminals lists the terminals of a device, its contacts by kind:
// "CR1 relay: A1 A2; 11-14 normally open, 11-12 normally closed".
func DeviceTerminals(d *circuits.Device) string {
	text := d.Name + " " + d.Type.Called()
	if d.Place != "panel" {
		text += " (" + d.Place + ")"
	}
	var bare, contacts []string
	of := make(map[string]bool)
	for _, k := range d.Contacts {
		contacts = append(contacts, fmt.Sprintf("%s-%s %s", k.A, k.B, contactKind(d.KindOf(k))))
		of[k.A], of[k.B] = true, true
	}
	for _, t := range d.Terminals {
		if !of[t] {
			bare = append(bare, t)
		}
	}
	parts := append([]string{strings.Join(bare, " ")}, contacts...)
	if len(bare) == 0 {
		parts = contacts
	}
	return text + ": " + strings.Join(parts, "; ")
}

// Meeting names the devices that meet at a conductor: "F1, LS1 and TR1".
func Meeting(n circuits.Number) string {
	var names []circuits.Terminal
	had := make(map[string]bool)
	for _, w := range n.Wires {
		for _, t := range []circuits.Terminal{w.From, w.To} {
			if name, _ := t.Split(); !had[name] {
				had[name] = true
				names = append(names, circuits.Terminal(name))
			}
		}
	}
	return terminals(names)
}

// Wholes says how many conductors of a drawing are whole: "3 of 7 conductors are whole".
func Wholes(whole, of int) string {
	return fmt.Sprintf("%d of %s %s whole", whole, Count(of, "conductor"), Verb(whole, "is", "are"))
}
