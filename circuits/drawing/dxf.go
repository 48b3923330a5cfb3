package drawing

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// dxfScale is one unit of a drawing in millimetres: wire numbers have capitals of 2.5 mm.
const dxfScale = 0.35

// capShare is how high the capitals of a text are in its size. Common practice, no source.
const capShare = 0.72

// dxfLayers are the layers of a drawing as DXF.
var dxfLayers = []string{"RAILS", "WIRES", "SYMBOLS", "NAMES", "TERMINALS", "WIRE_NUMBERS", "NOTES"}

// layerOf gives the layer of a label by its kind.
func layerOf(kind string) string {
	switch kind {
	case "number", "reference":
		return "WIRE_NUMBERS"
	case "terminal":
		return "TERMINALS"
	case "name", "inside", "symbol":
		return "NAMES"
	}
	return "NOTES"
}

// dxf is a drawing exchange file in the making, in its oldest form, which every reader takes:
// release 12, pairs of a group code and a value.
type dxf struct {
	bytes.Buffer
	height float64
}

// pair writes a group code and its value.
func (x *dxf) pair(code int, value any) { fmt.Fprintf(x, "%3d\r\n%v\r\n", code, value) }

// at writes a point, which lies below the upper edge, by the group codes of its coordinates.
func (x *dxf) at(code int, px, py float64) {
	x.pair(code, fmt.Sprintf("%.3f", px*dxfScale))
	x.pair(code+10, fmt.Sprintf("%.3f", (x.height-py)*dxfScale))
}

