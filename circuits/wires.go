package circuits

import "slices"

// Runs gives the wires of a number as runs of terminals, each joined by one wire after
// another.
func (n *Number) Runs() [][]Terminal {
	var runs [][]Terminal
	for _, w := range n.Wires {
		if last := len(runs) - 1; last >= 0 && runs[last][len(runs[last])-1] == w.From {
			runs[last] = append(runs[last], w.To)
			continue
		}
		runs = append(runs, []Terminal{w.From, w.To})
	}
	return runs
}

// Choices gives the contacts that were chosen by their kind, in file order.
func (c *Circuit) Choices() []*Item {
	var out []*Item
	for i := range c.Rungs {
		for _, line := range [][]Item{c.Rungs[i].Line, c.Rungs[i].Return} {
			Items(line, func(it *Item) {
				if it.Chosen {
					out = append(out, it)
				}
			})
		}
	}
	return out
}

// Spare lists what has no wire: contacts, as CR1:21-22-24 for a changeover one, pins and
// terminals of terminal blocks, in file order.
func (c *Circuit) Spare() []string {
	at := c.NumberOf()
	free := func(d *Device, name string) bool { return at[d.Terminal(name)] == "" }
	var out []string
	for _, d := range c.Devices {
		for i, contact := range d.Contacts {
			switch first := slices.IndexFunc(d.Contacts, func(o Contact) bool { return o.A == contact.A }); {
			case !free(d, contact.A) || !free(d, contact.B):
			case first < i && free(d, d.Contacts[first].B):
				out[len(out)-1] += "-" + contact.B
			default:
				out = append(out, d.Name+":"+contact.A+"-"+contact.B)
			}
		}
		for _, pin := range d.Pins {
			if free(d, pin+"a") && free(d, pin+"b") {
				out = append(out, d.Name+":"+pin)
			}
		}
		for _, name := range d.Terminals {
			if d.Type.Kind == BlockKind && free(d, name) {
				out = append(out, d.Name+":"+name)
			}
		}
	}
	return out
}

// NumberOf gives the wire number of every terminal of a circuit.
func (c *Circuit) NumberOf() map[Terminal]string {
	at := make(map[Terminal]string)
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			at[w.From], at[w.To] = n.Name, n.Name
		}
	}
	return at
}
