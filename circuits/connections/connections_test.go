package connections

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/generate"
	"deadrung/circuits/read"
)

func every(t testing.TB) []*circuits.Circuit {
	t.Helper()
	texts := make(map[string]string)
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		texts[name] = string(text)
	}
	files, err := filepath.Glob("../read/testdata/ok/*.yaml")
	require.NoError(t, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		texts[filepath.Base(file)] = string(text)
	}
	for seed := range uint64(10) {
		texts[fmt.Sprintf("panel %d", seed)] = generate.Panel(seed, generate.Options{Rungs: 30})
	}
	var all []*circuits.Circuit
	for name, text := range texts {
		c, problems := read.Read(name, []byte(text))
		require.NoError(t, problems.Err(), name)
		all = append(all, c)
	}
	return all
}

// Every wire of the circuit is between screws of its terminals, and no screw has more than two.
func TestEveryWireIsOnItsScrews(t *testing.T) {
	for _, c := range every(t) {
		d := New(c)
		n := 0
		for _, number := range c.Numbers {
			for _, w := range number.Wires {
				drawn := d.wires[n]
				n++
				assert.Equal(t, number.Name, drawn.number, c.File)
				for i, want := range []circuits.Terminal{w.From, w.To} {
					require.NotNil(t, drawn.ends[i], "%s: %s", c.File, want)
					assert.Equal(t, want, drawn.ends[i].terminal, c.File)
					assert.Contains(t, drawn.ends[i].wires, drawn, c.File)
				}
			}
		}
		shown := make(map[circuits.Terminal]bool)
		for _, r := range d.rows {
			for _, b := range r.boxes {
				for _, s := range b.screws {
					assert.LessOrEqual(t, len(s.wires), 2, "%s: %s", c.File, s.terminal)
					shown[s.terminal] = true
				}
			}
		}
		for _, dev := range c.Devices {
			for _, name := range dev.Terminals {
				assert.True(t, shown[dev.Terminal(name)], "%s: %s is not drawn", c.File, dev.Terminal(name))
			}
		}
	}
}

// clear holds a figure against what makes it hard to read: wires that run on top of one another or
// through a device, and words on words or beyond the sheet.
func clear(t *testing.T, f drawing.Figure, where string) {
	t.Helper()
	type piece struct {
		line           int
		x1, y1, x2, y2 float64
	}
	var pieces []piece
	for i, l := range f.Lines {
		if l.Dashed || len(l.Points) > 8 { // frames, screws
			continue
		}
		for n := 1; n < len(l.Points); n++ {
			a, b := l.Points[n-1], l.Points[n]
			pieces = append(pieces, piece{i, math.Min(a.X, b.X), math.Min(a.Y, b.Y), math.Max(a.X, b.X), math.Max(a.Y, b.Y)})
		}
	}
	for i, a := range pieces {
		for _, b := range pieces[:i] {
			if a.line == b.line {
				continue
			}
			flat := a.y1 == a.y2 && b.y1 == b.y2 && math.Abs(a.y1-b.y1) < 0.5 && math.Min(a.x2, b.x2)-math.Max(a.x1, b.x1) > 0.5
			upright := a.x1 == a.x2 && b.x1 == b.x2 && math.Abs(a.x1-b.x1) < 0.5 && math.Min(a.y2, b.y2)-math.Max(a.y1, b.y1) > 0.5
			if flat || upright {
				t.Errorf("%s: two lines lie on one another: %v, %v", where, a, b)
				return
			}
		}
	}
	type span struct{ left, right, top, bottom float64 }
	var spans []span
	for _, w := range f.Words {
		half := width(w.Text)
		s := span{w.At.X, w.At.X + half, w.At.Y - 7, w.At.Y}
		switch w.Align {
		case drawing.AtMiddle:
			s.left, s.right = w.At.X-half/2, w.At.X+half/2
		case drawing.AtEnd:
			s.left, s.right = w.At.X-half, w.At.X
		}
		if s.left < 0 || s.top < 0 || s.right > f.Width || s.bottom > f.Height {
			t.Errorf("%s: %q leaves the sheet", where, w.Text)
		}
		for k, o := range spans {
			if s.left < o.right && o.left < s.right && s.top < o.bottom && o.top < s.bottom {
				t.Errorf("%s: %q lies on %q", where, w.Text, f.Words[k].Text)
			}
		}
		spans = append(spans, s)
	}
}

func TestDiagramsAreClear(t *testing.T) {
	for _, c := range every(t) {
		clear(t, New(c).Figure(Options{}), c.File)
	}
}

