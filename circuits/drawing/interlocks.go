package drawing

import (
	"bytes"
	"fmt"
	"math"
	"slices"
)

// Measures of the dashed line of a mechanical interlock.
const (
	interlockDash  = 5.0
	interlockGap   = 3.0
	interlockClear = 2.5  // from a text or a symbol
	interlockApart = 4.0  // from a conductor that runs beside it
	interlockStep  = 4.0  // between the ways that are tried
	interlockAside = 90.0 // how far from the coils it runs at most
	triangleSize   = 4.0  // half of its side, of IEC 60617
)

// interlock is the dashed line between the coils of two contactors of which each keeps the other out.
type interlock struct {
	points []Point
	// triangle is the mark of a mechanical interlock on it; by NEMA there is none.
	triangle []Point
}

// rect is what a text or a symbol covers.
type rect struct{ x1, y1, x2, y2 float64 }

func (l label) rect() rect {
	w := textWidth(l.text, l.size)
	x := l.x
	switch l.anchor {
	case AtMiddle:
		x -= w / 2
	case AtEnd:
		x -= w
	}
	return rect{x, l.y - 0.78*l.size, x + w, l.y + 0.2*l.size}
}

func (a rect) meets(b rect) bool {
	const slack = 0.3
	return a.x1 < b.x2-slack && b.x1 < a.x2-slack && a.y1 < b.y2-slack && b.y1 < a.y2-slack
}

// between is what a straight line between two points covers, with so much around it.
func between(a, b Point, around float64) rect {
	return rect{min(a.X, b.X) - around, min(a.Y, b.Y) - around, max(a.X, b.X) + around, max(a.Y, b.Y) + around}
}

// interlocks draws what joins the coils of two contactors mechanically. What is written beside the
// coils tells it as well: where no way is free from one to the other there is no line.
func (sc *scene) interlocks() {
	for i := range sc.parts {
		p := &sc.parts[i]
		if p.Kind != Load || p.Device.Interlock == nil {
			continue
		}
		for k := range sc.parts[i+1:] {
			q := &sc.parts[i+1+k]
			if q.Kind != Load || q.Device != p.Device.Interlock {
				continue
			}
			if points := sc.wayBetween(p, q); points != nil {
				sc.locks = append(sc.locks, sc.interlocked(points))
			}
		}
	}
}

// wayBetween is the shortest free way from one coil to another on a later rung; nil where there is none.
func (sc *scene) wayBetween(p, q *placedPart) []Point {
	var best []Point
	least := math.Inf(1)
	try := func(points []Point) {
		if cost := sc.costOf(points, least); cost < least {
			best, least = points, cost
		}
	}
	from, to := sc.edges(p, 1), sc.edges(q, -1)
	for _, a := range from {
		for _, b := range to {
			tracks := []float64{a.X, b.X}
			for x := min(a.X, b.X) - interlockAside; x <= max(a.X, b.X)+interlockAside; x += interlockStep {
				tracks = append(tracks, x)
			}
			for _, x := range tracks {
				for _, out := range []float64{3, 6, 12, 16} {
					for _, in := range []float64{3, 6, 12, 16} {
						if a.Y+out > b.Y-in {
							continue
						}
						points := []Point{a, {a.X, a.Y + out}, {x, a.Y + out}, {x, b.Y - in}, {b.X, b.Y - in}, b}
						try(sc.turned(straightened(points)))
					}
				}
			}
		}
	}
	return best
}

// edges are where a line may leave a symbol, on the side of the rungs that follow (1) or come before
// (-1): along the rung as X, across it as Y.
func (sc *scene) edges(p *placedPart, side float64) []Point {
	left, top, right, bottom := p.extent()
	along, across := p.x, bottom
	switch {
	case sc.o.Upright && side > 0:
		along, across = p.y, right
	case sc.o.Upright:
		along, across = p.y, left
	case side < 0:
		across = top
	}
	edges := []Point{{along, across}}
	if p.symbol.inside {
		return edges // it is round
	}
	for _, share := range []float64{0.45, 0.9} {
		edges = append(edges, Point{along - share*p.symbol.half, across}, Point{along + share*p.symbol.half, across})
	}
	return edges
}

