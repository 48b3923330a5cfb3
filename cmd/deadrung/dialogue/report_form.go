package dialogue

import (
	"fmt"
	"html"
	"strings"

	"deadrung/cmd/deadrung/talk"
)

// reportForm is a form in which a report is written: Markdown, or a page to print.
type reportForm interface {
	heading(text string)
	line(text string) // an empty one parts two
	para(text string)
	strong(text string)
	item(text string)
	box(text string) // to be ticked
	table(head []string, rows [][]string)
	signed(text string)
}

// markdownReport is a report in Markdown.
type markdownReport struct{ strings.Builder }

func (m *markdownReport) write(format string, args ...any) { fmt.Fprintf(m, format+"\n", args...) }

func (m *markdownReport) heading(text string) { m.write("\n## %s\n", text) }
func (m *markdownReport) line(text string)    { m.write("%s", talk.Marked(text)) }
func (m *markdownReport) para(text string)    { m.write("%s\n", talk.Marked(text)) }
func (m *markdownReport) strong(text string)  { m.write("**%s**\n", talk.Marked(text)) }
func (m *markdownReport) item(text string)    { m.write("- %s", talk.Marked(text)) }
func (m *markdownReport) box(text string)     { m.write("- [ ] %s", talk.Marked(text)) }
func (m *markdownReport) signed(text string)  { m.write("\n%s", text) }

func (m *markdownReport) table(head []string, rows [][]string) {
	row := func(cells []string) { m.write("| %s |", strings.Join(cells, " | ")) }
	row(head)
	m.write("|%s", strings.Repeat(" --- |", len(head)))
	for _, r := range rows {
		marked := make([]string, len(r))
		for i, cell := range r {
			marked[i] = talk.Marked(cell)
		}
		row(marked)
	}
}

// htmlReport is a report as the body of a page.
type htmlReport struct {
	text strings.Builder
	list bool
}

func (h *htmlReport) add(text string) {
	if h.list {
		h.text.WriteString("</ul>\n")
		h.list = false
	}
	h.text.WriteString(text + "\n")
}

func (h *htmlReport) tagged(tag, text string) {
	h.add("<" + tag + ">" + html.EscapeString(text) + "</" + tag + ">")
}

func (h *htmlReport) heading(text string) { h.tagged("h2", text) }
func (h *htmlReport) para(text string)    { h.tagged("p", text) }
func (h *htmlReport) signed(text string)  { h.tagged("p", text) }
func (h *htmlReport) box(text string)     { h.item("\u2610 " + text) }

func (h *htmlReport) strong(text string) {
	h.add("<p><strong>" + html.EscapeString(text) + "</strong></p>")
}

func (h *htmlReport) line(text string) {
	if text != "" {
		h.para(text)
	}
}

func (h *htmlReport) item(text string) {
	if !h.list {
		h.text.WriteString("<ul>\n")
		h.list = true
	}
	h.text.WriteString("<li>" + html.EscapeString(text) + "</li>\n")
}

func (h *htmlReport) table(head []string, rows [][]string) {
	var b strings.Builder
	row := func(tag string, cells []string) {
		b.WriteString("<tr>")
		for _, cell := range cells {
			b.WriteString("<" + tag + ">" + html.EscapeString(cell) + "</" + tag + ">")
		}
		b.WriteString("</tr>\n")
	}
	row("th", head)
	for _, r := range rows {
		row("td", r)
	}
	h.add("<table>\n" + b.String() + "</table>")
}

// body is what was written.
func (h *htmlReport) body() string {
	text := h.text.String()
	if h.list {
		text += "</ul>\n"
	}
	return text
}
