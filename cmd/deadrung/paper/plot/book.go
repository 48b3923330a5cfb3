package plot

import (
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

const (
	// leastLetter is the height of the capitals of the smallest text, a nominal size of
	// ISO 3098; from memory.
	leastLetter = 2.5
	// capHeight is the height of the capitals of the font in its size, as its table OS/2 has it.
	capHeight = 1480.0 / 2048
	// textSize is the size of the smallest text.
	textSize = leastLetter / capHeight
	// lineStep is from one line of it to the next.
	lineStep = 4.6
)

// made is the day that every file says it was made: a PDF must name one, and the same input
// must give the same bytes.
var made = time.Unix(0, 0).UTC()

// book is a PDF that is being written. It embeds the letters that it uses of the Go fonts, which
// have the letters of WGL4 (Latin, Greek, Cyrillic).
type book struct{ pdf *fpdf.Fpdf }

func newBook(title string) *book {
	b := &book{fpdf.New("L", "mm", "A4", "")}
	b.pdf.SetCatalogSort(true)
	b.pdf.SetCreationDate(made)
	b.pdf.SetModificationDate(made)
	b.pdf.SetTitle(title, true)
	b.pdf.SetProducer("", true)
	b.pdf.SetCreator("deadrung", true)
	b.pdf.SetAutoPageBreak(false, 0)
	b.pdf.SetMargins(0, 0, 0)
	b.pdf.SetLineCapStyle("round")
	b.pdf.SetLineJoinStyle("round")
	b.pdf.AddUTF8FontFromBytes("go", "", goregular.TTF)
	b.pdf.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	return b
}

// sheet begins a sheet of paper.
func (b *book) sheet(p Paper) {
	b.pdf.AddPageFormat("P", fpdf.SizeType{Wd: p.Width, Ht: p.Height})
}

func (b *book) write(out io.Writer) error { return b.pdf.Output(out) }

// font chooses the font of what is written next.
func (b *book) font(size float64, bold bool) {
	style := ""
	if bold {
		style = "B"
	}
	b.pdf.SetFont("go", style, 0)
	b.pdf.SetFontUnitSize(size)
}

// text writes a line of the smallest text from a point on.
func (b *book) text(x, y float64, text string, bold bool) {
	b.font(textSize, bold)
	b.put(x, y, text)
}

// centred writes a line of the smallest text around a point.
func (b *book) centred(x, y float64, text string) {
	b.font(textSize, false)
	b.put(x-b.wide(text)/2, y, text)
}

// put writes a text in the font that was chosen.
func (b *book) put(x, y float64, text string) { b.pdf.Text(x, y, known(text)) }

// wide is how wide a text is in the font that was chosen.
func (b *book) wide(text string) float64 { return b.pdf.GetStringWidth(known(text)) }

func (b *book) line(x1, y1, x2, y2, width float64) {
	b.pdf.SetLineWidth(width)
	b.pdf.Line(x1, y1, x2, y2)
}

func (b *book) box(r rect, width float64) {
	b.pdf.SetLineWidth(width)
	b.pdf.Rect(r.left, r.top, r.width(), r.height(), "D")
}

// wrapped breaks a text into lines of a width, in the font that is chosen; a word that is longer
// than a line within the word.
func (b *book) wrapped(text string, width float64) []string {
	text = known(text)
	fits := func(s string) bool { return b.pdf.GetStringWidth(s) <= width }
	var lines []string
	line := ""
	for _, w := range strings.Fields(text) {
		if line != "" && !fits(line+" "+w) {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		for _, c := range w {
			if line != "" && !fits(line+string(c)) {
				lines, line = append(lines, line), ""
			}
			line += string(c)
		}
	}
	return append(lines, line)
}
