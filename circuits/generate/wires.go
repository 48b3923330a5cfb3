package generate

import (
	"fmt"
	"slices"
	"strings"
)

// crossing is how wires get from the panel to a place outside of it.
type crossing int

const (
	straight     crossing = iota // from device to device
	throughBlock                 // over a terminal of a terminal block
	throughPlug                  // over a pin of a connector; the wire number changes there
)

// number is one wire number with its runs.
type number struct {
	name string
	runs [][]string
}

// strip is a terminal block or a plug that grows as nodes cross it.
type strip struct {
	d       *device
	count   int
	bridges []string
}

// wires writes the wires of all nodes; terminal blocks and plugs are added to the
// devices as they are needed. No terminal gets more than two wires, but for those of
// terminal blocks and grounds.
func (b *board) wires() string {
	strips := make(map[string]*strip)
	var numbers []number
	for i, n := range b.nodes {
		numbers = append(numbers, b.number(fmt.Sprint(i+1), n, strips)...)
	}
	if b.metalwork {
		one, two := b.add("PE", "ground", "panel"), b.add("PE", "ground", "panel")
		numbers = append(numbers, number{"PE", [][]string{{one.name + ":1", two.name + ":1"}}})
	}
	for _, place := range []string{"door", b.outside, "panel"} {
		if s := strips[place]; s != nil {
			s.write()
		}
	}
	var text strings.Builder
	for _, n := range numbers {
		fmt.Fprintf(&text, "  %s:", n.name)
		if len(n.runs) == 1 {
			fmt.Fprintf(&text, " [%s]\n", strings.Join(n.runs[0], ", "))
			continue
		}
		text.WriteString("\n")
		for _, run := range n.runs {
			fmt.Fprintf(&text, "    - [%s]\n", strings.Join(run, ", "))
		}
	}
	return text.String()
}

// number wires one node, which has two points or more: what is in the panel in a chain,
// then each place outside of it in a chain of its own, by way of how that place is
// reached.
func (b *board) number(name string, n *node, strips map[string]*strip) []number {
	home := n.points[0].d.place
	for _, p := range n.points {
		if p.d.place == "panel" {
			home = "panel"
		}
	}
	var chain []string
	away := make(map[string][]string)
	for _, p := range n.points {
		if p.d.place == home {
			chain = append(chain, p.String())
		} else {
			away[p.d.place] = append(away[p.d.place], p.String())
		}
	}
	main := number{name: name}
	var others []number
	for _, place := range []string{"door", b.outside} {
		there := away[place]
		if len(there) == 0 {
			continue
		}
		switch b.across[place] {
		case straight:
			chain = append(chain, there...)
		case throughPlug:
			s := b.strip(strips, place, "X", "connector")
			pin := s.next()
			chain = append(chain, pin+"a")
			letter := string(rune('A' + len(others)))
			others = append(others, number{name + letter, [][]string{append([]string{pin + "b"}, there...)}})
		case throughBlock:
			s := b.strip(strips, place, "TB", "terminal-block")
			at := s.next()
			chain = append(chain, at)
			main.runs = append(main.runs, b.fromBlock(s, at, there)...)
		}
	}
	chain, runs := b.runs(strips, chain)
	main.runs = append(main.runs, runs...)
	if ground := b.bond[n]; ground != nil {
		main.runs = append(main.runs, []string{chain[0], ground.name + ":1"})
	} else if len(chain) > 3 && b.chance(40) { // branch at the first terminal
		at := 2 + b.r.IntN(len(chain)-2)
		main.runs = append(main.runs, append([]string{chain[0]}, chain[at:]...))
		chain = chain[:at]
	}
	main.runs = slices.Insert(main.runs, 0, chain)
	return append([]number{main}, others...)
}

// fromBlock wires what is in one place from a terminal of a terminal block: over a second
// one that is bridged to it, with a wire for each, or in a chain.
func (b *board) fromBlock(s *strip, at string, there []string) [][]string {
	switch {
	case len(there) > 1 && b.chance(50):
		other := s.next()
		s.bridges = append(s.bridges, fmt.Sprintf("[%d, %d]", s.count-1, s.count))
		half := len(there) / 2
		return [][]string{append([]string{at}, there[:half]...), append([]string{other}, there[half:]...)}
	case b.chance(30):
		var runs [][]string
		for _, p := range there {
			runs = append(runs, []string{at, p})
		}
		return runs
	}
	return [][]string{append([]string{at}, there...)}
}

// strip gives the terminal block or plug of a place, which it draws when it is needed
// for the first time.
func (b *board) strip(strips map[string]*strip, place, letters, kind string) *strip {
	if strips[place] == nil {
		strips[place] = &strip{d: b.add(letters, kind, "panel")}
	}
	return strips[place]
}

// next takes one more terminal or pin of a strip.
func (s *strip) next() string {
	s.count++
	return fmt.Sprintf("%s:%d", s.d.name, s.count)
}

// write gives a strip the terminals and bridges that were used, and one to spare.
func (s *strip) write() {
	var names []string
	for i := range s.count {
		names = append(names, fmt.Sprint(i+1))
	}
	if s.d.kind == "connector" {
		s.d.keys = append(s.d.keys, "pins: ["+strings.Join(names, ", ")+"]")
		return
	}
	names = append(names, fmt.Sprint(s.count+1))
	s.d.keys = append(s.d.keys, "terminals: ["+strings.Join(names, ", ")+"]")
	if len(s.bridges) > 0 {
		s.d.keys = append(s.d.keys, "bridges: ["+strings.Join(s.bridges, ", ")+"]")
	}
}
