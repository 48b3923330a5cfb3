package main

import (
	"bytes"
	"html/template"
	"io"
	"os"
	"strings"

	"deadrung/cmd/deadrung/sheet"
)

// readInput reads a file, or standard input where it is called -.
func readInput(name string, s streams) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(s.in)
	}
	return os.ReadFile(name)
}

// outputOf writes a result for people, or in its machine form.
func outputOf(path string, asJSON bool, result any, s streams, print func(*page)) error {
	return output(path, s, func(w io.Writer) error {
		if asJSON {
			return printJSON(w, result)
		}
		print(newPage(w))
		return nil
	})
}

// examStyle are the rules of all sheets of an exam.
const examStyle template.CSS = `
.card { border: 1.5px solid var(--ink); padding: .5rem .9rem; margin: 1rem 0; }
.card h2 { margin-top: .25rem; }
.card h3 { font-size: 1rem; margin: .75rem 0 .25rem; }
.card ol, .card ul { margin: .25rem 0; padding-left: 1.5rem; }
.bad { font-weight: bold; }
.sign { margin: .9rem 0 .25rem; }
td svg { max-width: none; }
td.text { min-width: 13rem; }
td.person { min-width: 8rem; }
.bar { fill: var(--soft); }
.rest { fill: none; stroke: var(--line); }
@media print {
  .card { break-inside: avoid; }
  .scroll { overflow: visible; }
  .scroll table { font-size: 8pt; }
  .scroll th, .scroll td { padding: .1rem .25rem; }
  td.text, td.person { min-width: 0; }
  .bars { display: none; }
}
`

// htmlSheet lays out a page of an exam.
func htmlSheet(w io.Writer, title, under string, cautions []string, body *template.Template, data any) error {
	var b bytes.Buffer
	if err := body.Execute(&b, data); err != nil {
		return err
	}
	return sheet.Page{Title: title, Under: under, Cautions: cautions, Body: template.HTML(b.String()), Style: examStyle}.Write(w)
}

// cautionParagraphs are the caution as a sheet has it.
var cautionParagraphs = []string{strings.Join(strings.Fields(caution), " ")}

// noticeLines are the numbered points of a notice, each on one line and without its
// number.
func noticeLines(notice string) []string {
	var points []string
	for line := range strings.Lines(notice) {
		switch mark := itemStart.FindString(line); {
		case mark != "":
			points = append(points, strings.TrimSpace(strings.TrimPrefix(line, mark)))
		case len(points) > 0:
			points[len(points)-1] += " " + strings.TrimSpace(line)
		}
	}
	return points
}
