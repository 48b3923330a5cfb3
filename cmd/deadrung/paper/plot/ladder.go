package plot

import (
	"io"
	"math"
	"slices"

	"codeberg.org/go-pdf/fpdf"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
)

const (
	// unitsText is the size of the smallest text in the units of a drawing: that of its wire
	// numbers. Terminals and notes are drawn larger than on a screen; they have the room, for the
	// drawing takes letters to be wider than those of the font are.
	unitsText = 10.0
	// unit is one unit of a drawing in millimetres.
	unit = textSize / unitsText
	// leastSymbols is how many stand side by side at least where a drawing is folded.
	leastSymbols = 3
)

// Setting says how the sheets are laid out.
type Setting struct {
	Paper    string // by name; empty: A4 or A3, or what is larger where the drawing cannot be folded
	Portrait bool
	File     []byte // the text of the circuit file, whose hash is on every sheet
	Caution  string
}

// Ladder writes the sheets of a drawing as PDF and gives how many there are, and of which paper.
// The sheet and page of the options are its own matter. An error may be a [TooSmall].
func Ladder(out io.Writer, d *drawing.Drawing, o drawing.Options, s Setting) (int, Paper, error) {
	d, paper, err := s.ladderOn(d, o)
	if err != nil {
		return 0, paper, err
	}
	page := s.page(d.Circuit, paper)
	o.Page = &page
	figures := d.Figures(o)
	return len(figures), paper, s.write(out, d.Circuit, paper, figures)
}

// ladderOn chooses the paper for a drawing, and folds the drawing where the paper that was named, or the
// largest that an office prints, is too small for it.
func (s Setting) ladderOn(d *drawing.Drawing, o drawing.Options) (*drawing.Drawing, Paper, error) {
	paper, err := s.paper(func(p Paper) *TooSmall { return s.lacks(d, o, p) })
	if err == nil && (s.Paper != "" || paper.area() <= chosen[office-1].area()) {
		if s.Paper == "" {
			paper = s.roomier(d, o, paper)
		}
		return d, paper, nil
	}
	onto, _ := Find(chosen[office-1].Name, s.Portrait)
	if s.Paper != "" {
		onto, _ = Find(s.Paper, s.Portrait)
	}
	if folded := s.folded(d, o, onto); folded != nil {
		return folded, onto, nil
	}
	return d, paper, err
}

// folded gives a drawing folded as little as it takes to go on a paper; nil where it does not.
func (s Setting) folded(d *drawing.Drawing, o drawing.Options, p Paper) *drawing.Drawing {
	lacks := s.lacks(d, o, p)
	if lacks == nil {
		return d
	}
	for most := min(d.Most()-1, int(float64(d.Most())*lacks.Has/lacks.Needed)+1); most >= leastSymbols; most-- {
		folded := d.Folded(most)
		if s.lacks(folded, o, p) == nil {
			return folded
		}
		most = min(most, folded.Most())
	}
	return nil
}

// roomier gives the next larger paper where a drawing takes many sheets of one, or its notes a sheet of
// their own, and the larger, which an office still prints, takes no more paper in all.
func (s Setting) roomier(d *drawing.Drawing, o drawing.Options, paper Paper) Paper {
	pages := func(p Paper) (sheets, notes int) {
		page := s.page(d.Circuit, p)
		o.Page = &page
		return d.Pages(o)
	}
	sheets, notes := pages(paper)
	i := slices.IndexFunc(chosen, func(p Paper) bool { return p.Name == paper.Name })
	if notes == 0 && sheets <= mostSheets || i+1 >= office {
		return paper
	}
	next := chosen[i+1].turned(s.Portrait)
	if n, _ := pages(next); float64(n)*next.area() < float64(sheets)*paper.area()+1 {
		return next
	}
	return paper
}

// lacks tells what a paper has too little of for a drawing; nil where it goes on it.
func (s Setting) lacks(d *drawing.Drawing, o drawing.Options, p Paper) *TooSmall {
	page := s.page(d.Circuit, p)
	o.Page = &page
	width, height := d.Needs(o)
	switch {
	case width > page.Width:
		return &TooSmall{Paper: p, Side: "wide", Needed: width * unit, Has: page.Width * unit}
	case height > page.Height:
		return &TooSmall{Paper: p, Side: "high", Needed: height * unit, Has: page.Height * unit}
	}
	return nil
}

// page is the room for a drawing on a sheet.
func (s Setting) page(c *circuits.Circuit, paper Paper) drawing.Page {
	frame := paper.frame()
	ft := newBook("").footOf(frame, titleBlock(c, s.File, 100, 100, paper), s.Caution)
	return drawing.Page{Width: frame.width() / unit, Height: (ft.top - frame.top) / unit, Least: unitsText}
}

// write writes sheets with a figure each.
func (s Setting) write(out io.Writer, c *circuits.Circuit, paper Paper, figures []drawing.Figure) error {
	b := newBook(c.Title)
	frame := paper.frame()
	ft := b.footOf(frame, titleBlock(c, s.File, 100, 100, paper), s.Caution)
	for i, f := range figures {
		b.sheet(paper)
		b.frame(frame)
		b.foot(ft, titleBlock(c, s.File, i+1, len(figures), paper))
		b.figure(f, frame.left, frame.top)
	}
	return b.write(out)
}

// paper chooses the paper for what tells what a paper lacks.
func (s Setting) paper(lacks func(Paper) *TooSmall) (Paper, error) {
	tried := chosen
	if s.Paper != "" {
		p, _ := Find(s.Paper, s.Portrait)
		tried = []Paper{p}
	}
	var p Paper
	var small *TooSmall
	for _, p = range tried {
		if s.Paper == "" {
			p = p.turned(s.Portrait)
		}
		if small = lacks(p); small == nil {
			return p, nil
		}
	}
	small.Larger = larger(lacks)
	return p, small
}

// figure draws a figure with its corner at a point.
func (b *book) figure(f drawing.Figure, left, top float64) {
	place := func(p drawing.Point) (x, y float64) { return left + p.X*unit, top + p.Y*unit }
	for _, l := range f.Lines {
		b.pdf.SetLineWidth(l.Width * unit)
		if l.Dashed {
			b.pdf.SetDashPattern([]float64{6 * unit, 3 * unit}, 0)
		}
		if l.Red {
			b.pdf.SetDrawColor(208, 0, 0)
		}
		for i, p := range l.Points {
			if x, y := place(p); i == 0 {
				b.pdf.MoveTo(x, y)
			} else {
				b.pdf.LineTo(x, y)
			}
		}
		b.pdf.DrawPath("D")
		if l.Dashed {
			b.pdf.SetDashPattern(nil, 0)
		}
		b.pdf.SetDrawColor(0, 0, 0)
	}
	b.pdf.SetFillColor(0, 0, 0)
	for _, area := range f.Areas {
		var points []fpdf.PointType
		for _, p := range area {
			x, y := place(p)
			points = append(points, fpdf.PointType{X: x, Y: y})
		}
		b.pdf.Polygon(points, "F")
	}
	for _, w := range f.Words {
		b.font(math.Max(w.Size*unit, textSize), w.Bold)
		x, y := place(w.At)
		width := b.wide(w.Text)
		switch w.Align {
		case drawing.AtMiddle:
			x -= width / 2
		case drawing.AtEnd:
			x -= width
		}
		b.put(x, y, w.Text)
		if w.Under {
			b.line(x, y+0.5, x+width, y+0.5, 0.25)
		}
	}
}