// turned gives points of the sheet that are given along and across the rungs.
func (sc *scene) turned(points []Point) []Point {
	for i, at := range points {
		points[i].X, points[i].Y = sc.point(at.X, at.Y)
	}
	return points
}

// straightened leaves out the points that are no corner.
func straightened(points []Point) []Point {
	var out []Point
	for i, at := range points {
		if i > 0 && i+1 < len(points) {
			before, after := points[i-1], points[i+1]
			if before.X == at.X && at.X == after.X || before.Y == at.Y && at.Y == after.Y {
				continue
			}
		}
		out = append(out, at)
	}
	return out
}

// costOf is how little a way is worth: how long it is, with its corners and what it crosses. On a
// text, on a symbol or along a conductor there is none, nor is one gone along that costs least or more
// by itself.
func (sc *scene) costOf(points []Point, least float64) float64 {
	cost := 12 * float64(len(points)-2)
	for i := 1; i < len(points); i++ {
		cost += math.Hypot(points[i-1].X-points[i].X, points[i-1].Y-points[i].Y)
	}
	if cost >= least {
		return math.Inf(1)
	}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		line := between(a, b, interlockClear)
		for _, l := range sc.labels {
			if l.rect().meets(line) {
				return math.Inf(1)
			}
		}
		thin := between(a, b, 0.1)
		for k := range sc.parts {
			var r rect
			if r.x1, r.y1, r.x2, r.y2 = sc.parts[k].extent(); r.meets(thin) {
				return math.Inf(1)
			}
		}
		beside := between(a, b, interlockApart)
		for _, w := range sc.wires {
			c := between(Point{w.x1, w.y1}, Point{w.x2, w.y2}, 0.1)
			if (w.x1 == w.x2) == (a.X == b.X) && c.meets(beside) {
				return math.Inf(1)
			}
			if c.meets(thin) {
				cost += 5
			}
		}
		for _, at := range sc.dots {
			if (rect{at[0] - dotSize, at[1] - dotSize, at[0] + dotSize, at[1] + dotSize}).meets(thin) {
				return math.Inf(1)
			}
		}
	}
	return cost
}

// interlocked is the line along a way. By IEC 60617 a triangle in it says that it is an interlock;
// from memory.
func (sc *scene) interlocked(points []Point) interlock {
	k := interlock{points: points}
	if sc.o.Symbols != IEC {
		return k
	}
	a, b := points[0], points[1]
	for i := 2; i < len(points); i++ {
		if math.Hypot(points[i].X-points[i-1].X, points[i].Y-points[i-1].Y) > math.Hypot(a.X-b.X, a.Y-b.Y) {
			a, b = points[i-1], points[i]
		}
	}
	m, s := Point{(a.X + b.X) / 2, (a.Y + b.Y) / 2}, triangleSize
	k.triangle = []Point{{m.X - s, m.Y - s}, {m.X + s, m.Y - s}, {m.X, m.Y + s}}
	if a.Y == b.Y {
		k.triangle = []Point{{m.X - s, m.Y - s}, {m.X - s, m.Y + s}, {m.X + s, m.Y}}
	}
	return k
}

// dashes are the pieces of a dashed line through points.
func dashes(points []Point) [][2]Point {
	var out [][2]Point
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		at := func(s float64) Point { return Point{a.X + (b.X-a.X)*s/long, a.Y + (b.Y-a.Y)*s/long} }
		for s := 0.0; s < long; s += interlockDash + interlockGap {
			out = append(out, [2]Point{at(s), at(min(s+interlockDash, long))})
		}
	}
	return out
}

// outline is the triangle as a line that ends where it begins; nil where there is none.
func (k interlock) outline() []Point {
	if k.triangle == nil {
		return nil
	}
	return append(slices.Clone(k.triangle), k.triangle[0])
}

// write writes it as paths of an SVG.
func (k interlock) write(b *bytes.Buffer) {
	b.WriteString(`<path class="interlock" d="`)
	stroke{points: k.points}.write(b)
	fmt.Fprintf(b, `" stroke-dasharray="%s %s"/>`+"\n", number(interlockDash), number(interlockGap))
	if k.triangle != nil {
		b.WriteString(`<path class="interlock" d="`)
		stroke{points: k.triangle, closed: true}.write(b)
		b.WriteString(`"/>` + "\n")
	}
}