// On pages every wire is whole, or leaves two sheets with the terminal where it goes on.
func TestPages(t *testing.T) {
	for _, c := range every(t) {
		page := drawing.Page{Width: 1120, Height: 680, Least: textSize}
		d, n, fits := New(c).Sheets(page)
		require.True(t, fits, c.File)
		seen := make(map[*wire]int)
		for i := range n {
			o := Options{Page: &page, Sheet: i + 1}
			f := d.Figure(o)
			where := fmt.Sprintf("%s, sheet %d", c.File, i+1)
			assert.LessOrEqual(t, f.Width, page.Width, where)
			assert.LessOrEqual(t, f.Height, page.Height, where)
			clear(t, f, where)
			for _, r := range d.sceneOf(o).routes {
				seen[r.wire] += 2
				if r.exit != nil {
					seen[r.wire]--
					says := fmt.Sprintf("%s to %s, sheet ", r.wire.number, r.exit.terminal)
					if r.tag != nil {
						says = fmt.Sprintf("to %s,\nsheet ", r.exit.terminal)
					}
					assert.Contains(t, words(f), says, where)
				}
			}
		}
		for _, w := range d.wires {
			assert.Equal(t, 2, seen[w], "%s: wire %s", c.File, w.number)
		}
	}
}

func words(f drawing.Figure) string {
	var b strings.Builder
	for _, w := range f.Words {
		b.WriteString(w.Text + "\n")
	}
	return b.String()
}

// Devices stand where the file says, row by row.
func TestAt(t *testing.T) {
	text := "circuit: Placed\ndevices:\n  G1: {type: supply, volts: 24, at: [2, 1]}\n" +
		"  H1: {type: lamp, place: panel, at: [1, 2]}\n  S1: {type: push-button, place: panel, at: [1, 1], contacts: [{no: [1, 2]}]}\n" +
		"wires:\n  1: [G1:L, S1:1]\n  2: [S1:2, H1:1]\n  3: [G1:N, H1:2]\noperation: [{step: rest}]\n"
	c, problems := read.Read("placed.yaml", []byte(text))
	require.NoError(t, problems.Err())
	var got [][]string
	for _, r := range New(c).rows {
		var names []string
		for _, b := range r.boxes {
			names = append(names, b.device.Name)
		}
		got = append(got, names)
	}
	assert.Equal(t, [][]string{{"S1", "H1"}, {"G1"}}, got)
}

// The leads are marked on the screws that they are on, in the picture and in words.
func TestLeadsOnTheRealThing(t *testing.T) {
	text, _ := circuits.BuiltinText("field-wiring")
	c, problems := read.Read("field-wiring", text)
	require.NoError(t, problems.Err())
	d := New(c)
	o := Options{Leads: []drawing.Lead{{Terminal: "TB1:5"}, {Terminal: "X1:6a", Black: true}}}
	assert.Contains(t, words(d.Figure(o)), "RED\n")
	assert.Contains(t, words(d.Figure(o)), "BLACK\n")
	assert.Contains(t, string(d.SVG(o)), "RED lead on TB1:5; BLACK lead on X1:6a")
	lines := strings.Join(d.Lines(o), "\n")
	assert.Contains(t, lines, "    5: wire 8 to X1:4a, CR1:A1; RED lead here")
	assert.Equal(t, 1, strings.Count(lines, "BLACK lead here"))
	o.Only = []string{"TB1", "X1"}
	some := d.Figure(o)
	assert.Less(t, len(some.Lines), len(d.Figure(Options{}).Lines))
	assert.Contains(t, words(some), "8 to CR1:A1\n")
	clear(t, some, "two devices")
}

// Every terminal has a point, where the ring of a lead is, and every device a middle on its box.
func TestPicture(t *testing.T) {
	for _, c := range every(t) {
		d := New(c)
		p := d.Picture()
		for _, dev := range c.Devices {
			at, there := p.Devices[dev.Name]
			require.True(t, there, "%s: %s", c.File, dev.Name)
			assert.True(t, at[0] > 0 && at[0] < p.Width && at[1] > 0 && at[1] < p.Height, "%s: %s", c.File, dev.Name)
		}
		for i, n := range c.Numbers {
			for _, w := range n.Wires {
				at, there := p.Points[w.From]
				require.True(t, there, "%s: %s", c.File, w.From)
				if i%10 != 0 && len(c.Devices) > 40 {
					continue // drawing takes long
				}
				f := d.Figure(Options{Leads: []drawing.Lead{{Terminal: w.From}}})
				ring := f.Lines[len(f.Lines)-1]
				assert.True(t, ring.Red, "%s: %s", c.File, w.From)
				assert.InDelta(t, 7, math.Hypot(ring.Points[0].X-at[0], ring.Points[0].Y-at[1]), 1e-6, "%s: %s", c.File, w.From)
			}
		}
	}
}
