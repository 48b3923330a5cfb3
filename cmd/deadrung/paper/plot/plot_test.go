package plot

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
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

const testCaution = "CAUTION: this circuit has live parts at 120 V. Only qualified persons may test live circuits."

// plotted is a circuit with its text.
type plotted struct {
	*circuits.Circuit
	text []byte
}

// every gives the built-in circuits, those that the reader is tested with, and generated panels.
func every(t testing.TB) []plotted {
	t.Helper()
	texts := make(map[string]string)
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		texts[name] = string(text)
	}
	files, err := filepath.Glob("../../../../circuits/read/testdata/ok/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		texts[filepath.Base(file)] = string(text)
	}
	for seed := range uint64(10) {
		texts[fmt.Sprintf("panel-%d", seed)] = generate.Panel(seed, generate.Options{Rungs: 30})
	}
	texts["100-rungs"] = generate.Rungs(100)
	var all []plotted
	for name, text := range texts {
		c, problems := read.Read(name, []byte(text))
		require.NoError(t, problems.Err(), name)
		all = append(all, plotted{c, []byte(text)})
	}
	return all
}

// span is what a word covers, in the units of a drawing, by the widths of the font.
func span(b *book, w drawing.Word) rect {
	b.font(w.Size, w.Bold)
	width := b.pdf.GetStringWidth(w.Text)
	x := w.At.X
	switch w.Align {
	case drawing.AtMiddle:
		x -= width / 2
	case drawing.AtEnd:
		x -= width
	}
	return rect{x, w.At.Y - capHeight*w.Size, x + width, w.At.Y}
}

func (r rect) meets(q rect) bool {
	return r.left < q.right && q.left < r.right && r.top < q.bottom && q.top < r.bottom
}

// crosses tells whether a straight line goes through a rectangle.
func (r rect) crosses(a, b drawing.Point) bool {
	from, to := 0.0, 1.0
	for _, side := range [][3]float64{
		{a.X, b.X - a.X, r.left}, {-a.X, a.X - b.X, -r.right},
		{a.Y, b.Y - a.Y, r.top}, {-a.Y, a.Y - b.Y, -r.bottom},
	} {
		at, step, edge := side[0], side[1], side[2]
		switch {
		case step == 0 && at < edge:
			return false
		case step > 0:
			from = math.Max(from, (edge-at)/step)
		case step < 0:
			to = math.Min(to, (edge-at)/step)
		}
	}
	return from < to
}

// Every drawing goes on every paper, and where none is named on what an office prints. On every sheet no
// letter is below 2.5 mm, no word lies on another, on a conductor or on a
// symbol, and nothing leaves the room above the title block.
func TestSheetsAreClear(t *testing.T) {
	for _, c := range every(t) {
		d := drawing.New(c.Circuit)
		for _, o := range []drawing.Options{{}, {Symbols: drawing.IEC}, {Symbols: drawing.IEC, Upright: true}} {
			for k, s := range []Setting{{}, {Paper: "a3"}, {Paper: "a3", Portrait: true}, {Paper: "tabloid"},
				{Paper: "letter"}, {Paper: "a4"}} {
				if len(c.Devices) > 50 && k > 0 && (k+len(c.File))%2 == 0 {
					continue // of large panels some papers
				}
				s.Caution, s.File = testCaution, c.text
				folded, paper, err := s.ladderOn(d, o)
				if c.File == "every-type.yaml" && (s.Paper == "letter" || s.Paper == "a4") && errors.As(err, new(*TooSmall)) {
					continue // its feed has seven parts in series, and a feed is not folded
				}
				require.NoError(t, err, c.File)
				require.LessOrEqual(t, paper.area(), chosen[office-1].area(), "%s: larger than an office prints", c.File)
				clear(t, folded, o, s, paper)
			}
		}
	}
}

func clear(t *testing.T, d *drawing.Drawing, o drawing.Options, s Setting, paper Paper) {
	t.Helper()
	b := newBook("")
	b.sheet(paper)
	frame := paper.frame()
	ft := b.footOf(frame, titleBlock(d.Circuit, s.File, 1, 1, paper), s.Caution)
	o.Page = &drawing.Page{Width: frame.width() / unit, Height: (ft.top - frame.top) / unit, Least: unitsText}
	for i, f := range d.Figures(o) {
		where := fmt.Sprintf("%s, symbols %d, upright %t, %s, sheet %d", d.Circuit.File, o.Symbols, o.Upright, paper, i+1)
		require.NotEmpty(t, f.Words, where)
		var spans []rect
		for _, w := range f.Words {
			r := span(b, w)
			if w.Size*unit*capHeight < leastLetter-1e-6 {
				t.Errorf("%s: %q has letters of %.2f mm", where, w.Text, w.Size*unit*capHeight)
			}
			if r.left < 0 || r.top < 0 || r.right > o.Page.Width || r.bottom > o.Page.Height-1 {
				t.Errorf("%s: %q leaves the sheet: %.0f of %.0f", where, w.Text, r, *o.Page)
			}
			for k, q := range spans {
				if r.meets(q) {
					t.Errorf("%s: %q lies on %q: %.0f, %.0f", where, w.Text, f.Words[k].Text, r, q)
				}
			}
			spans = append(spans, r)
			for _, l := range f.Lines {
				for n := 1; n < len(l.Points); n++ {
					if r.crosses(l.Points[n-1], l.Points[n]) {
						t.Errorf("%s: %q lies on a line: %.0f, %.0f", where, w.Text, r, l.Points[n-1:n+1])
						break
					}
				}
			}
		}
		for _, l := range f.Lines {
			for _, p := range l.Points {
				if p.X < 0 || p.Y < 0 || p.X > o.Page.Width || p.Y > o.Page.Height {
					t.Errorf("%s: a line leaves the sheet at %.0f", where, p)
				}
			}
		}
	}
}

