package drawing

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
)

// tip is where the blade of a contact ends on a path that runs down.
func tip(t *testing.T, name string, l look) Point {
	t.Helper()
	p := &pen{turned: true}
	iecSymbols[name].draw(p, l)
	for _, s := range p.strokes {
		if len(s.points) == 2 && s.points[0] == (Point{0, hinge}) && s.points[1].Y < 0 {
			return s.points[1]
		}
	}
	t.Fatalf("%s has no blade", name)
	return Point{}
}

// A contact of IEC 60617 moves from left to right when it is operated, one that opens and one that
// closes, and it stands apart from its fixed contact only where it is open.
func TestContactsMoveFromLeftToRight(t *testing.T) {
	for _, row := range circuits.Types {
		shapes := []string{"contact", "timed-contact"}
		if row.Kind == circuits.OperatorKind {
			shapes = []string{row.Symbols.IEC}
		}
		for _, shape := range shapes {
			open, closes := tip(t, shape, look{}), tip(t, shape, look{closed: true})
			assert.Less(t, open.X, closes.X, "%s closes", shape)
			closed, opens := tip(t, shape, look{nc: true, closed: true}), tip(t, shape, look{nc: true})
			assert.Less(t, closed.X, opens.X, "%s opens", shape)
			assert.Less(t, open.X, 0.0, shape)
			assert.Greater(t, closed.X, 0.0, shape)
		}
	}
}

// picture of a symbol, to tell it from others.
func shown(s *symbol, l look) string {
	p := &pen{}
	s.draw(p, l)
	return fmt.Sprint(p.strokes, p.areas, p.texts)
}

// A contact that makes or breaks, late when its coil is energised or when it is released: four
// symbols. An emergency stop is told from another button, and one that stays put from one that does
// not.
func TestSymbolsDiffer(t *testing.T) {
	differ := func(s *symbol, looks ...look) {
		var seen []string
		for _, l := range looks {
			assert.NotContains(t, seen, shown(s, l), s.name)
			seen = append(seen, shown(s, l))
		}
	}
	differ(iecSymbols["timed-contact"], look{}, look{off: true}, look{nc: true, closed: true},
		look{nc: true, closed: true, off: true})
	differ(iecSymbols["timer"], look{}, look{off: true})
	differ(iecSymbols["push-button"], look{}, look{emergency: true}, look{emergency: true, stays: true})
	differ(nemaSymbols["push-button"], look{}, look{emergency: true})
}

// Below every coil stands each of its contacts once, and the path that it is on.
func TestContactTables(t *testing.T) {
	for _, c := range every(t) {
		d := New(c)
		tables := make(map[string]contactTable)
		for i := range d.Rungs {
			for _, table := range d.tables(&d.Rungs[i]) {
				require.NotContains(t, tables, table.name, c.File)
				tables[table.name] = table
			}
		}
		for _, dev := range c.Devices {
			if dev.Type.Kind != circuits.RelayKind || len(dev.Contacts) == 0 || d.OfLoad(dev) == 0 {
				continue
			}
			rows := tables[dev.Name].rows
			require.Len(t, rows, len(dev.Contacts), "%s: %s", c.File, dev.Name)
			for i, k := range dev.Contacts {
				path := fmt.Sprint(d.OfContact(dev, i))
				if path == "0" {
					path = "–"
				}
				want := contactRow{terminals: k.A + "-" + k.B + strings.Repeat(" t", b2i(k.Timed && dev.Timer())), no: path}
				if dev.ClosedAtRest(i) {
					want.no, want.nc = "", path
				}
				require.Equal(t, want, rows[i], "%s: %s", c.File, dev.Name)
			}
		}
	}
}

// Paths stand side by side in the order of their numbers, which are above the upper rail.
func TestPathsAreNumberedFromTheLeft(t *testing.T) {
	for _, c := range every(t) {
		sc := New(c).newScene(Options{Symbols: IEC, Upright: true})
		var at []float64
		for _, l := range sc.labels {
			if l.kind != "rung" {
				continue
			}
			at = append(at, l.x)
			require.Equal(t, fmt.Sprint(len(at)), l.text, c.File)
			for _, w := range sc.wires {
				require.True(t, w.y1 > l.y && w.y2 > l.y, "%s: a conductor above the number of a path", c.File)
			}
		}
		require.True(t, slices.IsSorted(at), c.File)
		for _, p := range sc.parts {
			require.InDelta(t, at[p.Rung-1], p.x, 1e-9, "%s: %s is beside its path", c.File, p.Name())
		}
	}
}

// The colour of a lamp is written in the letters of IEC 60757 beside it.
func TestColoursOfLamps(t *testing.T) {
	text, _ := circuits.BuiltinText("start-stop")
	svg := string(New(readText(t, "start-stop", string(text))).SVG(Options{Symbols: IEC, Upright: true}))
	for _, code := range []string{">GN<", ">RD<", ">YE<"} {
		assert.Contains(t, svg, code)
	}
}

// A rail goes right through a sheet that lies between two with rungs on it, and no sheet says that
// a rail comes or goes that is not drawn there.
func TestRailsGoThroughSheets(t *testing.T) {
	through := 0
	for _, c := range every(t) {
		d := New(c)
		for _, o := range ways {
			o.Page = &Page{Width: 1120, Height: 690, Least: 10}
			p := d.paging(o)
			sheets := p.sheets()
			for i := range sheets {
				sc := p.scene(sheets, i+1)
				comes, goes := 0, 0
				for _, l := range sc.labels {
					comes += b2i(strings.HasPrefix(l.text, "from sheet"))
					goes += b2i(strings.HasPrefix(l.text, "to sheet"))
				}
				starts, ends := 0, 0
				for _, w := range sc.wires {
					from, to := w.y1, w.y2
					if o.Upright {
						from, to = w.x1, w.x2
					}
					if w.rail {
						starts += b2i(from <= sc.top+8+d.railRoom(sc.rows[0].rung.section, o))
						ends += b2i(to >= sc.bottom)
					}
				}
				require.LessOrEqual(t, comes, starts, "%s, upright %t, sheet %d", c.File, o.Upright, i+1)
				require.Equal(t, goes, ends, "%s, upright %t, sheet %d", c.File, o.Upright, i+1)
				through += min(comes, goes)
			}
		}
	}
	require.Positive(t, through)
}
