package paper

import (
	"html/template"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/lists"
	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
)

var listSheet = template.Must(template.New("list").Parse(`<p>{{.About}}</p>
<table>
<thead><tr>{{range .Heads}}<th>{{.}}</th>{{end}}</tr></thead>
{{$n := len .Heads}}{{range .Groups}}<tbody>
{{with .Name}}<tr><th colspan="{{$n}}" scope="rowgroup">{{.}}</th></tr>
{{end}}{{range .Rows}}<tr>{{range .}}<td>{{.}}</td>{{end}}</tr>
{{end}}</tbody>
{{end}}</table>`))

const listStyle = `td { overflow-wrap: anywhere; }
tr { break-inside: avoid; }
tbody th { border-width: 1px 0; padding-top: .6rem; }
`

// ListPage lays a list out as a sheet to print.
func ListPage(c *circuits.Circuit, t lists.Table) (sheet.Page, error) {
	var body strings.Builder
	if err := listSheet.Execute(&body, t); err != nil {
		return sheet.Page{}, err
	}
	return sheet.Page{Title: c.Title, Under: t.Title, Cautions: sheetCautions(),
		Body: template.HTML(body.String()), Style: listStyle}, nil
}

// PrintList prints a list: in columns where they fit, else a line for each cell that is not empty.
func PrintList(out *talk.Page, c *circuits.Circuit, t lists.Table) {
	out.Para("", c.Title)
	out.Para("", t.Title+". "+t.About)
	if !slices.ContainsFunc(t.Groups, func(g lists.Group) bool { return len(g.Rows) > 0 }) {
		out.Para("", "There is nothing of the kind in this circuit.")
		return
	}
	widths := make([]int, len(t.Heads))
	wide := func(row []string) {
		for i, cell := range row {
			widths[i] = max(widths[i], len([]rune(cell)))
		}
	}
	wide(t.Heads)
	for _, g := range t.Groups {
		for _, r := range g.Rows {
			wide(r)
		}
	}
	sum := 0
	for _, w := range widths {
		sum += w + 2
	}
	line := func(row []string) {
		var b strings.Builder
		for i, cell := range row {
			b.WriteString(talk.Padded(cell, widths[i]) + "  ")
		}
		out.Raw(strings.TrimRight(b.String(), " ") + "\n")
	}
	fits := sum < out.Columns()
	if fits {
		out.Blank()
		line(t.Heads)
	}
	for _, g := range t.Groups {
		if g.Name != "" {
			out.Blank()
			out.Para("", g.Name)
		}
		for _, r := range g.Rows {
			if fits {
				line(r)
				continue
			}
			var cells []string
			for i, cell := range r {
				if cell != "" {
					cells = append(cells, t.Heads[i]+": "+cell)
				}
			}
			out.Hang("  ", strings.Join(cells, "; "))
		}
	}
}
