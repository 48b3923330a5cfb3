package main

import (
	"fmt"
	"io"
	"regexp"
	"strings"
	"sync"

	"golang.org/x/term"
)

// page writes text that wraps at the width of the screen.
type page struct {
	w       io.Writer
	columns func() int
}

// Columns of a page: where it is no terminal, and the fewest that text is wrapped to.
const (
	pageColumns  = 80
	leastColumns = 30
)

// newPage is a page on a terminal, of its width at the time, or anywhere else of 80
// columns.
func newPage(w io.Writer) *page {
	return &page{w: w, columns: func() int {
		if f := fileOf(w); f != nil {
			if width, _, err := term.GetSize(int(f.Fd())); err == nil && width > 0 {
				return max(width, leastColumns)
			}
		}
		return pageColumns
	}}
}

// raw writes text as it is.
func (p *page) raw(text string) { io.WriteString(p.w, text) }

// failed gives the failure to write, if there was one: nobody sees then what is asked.
func (p *page) failed() error {
	if r, ok := p.w.(*resultWriter); ok {
		return r.err
	}
	return nil
}

// blank writes an empty line.
func (p *page) blank() { p.raw("\n") }

// para writes a paragraph with each of its lines indented.
func (p *page) para(indent, text string) { p.raw(wrapped(indent, indent, text, p.columns())) }

// hang writes a paragraph behind a first piece, its further lines indented as far.
func (p *page) hang(first, text string) {
	p.raw(wrapped(first, strings.Repeat(" ", len([]rune(first))), text, p.columns()))
}

func (p *page) parf(indent, format string, args ...any) {
	p.para(indent, fmt.Sprintf(format, args...))
}

// wrapped breaks a text into lines of at most so many columns. A word that is longer
// stands alone.
func wrapped(first, rest, text string, columns int) string {
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

// point writes a line of an instruction: its label in the margin, a number or a dash
// before its text as well.
func (p *page) point(l point) {
	first := "  " + padded(l.label, 10) + " "
	if mark := itemStart.FindString(l.text); mark != "" {
		first += mark
		l.text = strings.TrimPrefix(l.text, mark)
	}
	p.hang(first, l.text)
}

var itemStart = regexp.MustCompile(`^\s*(\d+\.|-) `)

// notice writes a caution: a paragraph or numbered points, which are broken to its own
// width already.
func (p *page) notice(text string) {
	var title, point string
	flush := func() {
		if title != "" {
			p.para("", title)
		}
		if point != "" {
			mark := itemStart.FindString(point)
			p.hang(mark, strings.TrimPrefix(point, mark))
		}
		title, point = "", ""
	}
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n")
		switch {
		case itemStart.MatchString(line):
			flush()
			point = line
		case point != "":
			point += " " + strings.TrimSpace(line)
		default:
			title += " " + strings.TrimSpace(line)
		}
	}
	flush()
	p.blank()
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