// No sheet has nothing but notes and the caution, but in a set of many sheets.
func TestNoSheetIsBare(t *testing.T) {
	for _, c := range every(t) {
		d := drawing.New(c.Circuit)
		for _, o := range []drawing.Options{{}, {Symbols: drawing.IEC, Upright: true}} {
			s := Setting{File: c.text, Caution: testCaution}
			d, paper, err := s.ladderOn(d, o)
			require.NoError(t, err, c.File)
			page := s.page(c.Circuit, paper)
			o.Page = &page
			if sheets, notes := d.Pages(o); sheets <= 12 {
				assert.Zero(t, notes, "%s, upright %t, %s: of %d sheets", c.File, o.Upright, paper, sheets)
			}
		}
	}
}

// A program that reads the PDF finds every device, wire number and terminal as often as devices have
// it, on rungs and on current paths, and on each sheet the revision, the hash of the file and which sheet it is.
func TestTextIsFound(t *testing.T) {
	pdftotext, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext, of poppler-utils, is not installed")
	}
	for _, c := range every(t) {
		c.Block.Revision = "Rev-Ä7"
		d := drawing.New(c.Circuit)
		for _, o := range []drawing.Options{{}, {Symbols: drawing.IEC, Upright: true}} {
			var out bytes.Buffer
			sheets, _, err := Ladder(&out, d, o, Setting{File: c.text, Caution: testCaution})
			require.NoError(t, err, c.File)
			cmd := exec.Command(pdftotext, "-raw", "-", "-")
			cmd.Stdin = &out
			text, err := cmd.Output()
			require.NoError(t, err, c.File)
			isFound(t, fmt.Sprintf("%s, upright %t", c.File, o.Upright), c, sheets, string(text))
		}
	}
}

func isFound(t *testing.T, where string, c plotted, sheets int, text string) {
	t.Helper()
	pages := strings.Split(strings.TrimSuffix(text, "\f"), "\f")
	require.Len(t, pages, sheets, where)
	hash := fmt.Sprintf("%x", sha256.Sum256(c.text))
	for i, page := range pages {
		for _, want := range []string{"Rev-Ä7", hash, fmt.Sprintf("%d of %d", i+1, sheets), "CAUTION:", c.Title} {
			require.Contains(t, page, want, "%s, sheet %d", where, i+1)
		}
	}
	words, wanted := make(map[string]int), make(map[string]int)
	for _, w := range pieces(text) {
		words[w]++
	}
	want := func(name string) {
		assert.Contains(t, text, name, where)
		for _, piece := range pieces(name) {
			wanted[piece]++
		}
	}
	for _, dev := range c.Devices {
		want(dev.Name)
		if dev.Type.Kind == circuits.GroundKind {
			continue // its terminal has no name on a drawing
		}
		for _, name := range dev.Terminals {
			if dev.Type.Kind == circuits.ConnectorKind {
				if strings.HasSuffix(name, "b") {
					continue // a pin has one name for its two sides
				}
				name = strings.TrimRight(name, "a")
			}
			want(name)
		}
	}
	for _, n := range c.Numbers {
		want(n.Name)
	}
	for word, n := range wanted {
		assert.GreaterOrEqual(t, words[word], n, "%s: %q", where, word)
	}
}

// pieces are the words of a text, without the signs between them.
func pieces(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \n\f,;:-.*()/", r) })
}

// The same input gives the same bytes.
func TestSameBytes(t *testing.T) {
	text, _ := circuits.BuiltinText("start-stop")
	var files [2]bytes.Buffer
	for i := range files {
		c, problems := read.Read("start-stop.yaml", text)
		require.NoError(t, problems.Err())
		_, _, err := Ladder(&files[i], drawing.New(c), drawing.Options{}, Setting{File: text, Caution: testCaution})
		require.NoError(t, err)
	}
	assert.True(t, bytes.Equal(files[0].Bytes(), files[1].Bytes()))
}
