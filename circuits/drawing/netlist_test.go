package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
)

// picture is an SVG as it is read back: nothing but its conductors, symbols and texts.
type picture struct {
	wires []drawnWire
	parts []drawnPart
	texts []drawnText
	dots  [][2]float64
}

type drawnWire struct {
	x1, y1, x2, y2 float64
	number         string
	rail           bool
}

type drawnPart struct {
	kind, name, left, right, wire string
	also                          []string
	x1, y1, x2, y2                float64
}

type drawnText struct {
	class, text string
	x, y        float64
}

func readPicture(t *testing.T, svg []byte) picture {
	t.Helper()
	var p picture
	var text *drawnText
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return p
		}
		require.NoError(t, err)
		switch e := token.(type) {
		case xml.StartElement:
			a := make(map[string]string)
			for _, x := range e.Attr {
				a[x.Name.Local] = x.Value
			}
			f := func(name string) float64 { v, _ := strconv.ParseFloat(a[name], 64); return v }
			switch {
			case e.Name.Local == "path" && strings.HasPrefix(a["class"], "wire"):
				w := drawnWire{number: a["data-wire"], rail: a["class"] == "wire rail"}
				_, err := fmt.Sscanf(a["d"], "M%f %fL%f %f", &w.x1, &w.y1, &w.x2, &w.y2)
				require.NoError(t, err, a["d"])
				p.wires = append(p.wires, w)
			case a["class"] == "dot":
				p.dots = append(p.dots, [2]float64{f("cx"), f("cy")})
			case e.Name.Local == "g":
				p.parts = append(p.parts, drawnPart{a["data-kind"], a["data-name"], a["data-left"],
					a["data-right"], a["data-wire"], strings.Fields(a["data-also"]),
					f("data-x1") + f("data-x"), f("data-y1") + f("data-y"), f("data-x2") + f("data-x"),
					f("data-y2") + f("data-y")})
			case e.Name.Local == "text":
				p.texts = append(p.texts, drawnText{class: a["class"], x: f("x"), y: f("y")})
				text = &p.texts[len(p.texts)-1]
			}
		case xml.CharData:
			if text != nil {
				text.text += string(e)
			}
		case xml.EndElement:
			text = nil
		}
	}
}

// on tells whether a point lies on a conductor, and whether at its end.
func (w drawnWire) on(x, y float64) bool {
	const near = 0.15 // coordinates are written to a tenth
	return x > math.Min(w.x1, w.x2)-near && x < math.Max(w.x1, w.x2)+near &&
		y > math.Min(w.y1, w.y2)-near && y < math.Max(w.y1, w.y2)+near
}

// nets joins what the picture joins: conductors that end on one another, or that cross with
// a dot. It gives the net of each terminal.
func (p picture) nets(t *testing.T, where string) map[string]int {
	t.Helper()
	up := make([]int, len(p.wires))
	for i := range up {
		up[i] = i
	}
	var find func(int) int
	find = func(i int) int {
		if up[i] != i {
			up[i] = find(up[i])
		}
		return up[i]
	}
	for i, a := range p.wires {
		for k, b := range p.wires[:i] {
			dotted := slices.ContainsFunc(p.dots,
				func(d [2]float64) bool { return a.on(d[0], d[1]) && b.on(d[0], d[1]) })
			if dotted || a.on(b.x1, b.y1) || a.on(b.x2, b.y2) || b.on(a.x1, a.y1) || b.on(a.x2, a.y2) {
				require.Equal(t, a.number, b.number, "%s: conductors of two wire numbers meet", where)
				up[find(i)] = find(k)
			}
		}
	}
	at := func(x, y float64) int {
		net := -1
		for i, w := range p.wires {
			if w.on(x, y) {
				require.True(t, net < 0 || find(net) == find(i), "%s: two conductors at one terminal", where)
				net = i
			}
		}
		return net
	}
	shared := make(map[string]int) // a wire number that rails and references name
	share := func(number string, net int) {
		if first, ok := shared[number]; ok {
			up[find(net)] = find(first)
		}
		shared[number] = net
	}
	for i, w := range p.wires {
		if w.rail {
			share(w.number, i)
		}
	}
	ends := make(map[string]int)
	add := func(terminal string, net int) {
		if terminal == "" || net < 0 {
			return // it hangs free; where a wire lands on it the caller misses it
		}
		if old, ok := ends[terminal]; ok {
			require.Equal(t, find(old), find(net), "%s: %s is on two conductors", where, terminal)
		}
		ends[terminal] = net
	}
	for _, part := range p.parts {
		left, right := at(part.x1, part.y1), at(part.x2, part.y2)
		switch part.kind {
		case "reference":
			share(part.wire, max(left, right))
		case "pin", "post", "bridge":
			if left < 0 || right < 0 {
				continue // one side hangs free
			}
		}
		switch part.kind {
		case "pin": // a wire number may go on behind it
			if p.wires[left].number == p.wires[right].number {
				up[find(left)] = find(right)
			}
		case "post", "bridge": // one wire number goes on behind it
			if p.wires[left].number != "" && p.wires[right].number != "" { // else no wire lands behind it
				require.Equal(t, p.wires[left].number, p.wires[right].number, where)
			}
			up[find(left)] = find(right)
		}
	}
	for _, part := range p.parts {
		left, right := at(part.x1, part.y1), at(part.x2, part.y2)
		if part.kind == "tap" || part.kind == "ground" {
			right = max(left, right)
			left = right
		}
		for _, terminal := range part.also {
			add(terminal, left)
		}
		add(part.left, left)
		add(part.right, right)
	}
	for terminal, net := range ends {
		ends[terminal] = find(net)
	}
	return ends
}

