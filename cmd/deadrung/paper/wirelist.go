package paper

import (
	"html/template"
	"io"
	"strings"

	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
)

// sheetCautions are those of a sheet for work with the power locked off.
func sheetCautions() []string {
	return []string{talk.Caution.Line(),
		"Wiring and ohms checks: power locked off, tagged and proved dead. " +
			"Push buttons and interlocks are no isolation."}
}

var wireSheet = template.Must(template.New("wires").Funcs(template.FuncMap{"more": endMore,
	"number": numberText, "rung": rungTitle}).Parse(
	`<p>{{.Title}}</p>
<table>
<thead><tr><th class="number">No.</th><th>Wire</th><th>From</th><th>To</th></tr></thead>
{{range .Rungs}}<tbody>
<tr><th colspan="4" scope="rowgroup">{{rung .Rung}}</th></tr>
{{range .Lines}}<tr><td class="number">{{.Order}}</td><td>{{number .Line}}</td><td>{{template "screw" .From}}</td><td>{{template "screw" .To}}</td></tr>
{{end}}</tbody>
{{end}}</table>
{{define "screw"}}<span class="tick"></span> {{.Terminal}} <span class="soft">{{more .}}</span>{{end}}`))

// wireStyle keeps the columns in line and a rung together.
const wireStyle = `table { table-layout: fixed; }
thead th:nth-child(1) { width: 3.2rem; } thead th:nth-child(2) { width: 4.5rem; }
td { overflow-wrap: anywhere; }
td .soft { margin: 0; }
tbody { break-inside: avoid; }
tbody th { border-width: 1px 0; padding-top: .6rem; }
`

// WirePage lays the list out as a sheet to print.
func WirePage(l wirelist.List) (sheet.Page, error) {
	type line struct {
		wirelist.Line
		Order int
	}
	type rung struct {
		Rung  int
		Lines []line
	}
	var rungs []rung
	for i, w := range l.Lines {
		if len(rungs) == 0 || rungs[len(rungs)-1].Rung != w.Rung {
			rungs = append(rungs, rung{Rung: w.Rung})
		}
		last := &rungs[len(rungs)-1]
		last.Lines = append(last.Lines, line{w, i + 1})
	}
	var body strings.Builder
	err := wireSheet.Execute(&body, struct {
		Title string
		Rungs []rung
	}{wireTitle(l), rungs})
	if err != nil {
		return sheet.Page{}, err
	}
	return sheet.Page{Title: l.Circuit.Title, Under: "Wire list", Cautions: sheetCautions(),
		Body: template.HTML(body.String()), Style: wireStyle}, nil
}

// WritePage writes a page once it is laid out.
func WritePage(out io.Writer, lay func() (sheet.Page, error)) error {
	page, err := lay()
	if err != nil {
		return err
	}
	return page.Write(out)
}