// words writes a text with what is no ASCII by its number.
func (x *dxf) words(text string) string {
	var b strings.Builder
	for _, r := range text {
		if r > '~' {
			fmt.Fprintf(&b, `\U+%04X`, r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// line writes straight lines from point to point.
func (x *dxf) line(layer string, points []Point) {
	for i := 1; i < len(points); i++ {
		x.pair(0, "LINE")
		x.pair(8, layer)
		x.at(10, points[i-1].X, points[i-1].Y)
		x.at(11, points[i].X, points[i].Y)
	}
}

// label writes a text at its place.
func (x *dxf) label(l label) {
	text := x.words(l.text)
	if l.under {
		text = "%%u" + text
	}
	x.pair(0, "TEXT")
	x.pair(8, layerOf(l.kind))
	x.at(10, l.x, l.y)
	x.pair(40, fmt.Sprintf("%.3f", l.size*capShare*dxfScale))
	x.pair(1, text)
	if l.anchor != AtStart {
		x.pair(72, int(l.anchor))
		x.at(11, l.x, l.y)
	}
}

// DXF draws the circuit as a drawing exchange file: conductors, symbols as blocks with their
// device and terminals as attributes, and texts, each on its layer, in millimetres.
func (d *Drawing) DXF(o Options) []byte {
	o.Page, o.Sheet = nil, 0
	sc := d.newScene(o)
	x := &dxf{height: sc.height}
	section := func(name string, fill func()) {
		x.pair(0, "SECTION")
		x.pair(2, name)
		fill()
		x.pair(0, "ENDSEC")
	}
	section("HEADER", func() {
		x.pair(9, "$ACADVER")
		x.pair(1, "AC1009")
		x.pair(9, "$EXTMIN")
		x.at(10, 0, sc.height)
		x.pair(9, "$EXTMAX")
		x.at(10, sc.width, 0)
	})
	section("TABLES", func() {
		x.pair(0, "TABLE")
		x.pair(2, "LAYER")
		x.pair(70, len(dxfLayers))
		for _, layer := range dxfLayers {
			x.pair(0, "LAYER")
			x.pair(2, layer)
			x.pair(70, 0)
			x.pair(62, 7)
			x.pair(6, "CONTINUOUS")
		}
		x.pair(0, "ENDTAB")
	})
	var inserts []dxfInsert
	section("BLOCKS", func() { inserts = x.blocks(sc) })
	section("ENTITIES", func() {
		for _, w := range sc.wires {
			layer := "WIRES"
			if w.rail {
				layer = "RAILS"
			}
			x.line(layer, []Point{{w.x1, w.y1}, {w.x2, w.y2}})
		}
		for _, at := range sc.dots {
			x.pair(0, "CIRCLE")
			x.pair(8, "WIRES")
			x.at(10, at[0], at[1])
			x.pair(40, fmt.Sprintf("%.3f", dotSize*dxfScale))
		}
		for _, r := range sc.rules {
			x.line("NOTES", r[:])
		}
		for _, k := range sc.locks {
			for _, piece := range dashes(k.points) {
				x.line("SYMBOLS", piece[:])
			}
			x.line("SYMBOLS", k.outline())
		}
		for _, i := range inserts {
			x.insert(i)
		}
		for _, l := range sc.labels {
			x.label(l)
		}
	})
	x.pair(0, "EOF")
	return x.Bytes()
}

// dxfInsert is a symbol where it stands.
type dxfInsert struct {
	part  placedPart
	block string
}

// blocks writes a block for every symbol that looks otherwise, and gives where each stands.
func (x *dxf) blocks(sc *scene) []dxfInsert {
	var inserts []dxfInsert
	names := make(map[string]string)
	top := x.height
	x.height = 0 // a block has its middle for its origin
	defer func() { x.height = top }()
	for _, p := range sc.parts {
		drawn, _ := sc.draw(p)
		var shape dxf
		for _, s := range drawn.strokes {
			shape.line("SYMBOLS", shifted(s.flat(), -p.x, -p.y))
		}
		for _, area := range drawn.areas {
			shape.line("SYMBOLS", shifted(append(slices.Clone(area), area[0]), -p.x, -p.y))
		}
		for _, t := range drawn.texts {
			shape.label(label{x: t.x - p.x, y: t.y - p.y, size: t.size, anchor: AtMiddle, text: t.text, kind: "symbol"})
		}
		name, there := names[shape.String()]
		if !there {
			name = fmt.Sprintf("%s_%d", strings.ToUpper(p.Kind.String()), len(names)+1)
			names[shape.String()] = name
			x.pair(0, "BLOCK")
			x.pair(8, "SYMBOLS")
			x.pair(2, name)
			x.pair(70, 2) // with attributes
			x.at(10, 0, 0)
			x.pair(3, name)
			x.Write(shape.Bytes())
			x.pair(0, "ENDBLK")
			x.pair(8, "SYMBOLS")
		}
		inserts = append(inserts, dxfInsert{p, name})
	}
	return inserts
}

func shifted(points []Point, dx, dy float64) []Point {
	out := make([]Point, len(points))
	for i, p := range points {
		out[i] = Point{p.X + dx, p.Y + dy}
	}
	return out
}

// insert places a block, with what it is as attributes that are not shown: the labels show them.
func (x *dxf) insert(i dxfInsert) {
	p := i.part
	x.pair(0, "INSERT")
	x.pair(8, "SYMBOLS")
	x.pair(66, 1)
	x.pair(2, i.block)
	x.at(10, p.x, p.y)
	attribute := func(tag, value string) {
		x.pair(0, "ATTRIB")
		x.pair(8, "NOTES")
		x.at(10, p.x, p.y)
		x.pair(40, fmt.Sprintf("%.3f", terminalSize*capShare*dxfScale))
		x.pair(1, x.words(value))
		x.pair(2, tag)
		x.pair(70, 1)
	}
	attribute("NAME", p.Name())
	attribute("KIND", p.Kind.String())
	attribute("LEFT", string(p.Left))
	attribute("RIGHT", string(p.Right))
	attribute("RUNG", fmt.Sprint(p.Rung))
	if len(p.Also) > 0 {
		var also []string
		for _, t := range p.Also {
			also = append(also, string(t))
		}
		attribute("ALSO", strings.Join(also, " "))
	}
	x.pair(0, "SEQEND")
	x.pair(8, "SYMBOLS")
}