// The drawing says what the circuit says. Read back from the SVG: every contact, load,
// source, fuse and pin is there once, and two terminals are on one conductor exactly where
// the circuit gives them one wire number.
func TestTheDrawingIsTheCircuit(t *testing.T) {
	for _, c := range every(t) {
		for _, o := range ways {
			isTheCircuit(t, New(c), o)
		}
	}
}

// So does a drawing that is folded, and its numbers lead to the rungs of the drawing that is not.
func TestAFoldedDrawingIsTheCircuit(t *testing.T) {
	parts, elsewhere := 0, 0
	for i, c := range every(t) {
		d := New(c)
		for _, most := range []int{3, 5, 8} {
			if most >= d.Most() {
				continue
			}
			f := d.Folded(most)
			isTheCircuit(t, f, ways[i%len(ways)])
			overlaps(t, f, ways[i%len(ways)])
			labels := make(map[string]bool)
			for _, r := range f.Rungs {
				require.False(t, labels[r.label], "%s: two rungs %s", c.File, r.label)
				labels[r.label] = true
				for _, p := range r.Parts {
					if p.Kind == Reference {
						if p.twin != nil {
							require.Same(t, p, p.twin.twin, c.File)
							require.Equal(t, p.LeftNumber+p.RightNumber, p.twin.LeftNumber+p.twin.RightNumber, c.File)
						}
						continue
					}
					parts++
					before := d.first(func(q *Part) bool { return q.key() == p.key() })
					if strings.TrimRight(r.label, "abcdefghijklmnopqrstuvwxyz") != d.numbered(before.Rung) {
						elsewhere++
					}
				}
			}
		}
	}
	assert.Less(t, float64(elsewhere), 0.05*float64(parts))
	t.Logf("%d of %d parts stand on a line with the number of another rung", elsewhere, parts)
}

// The same holds with any one wire number taken out: contacts, loads and sources then hang
// free, and the rails may be gone.
func TestTheDrawingOfAHalfWiredCircuit(t *testing.T) {
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		for i := range readText(t, name, string(text)).Numbers {
			c := readText(t, name, string(text))
			c.File += " without wire " + c.Numbers[i].Name
			c.Numbers = slices.Delete(c.Numbers, i, i+1)
			for _, o := range ways {
				isTheCircuit(t, New(c), o)
				overlaps(t, New(c), o)
			}
			New(c).Text(Options{})
		}
	}
}

