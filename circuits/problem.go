package circuits

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// Problem is one mistake or warning about a file, at its place.
type Problem struct {
	File    string
	Pos     Pos
	What    string // what is wrong, with the offending text
	Hint    string // what would be right; may be empty
	Source  string // the line of the file, for the caret
	Width   int    // runes of Source that are meant; at least one caret is drawn
	Warning bool
}

// Problems are mistakes and warnings, sorted by their place in the file.
type Problems []Problem

// String gives the problem on one line, for scripts: FILE:LINE:COLUMN: what is
// wrong; right: what would be right. A warning says so after the column.
func (p Problem) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:%d:%d: ", p.File, p.Pos.Line, p.Pos.Column)
	if p.Warning {
		b.WriteString("warning: ")
	}
	b.WriteString(p.What)
	if p.Hint != "" {
		b.WriteString("; right: ")
		b.WriteString(p.Hint)
	}
	return OneLine(b.String())
}

// Detail gives the problem for people: the line without its hint, the line of the
// file with carets under the offending text, and the hint on a line of its own.
func (p Problem) Detail() string {
	hint := p.Hint
	p.Hint = ""
	var b strings.Builder
	b.WriteString(p.String())
	if p.Source != "" {
		source, carets := underline(p.Source, p.Pos.Column, p.Width)
		fmt.Fprintf(&b, "\n  %s\n  %s", source, carets)
	}
	if hint != "" {
		fmt.Fprintf(&b, "\n  right: %s", OneLine(hint))
	}
	return b.String()
}

// Longest piece of a line that is shown, and how much of it stands before the caret
// where the line has to be cut.
const (
	shownLine   = 110
	shownBefore = 60
)

// underline gives a line fit to be printed and the line of carets below it. The
// column counts runes from 1. Tabs stand in both lines, so that the carets are right
// at any tab width.
func underline(source string, column, width int) (line, carets string) {
	runes := []rune(source)
	for i, c := range runes {
		if c != '\t' && !Printable(c) {
			runes[i] = '\uFFFD'
		}
	}
	at := min(max(column-1, 0), len(runes))
	to := min(len(runes), at+shownLine-shownBefore)
	from := 0
	if len(runes) > shownLine {
		from = max(0, at-shownBefore)
	} else {
		to = len(runes)
	}
	var b strings.Builder
	for _, c := range runes[from:at] {
		if c != '\t' {
			c = ' '
		}
		b.WriteRune(c)
	}
	b.WriteString(strings.Repeat("^", max(1, min(width, to-at))))
	return strings.TrimRight(string(runes[from:to]), " \t"), b.String()
}

// OneLine takes line breaks and control characters out of a message.
func OneLine(s string) string {
	return strings.Map(func(c rune) rune {
		if !Printable(c) {
			return ' '
		}
		return c
	}, s)
}

// Errors gives the problems that stop the circuit from being used.
func (ps Problems) Errors() Problems { return ps.only(false) }

// Warnings gives the problems that do not stop the circuit from being used.
func (ps Problems) Warnings() Problems { return ps.only(true) }

func (ps Problems) only(warning bool) Problems {
	var out Problems
	for _, p := range ps {
		if p.Warning == warning {
			out = append(out, p)
		}
	}
	return out
}

// Err gives the errors among the problems as one error, of type Problems, or nil if
// there are only warnings. The text of the error has one line an error.
func (ps Problems) Err() error {
	if errs := ps.Errors(); len(errs) > 0 {
		return errs
	}
	return nil
}

// Error gives one line a problem.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

// Detail gives every problem for people, see [Problem.Detail].
func (ps Problems) Detail() string {
	var b strings.Builder
	for _, p := range ps {
		b.WriteString(p.Detail())
		b.WriteByte('\n')
	}
	return b.String()
}

// Sorted puts the problems in the order of the file and drops those that an alias
// made twice.
func (ps Problems) Sorted() Problems {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(
			cmp.Compare(a.Pos.Line, b.Pos.Line),
			cmp.Compare(a.Pos.Column, b.Pos.Column),
			cmp.Compare(a.What, b.What))
	})
	return slices.CompactFunc(ps, func(a, b Problem) bool { return a.Pos == b.Pos && a.What == b.What })
}

// Printable says whether a character may reach a screen.
func Printable(c rune) bool { return unicode.IsPrint(c) || c == '\u00A0' }
