// Package sheet lays a result out as one HTML file: a page that is read on a screen or
// printed and hung up. The file needs no network and no script, is black on white or
// follows a dark screen, and carries its cautions at its head.
//
// A caller gives the body as HTML of its own, made with html/template so that what
// comes from a circuit file or a candidate is escaped.
package sheet

import (
	_ "embed"
	"html/template"
	"io"
)

// Page is one sheet.
type Page struct {
	Title    string
	Under    string        // a line under the title; none if empty
	Cautions []string      // paragraphs, shown first and printed
	Body     template.HTML // everything else
	Style    template.CSS  // rules of this page alone, after the common ones
	Script   template.JS   // what the page can do besides being read; none if empty
	Renews   int           // after how many seconds the page reads its file again; zero for never
}

var (
	//go:embed sheet.html
	frame string
	//go:embed sheet.css
	common string

	layout = template.Must(template.New("sheet").Parse(frame))
)

// Write writes the page as one HTML file.
func (p Page) Write(w io.Writer) error {
	return layout.Execute(w, struct {
		Page
		Common template.CSS
	}{p, template.CSS(common)})
}