func isTheCircuit(t *testing.T, d *Drawing, o Options) {
	t.Helper()
	c := d.Circuit
	for _, s := range d.sections {
		for _, gr := range s.groups {
			for j, column := range gr.column {
				require.True(t, j == s.right || s.right == none || column < s.columns,
					"%s: a conductor lies on the right rail", c.File)
			}
		}
	}
	p := readPicture(t, d.SVG(o))
	nets := p.nets(t, c.File)

	number := make(map[string]string)
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			number[string(w.From)], number[string(w.To)] = n.Name, n.Name
		}
	}
	byNet := make(map[int]string)
	byNumber := make(map[string]int)
	for terminal, net := range nets {
		n := number[terminal]
		if n == "" {
			continue // behind a bridge
		}
		if old, ok := byNet[net]; ok {
			require.Equal(t, old, n, "%s: the drawing joins %s to wire %s", c.File, terminal, old)
		}
		byNet[net] = n
		if old, ok := byNumber[n]; ok {
			require.Equal(t, old, net, "%s: the drawing parts wire %s at %s", c.File, n, terminal)
		}
		byNumber[n] = net
	}
	require.Equal(t, wanted(c), drawn(p), c.File)
	for terminal, n := range number {
		_, ok := nets[terminal]
		require.True(t, ok, "%s: the drawing lacks %s, where wire %s lands", c.File, terminal, n)
	}
	require.Empty(t, unnumbered(p), "%s: conductors without a number", c.File)
}

// wanted lists what must be drawn, with its terminals in order of their names.
func wanted(c *circuits.Circuit) []string {
	lands := make(map[circuits.Terminal]bool)
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			lands[w.From], lands[w.To] = true, true
		}
	}
	var list []string
	add := func(kind string, d *circuits.Device, a, b string, all bool) {
		x, y := d.Terminal(a), d.Terminal(b)
		if all && !(lands[x] && lands[y]) || !lands[x] && !lands[y] {
			return
		}
		list = append(list, kind+" "+string(min(x, y))+" "+string(max(x, y)))
	}
	for _, d := range c.Devices {
		whole := make(map[string]bool) // terminals of contacts that are wired on both sides
		for _, k := range d.Contacts {
			if lands[d.Terminal(k.A)] && lands[d.Terminal(k.B)] {
				whole[k.A], whole[k.B] = true, true
			}
		}
		for _, k := range d.Contacts {
			// one end hangs free
			alone := lands[d.Terminal(k.A)] && !whole[k.A] || lands[d.Terminal(k.B)] && !whole[k.B]
			add("contact", d, k.A, k.B, !alone)
			if alone {
				whole[k.A], whole[k.B] = true, true
			}
		}
		switch d.Type.Kind {
		case circuits.SourceKind:
			for _, ends := range d.Sources(lands[d.Terminal(d.Neutral())]) {
				add("source", d, ends[0], ends[1], false)
			}
			if d.HasPrimary() {
				add("primary", d, d.Primary[0], d.Primary[1], false)
			}
		case circuits.LinkKind, circuits.OperatorKind:
			for _, pole := range d.Links() {
				add("link", d, pole[0], pole[1], false)
			}
			for _, ends := range d.Coils() { // of a sensor
				add("load", d, ends[0], ends[1], false)
			}
		case circuits.PassiveKind:
			add("link", d, d.Ends[0], d.Ends[1], false)
			if d.HasPrimary() {
				add("link", d, d.Primary[0], d.Primary[1], false)
			}
		case circuits.RelayKind, circuits.LoadKind:
			for k, ends := range d.Coils() {
				if idle(d, k, func(t circuits.Terminal) bool { return lands[t] }) {
					continue
				}
				add("load", d, ends[0], ends[1], false)
			}
		case circuits.ConnectorKind:
			for _, pin := range d.Pins {
				add("pin", d, pin+"a", pin+"b", false)
			}
		}
	}
	slices.Sort(list)
	return list
}

func drawn(p picture) []string {
	var list []string
	for _, part := range p.parts {
		switch part.kind {
		case "contact", "source", "primary", "link", "load", "pin":
			list = append(list, part.kind+" "+min(part.left, part.right)+" "+max(part.left, part.right))
		}
	}
	slices.Sort(list)
	return list
}

// unnumbered gives the wire numbers that are on conductors but not written near one.
func unnumbered(p picture) []string {
	var list []string
	for _, w := range p.wires {
		if w.number == "" || slices.Contains(list, w.number) {
			continue
		}
		if !slices.ContainsFunc(p.texts, func(x drawnText) bool {
			return (x.class == "number" || x.class == "reference") &&
				(x.text == w.number || strings.HasPrefix(x.text, w.number+",")) &&
				slices.ContainsFunc(p.wires, func(o drawnWire) bool {
					return o.number == w.number && x.x > math.Min(o.x1, o.x2)-30 && x.x < math.Max(o.x1, o.x2)+30 &&
						x.y > math.Min(o.y1, o.y2)-25 && x.y < math.Max(o.y1, o.y2)+25
				})
		}) {
			list = append(list, w.number)
		}
	}
	return list
}
