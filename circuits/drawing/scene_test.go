package drawing

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/read"
)

// readText reads a circuit file that has no mistakes.
func readText(t testing.TB, name, text string) *circuits.Circuit {
	t.Helper()
	c, problems := read.Read(name, []byte(text))
	require.NoError(t, problems.Err(), name)
	return c
}

// every gives the built-in circuits, the published ones, those that the reader is tested
// with, and generated panels.
func every(t testing.TB) []*circuits.Circuit {
	t.Helper()
	var all []*circuits.Circuit
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		all = append(all, readText(t, name, string(text)))
	}
	files, err := filepath.Glob("../../testdata/published/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	odd, err := filepath.Glob("../read/testdata/ok/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, odd)
	files = append(files, odd...)
	for _, file := range files {
		if strings.HasSuffix(file, ".check.yaml") {
			continue
		}
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		c, problems := read.Read(filepath.Base(file), text)
		require.NoError(t, problems.Err(), file)
		all = append(all, c)
	}
	for seed := range uint64(40) {
		all = append(all, readText(t, fmt.Sprintf("panel %d", seed),
			generate.Panel(seed, generate.Options{Rungs: 3 + int(seed)%28})))
	}
	return append(all, readText(t, "100 rungs", generate.Rungs(100)))
}

// ways are the ways in which a circuit is drawn.
var ways = []Options{{Symbols: NEMA}, {Symbols: IEC}, {Symbols: IEC, Upright: true}}

// No text lies on another, on a symbol or on a conductor, and nothing leaves the sheet:
// on every circuit, with both sets of symbols, at rest and with a step and leads marked.
func TestNothingOverlaps(t *testing.T) {
	for _, c := range every(t) {
		d := New(c)
		for _, o := range ways {
			for sheet := range d.Sheets(o) + 1 {
				o.Sheet, o.Foot = sheet, []string{"Live parts at 120 V and more."}
				o.State, o.Leads, o.Rungs = nil, nil, nil
				if sheet == 0 && len(c.Steps) > 0 && len(c.Numbers) > 1 {
					o.State = d.At(len(c.Steps) - 1)
					o.Leads = []Lead{{Terminal: c.Numbers[1].Wires[0].From},
						{Terminal: c.Numbers[0].Wires[0].From, Black: true}}
				}
				overlaps(t, d, o)
				if sheet == 0 && len(d.Rungs) > 3 { // some of its rungs
					o.Rungs = []int{2, len(d.Rungs) / 2, len(d.Rungs)}
					overlaps(t, d, o)
				}
				if t.Failed() {
					return
				}
			}
		}
	}
}

func overlaps(t *testing.T, d *Drawing, o Options) {
	t.Helper()
	sc := d.newScene(o)
	where := fmt.Sprintf("%s, symbols %d, upright %t, sheet %d", d.Circuit.File, o.Symbols, o.Upright, o.Sheet)
	var symbols []rect
	for _, p := range sc.parts {
		var r rect
		r.x1, r.y1, r.x2, r.y2 = p.extent()
		past := 10 * float64(min(len(p.Also), 1))    // of a tap
		if p.Kind == Ground || p.Kind == Reference { // past where the conductor ends
			past = 10
		}
		if o.Upright {
			r.y2 += past
		} else {
			r.x2 += past
		}
		symbols = append(symbols, r)
	}
	for i, a := range sc.labels {
		r := a.rect()
		if r.x1 < 0 || r.y1 < 0 || r.x2 > sc.width || r.y2 > sc.height {
			t.Errorf("%s: text %q leaves the sheet of %.0f by %.0f: %.0f", where, a.text, sc.width, sc.height, r)
		}
		for _, b := range sc.labels[:i] {
			if r.meets(b.rect()) {
				t.Errorf("%s: texts %q (%s) and %q (%s) overlap at %.0f and %.0f", where, a.text, a.kind, b.text,
					b.kind, r, b.rect())
			}
		}
		for k, s := range symbols {
			if a.kind != "inside" && r.meets(s) {
				t.Errorf("%s: text %q (%s) lies on the symbol of %s at %.0f and %.0f", where, a.text, a.kind,
					sc.parts[k].Name(), r, s)
			}
		}
		for _, w := range sc.wires {
			line := rect{min(w.x1, w.x2) - 0.6, min(w.y1, w.y2) - 0.6, max(w.x1, w.x2) + 0.6, max(w.y1, w.y2) + 0.6}
			if r.meets(line) {
				t.Errorf("%s: text %q (%s) lies on a conductor at %.0f and %.0f", where, a.text, a.kind, r, line)
			}
		}
	}
	for _, k := range sc.locks {
		for i := 1; i < len(k.points); i++ {
			line := between(k.points[i-1], k.points[i], 0.6)
			for _, l := range sc.labels {
				if l.rect().meets(line) {
					t.Errorf("%s: text %q lies on the line of an interlock at %.0f", where, l.text, line)
				}
			}
		}
	}
	for _, ring := range sc.rings {
		around := rect{ring.x - ringSize - 1, ring.y - ringSize - 1, ring.x + ringSize + 1, ring.y + ringSize + 1}
		for _, l := range sc.labels {
			if l.kind != "inside" && l.rect().meets(around) {
				t.Errorf("%s: text %q lies on the mark of a lead at %.0f", where, l.text, around)
			}
		}
	}
	for i, a := range symbols {
		for k, b := range symbols[:i] {
			if a.meets(b) {
				t.Errorf("%s: symbols of %s and %s overlap", where, sc.parts[i].Name(), sc.parts[k].Name())
			}
		}
	}
	for _, p := range sc.parts {
		if left, _, right, _ := p.extent(); left < 0 || right > sc.width {
			t.Errorf("%s: %s leaves the sheet", where, p.Name())
		}
	}
}

// Printed on a sheet of A4 or letter paper, the smallest text of any drawing is still read:
// at least 1.53 mm. Common practice, no source.
func TestSheetsAreReadable(t *testing.T) {
	const wide, high = 190.0, 250.0 // millimetres that both papers have within half an inch
	for _, c := range every(t) {
		d := New(c)
		for _, o := range ways {
			seen := make(map[int]bool)
			for sheet := range d.Sheets(o) {
				o.Sheet, o.Foot = sheet+1, []string{strings.Repeat("Live parts at 120 V and more. ", 9)}
				sc := d.newScene(o)
				require.GreaterOrEqual(t, noteSize*min(wide/sc.width, high/sc.height), 1.53,
					"%s sheet %d: %.0f by %.0f", c.File, sheet+1, sc.width, sc.height)
				for _, r := range sc.rows {
					require.False(t, seen[r.rung.Number], "%s: rung %d is on two sheets", c.File, r.rung.Number)
					seen[r.rung.Number] = true
				}
			}
			require.Len(t, seen, len(d.Rungs), c.File)
		}
	}
}
