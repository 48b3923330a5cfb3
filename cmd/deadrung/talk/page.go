package talk

import (
	"fmt"
	"io"
	"strings"
	"sync"

	"golang.org/x/term"
)

// Page writes text that wraps at the width of the screen, or hands each piece on as it is.
type Page struct {
	Out     io.Writer
	Columns func() int
	// Take, if not nil, takes each piece in place of Out: whoever lays the page out otherwise.
	Take func(Piece)
}

// Piece is what a page shows, before it is wrapped.
type Piece struct {
	Form   Form     `json:"form"`
	Label  string   `json:"label,omitempty"`  // of a point: in the margin
	Text   string   `json:"text,omitempty"`   // of a paragraph, a point, a caution without points
	Inner  bool     `json:"inner,omitempty"`  // of a paragraph: it belongs to what stands above it
	Points []string `json:"points,omitempty"` // of a caution
}

// Form is what a piece of a page is.
type Form string

const (
	Gap       Form = "gap"
	Paragraph Form = "paragraph"
	Item      Form = "item" // of a list, or a line with a label
	Preformed Form = "drawn"
	Cautioned Form = "caution"
)

// Columns of a page: where it is no terminal, and the fewest that text is wrapped to.
const (
	pageColumns  = 80
	LeastColumns = 30
)

// NewPage is a page on a terminal, of its width at the time, or anywhere else of 80
// columns.
func NewPage(w io.Writer) *Page {
	return &Page{Out: w, Columns: func() int {
		if f := FileOf(w); f != nil {
			if width, _, err := term.GetSize(int(f.Fd())); err == nil && width > 0 {
				return max(width, LeastColumns)
			}
		}
		return pageColumns
	}}
}

// show hands a piece on, or writes it as text.
func (p *Page) show(piece Piece, text string) {
	if p.Take != nil {
		p.Take(piece)
		return
	}
	io.WriteString(p.Out, text)
}

// Raw writes text as it is.
func (p *Page) Raw(text string) { p.show(Piece{Form: Preformed, Text: text}, text) }

// failed gives the failure to write, if there was one: nobody sees then what is asked.
func (p *Page) failed() error {
	if r, ok := p.Out.(*Result); ok {
		return r.Err
	}
	return nil
}

// Blank writes an empty line.
func (p *Page) Blank() { p.show(Piece{Form: Gap}, "\n") }

// Para writes a paragraph with each of its lines indented.
func (p *Page) Para(indent, text string) {
	p.show(Piece{Form: Paragraph, Text: text, Inner: indent != ""}, Wrapped(indent, indent, text, p.Columns()))
}

// Hang writes a paragraph behind a first piece, its further lines indented as far.
func (p *Page) Hang(first, text string) {
	p.hang(Piece{Form: Item, Label: strings.Trim(first, " -"), Text: text}, first, text)
}

// Parf writes a paragraph made from a format.
func (p *Page) Parf(indent, format string, args ...any) {
	p.Para(indent, fmt.Sprintf(format, args...))
}

// Wrapped breaks a text into lines of at most so many columns. A word that is longer
// stands alone.
func Wrapped(first, rest, text string, columns int) string {
	var b strings.Builder
	line := first
	empty := true // no word on the line yet
	for _, word := range strings.Fields(printable(strings.ReplaceAll(text, "\n", " "))) {
		if !empty && len([]rune(line))+1+len([]rune(word)) >= columns {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line, empty = rest, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n")
	return b.String()
}

// Point writes a line of an instruction: its label in the margin, and its mark before its
// text as well.
func (p *Page) Point(l Point) {
	p.hang(Piece{Form: Item, Label: l.Label, Text: l.Line()}, "  "+Padded(l.Label, 10)+" "+l.Mark, l.Text)
}

// hang shows a piece whose text hangs behind a first one.
func (p *Page) hang(piece Piece, first, text string) {
	p.show(piece, Wrapped(first, strings.Repeat(" ", len([]rune(first))), text, p.Columns()))
}

// gate is a way to the screen that takes the bell out and can be shut.
type gate struct {
	mu   sync.Mutex
	to   io.Writer
	down bool
}

func (g *gate) Write(b []byte) (int, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.down {
		return len(b), nil
	}
	if _, err := g.to.Write([]byte(strings.ReplaceAll(string(b), "\a", ""))); err != nil {
		return 0, err
	}
	return len(b), nil
}

// Close does nothing: the screen stays open.
func (g *gate) Close() error { return nil }

func (g *gate) shut() {
	g.mu.Lock()
	g.down = true
	g.mu.Unlock()
}

// Sized gives a page a width of its own.
func Sized(p *Page, columns int) *Page {
	if columns > 0 {
		p.Columns = func() int { return columns }
	}
	return p
}
