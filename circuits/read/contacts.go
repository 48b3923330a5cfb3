package read

import (
	"fmt"
	"strings"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

const contactForms = "{no: [13, 14]}, {nc: [11, 12]}, {common: 11, nc: 12, no: 14} or {terminals: " +
	"[13, 14], closed: [hand]}"

var contactFormKeys = []string{"no", "nc", "common", "terminals", "closed", "timed", "fault"}

// readContacts reads the contacts of a device.
func (r *reader) readContacts(d *drawn, e *entry) {
	items, ok := r.items(e.value, "contacts", "a list, as in [{no: [13, 14]}]")
	if !ok {
		d.doubt("contacts")
		return
	}
	if len(items) == 0 && d.Type.Kind == circuits.OperatorKind {
		r.wrong(e.value, "a list, as in [{no: [13, 14]}]", "%s has no contacts", d.Name)
	}
	for _, n := range items {
		before, mistakes := len(d.Contacts), r.mistakes
		if entries, ok := r.entries(n, "a contact", contactForms); ok {
			r.readContact(d, n, entries)
		}
		// A contact with a wrong position still has its terminals.
		whole := len(d.Contacts) > before && d.Contacts[before].Form == circuits.InPositions
		if r.mistakes > mistakes && !whole {
			d.doubt("contacts")
		}
	}
}

// readContact reads one contact in any of its forms. A changeover makes two, its
// normally closed half first.
func (r *reader) readContact(d *drawn, n *yaml.Node, entries []*entry) {
	given := r.known(entries, contactFormKeys, "in a contact of "+d.Name)
	if len(given) == 0 && len(entries) > 0 {
		return // no key is known, and that has been said
	}
	before := len(d.Contacts)
	add := func(a, b string, form circuits.Form) {
		d.Contacts = append(d.Contacts, circuits.Contact{A: a, B: b, Closed: d.closed(form), Form: form,
			At: posOf(n)})
	}
	no, nc := given["no"], given["nc"]
	switch {
	case given["terminals"] != nil || given["closed"] != nil:
		r.readInPositions(d, n, given)
	case given["common"] != nil:
		common, ok := r.screw(d, given["common"])
		if no == nil && nc == nil {
			r.wrong(n, "{common: 11, nc: 12, no: 14}", "a changeover contact needs nc or no")
			break
		}
		for _, half := range []struct {
			e    *entry
			form circuits.Form
		}{{nc, circuits.NormallyClosed}, {no, circuits.NormallyOpen}} {
			if half.e == nil {
				continue
			}
			if name, good := r.screw(d, half.e); good && ok {
				add(common, name, half.form)
			}
		}
		r.twoPositions(d, n)
	case no != nil && nc != nil:
		r.wrong(n, "each contact in braces of its own, or a changeover as {common: 11, nc: 12, no: 14}",
			"a contact of %s is both no and nc", d.Name)
	case no != nil:
		r.readPlain(d, no, circuits.NormallyOpen, add)
		r.twoPositions(d, n)
	case nc != nil:
		r.readPlain(d, nc, circuits.NormallyClosed, add)
		r.twoPositions(d, n)
	default:
		r.wrong(n, contactForms, "a contact of %s has no terminals", d.Name)
	}
	r.readTimed(d, given["timed"], d.Contacts[before:], d.Type.Delays, "the contacts of a timer")
	r.readTimed(d, given["fault"], d.Contacts[before:], d.Type.Armature.FaultRelay(), "the contacts of a drive or a zone module")
}

// readPlain reads the two terminals of a normally open or normally closed contact. It
// may share one with another contact of the device: a common that has no screw of its
// own.
func (r *reader) readPlain(d *drawn, e *entry, form circuits.Form,
	add func(a, b string, form circuits.Form)) {
	pair, ok := r.pairOf(d, e, true)
	switch {
	case !ok:
	case d.pair(pair[0], pair[1]):
		r.wrong(e.value, "two terminals of its own, or a changeover as {common: 11, nc: 12, no: 14}",
			"%s already has a contact between %s and %s", d.Name, pair[0], pair[1])
	default:
		d.shared[pair[0]], d.shared[pair[1]] = true, true
		add(pair[0], pair[1], form)
	}
}

// screw reads the one terminal of a common, nc or no of a changeover contact.
func (r *reader) screw(d *drawn, e *entry) (string, bool) {
	if e.value.Kind == yaml.SequenceNode {
		r.wrong(e.value, "{common: 11, nc: 12, no: 14}",
			"%s of a changeover contact is a list where one terminal is needed", e.key)
		return "", false
	}
	return r.terminal(d, e.value, false)
}

// closed says in which positions a normally open or normally closed contact is
// closed: they follow the second position.
func (d *drawn) closed(form circuits.Form) []bool {
	if len(d.Positions) != 2 {
		return make([]bool, len(d.Positions))
	}
	return []bool{form == circuits.NormallyClosed, form == circuits.NormallyOpen}
}

// twoPositions refuses no and nc on a selector switch that does not have two
// positions.
func (r *reader) twoPositions(d *drawn, n *yaml.Node) {
	if d.vaguePositions || len(d.Positions) == 2 {
		return
	}
	r.wrong(n, fmt.Sprintf("{terminals: [13, 14], closed: [%s]}, with the positions in which it is "+
		"closed", d.Positions[0]),
		"%s has %d positions, so no and nc do not say when a contact is closed", d.Name, len(d.Positions))
}

// readInPositions reads a contact that is closed in named positions. Two of them may
// share a terminal.
func (r *reader) readInPositions(d *drawn, n *yaml.Node, given map[string]*entry) {
	terminals, closed := given["terminals"], given["closed"]
	for _, stray := range []string{"no", "nc", "common"} {
		if e := given[stray]; e != nil {
			r.wrong(e.at, contactForms, "%s does not go with terminals and closed", stray)
			return
		}
	}
	if terminals == nil || closed == nil {
		r.wrong(n, "{terminals: [13, 14], closed: [hand]}",
			"a contact of %s needs both terminals and closed", d.Name)
	}
	if d.Type.Kind != circuits.OperatorKind && closed != nil {
		r.wrong(closed.at, "no or nc",
			"closed belongs to switches that a person or a machine moves; %s is %s", d.Name, d.Type.Article())
		return
	}
	var pair [2]string
	ok := false
	if terminals != nil {
		pair, ok = r.pairOf(d, terminals, true)
	}
	if closed == nil {
		return
	}
	items, isList := r.items(closed.value, "closed",
		"a list of positions, as in ["+strings.Join(d.Positions, ", ")+"]")
	if isList && len(items) == 0 {
		r.wrong(closed.value, "the positions in which the contact is closed", "closed is empty")
	}
	in := make([]bool, len(d.Positions))
	for _, n := range items {
		if name, ok := r.name(n, positionNames); ok {
			if i := r.position(d, name, n); i >= 0 {
				in[i] = true
			}
		}
	}
	switch {
	case !ok:
	case d.pair(pair[0], pair[1]):
		r.wrong(terminals.value, "one contact with all its positions",
			"%s already has a contact between %s and %s", d.Name, pair[0], pair[1])
	default:
		d.shared[pair[0]], d.shared[pair[1]] = true, true
		d.Contacts = append(d.Contacts, circuits.Contact{A: pair[0], B: pair[1], Closed: in,
			Form: circuits.InPositions, At: posOf(n)})
	}
}

// readTimed marks contacts that follow the delay of a timer, or a fault relay.
func (r *reader) readTimed(d *drawn, e *entry, contacts []circuits.Contact, right bool, owners string) {
	always := right && d.Type.SeenTimed()
	timed, ok := always, true
	if e != nil {
		timed, ok = r.yes(e)
	}
	if ok && always && !timed {
		r.wrong(e.value, "true, or without timed", "all contacts of %s, %s, follow its time", d.Name, d.Type.Article())
		return
	}
	if !ok || !timed {
		return
	}
	if !right {
		r.wrong(e.at, "", "%s belongs to %s; %s is %s", e.key, owners, d.Name, d.Type.Article())
		return
	}
	for i := range contacts {
		contacts[i].Timed = true
	}
}
