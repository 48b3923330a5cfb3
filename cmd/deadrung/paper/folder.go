package paper

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/circuits/wirelist"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

var (
	//go:embed folder.html
	folderBodies string
	//go:embed folder.css
	folderStyle string
	//go:embed folder_nav.css
	folderNavStyle string

	folderLayout = template.Must(template.New("folder").Funcs(template.FuncMap{
		"rows": func(steps []talk.Step, rows []expectedRow) any {
			return struct {
				Steps []talk.Step
				Rows  []expectedRow
			}{steps, rows}
		},
	}).Parse(folderBodies))
)

// Sheets of a folder that are named by others.
const (
	IndexSheet       = "index.html"
	readingsSheet    = "readings.html"
	LadderSheet      = "ladder.pdf"      // to sign; written by package plot
	ConnectionsSheet = "connections.pdf" // the same
)

// folderSheet is one sheet of a field folder.
type folderSheet struct {
	file, title, about string
	body               func() (template.HTML, error)
	page               func() (sheet.Page, error) // in place of a body

	book *Book
	all  []*folderSheet
}

// Folder lays the sheets of a folder out, the index first, the ladder drawn as said. A drawing leads to the one to sign where
// that is in the folder too: signed names those. The sheets may be written at once: what checkOut and signed give is waited
// for where it is needed.
func Folder(b *Book, checkOut func() *CheckOut, by diagnose.By, how drawing.Options, signed func() []string) []*folderSheet {
	sheets := []*folderSheet{
		{file: IndexSheet, title: "Field folder", about: "what is here"},
		{file: "drawing.html", title: "Drawing",
			about: "the ladder, with wire numbers and contact cross-references"},
		{file: "connections.html", title: "Connections",
			about: "the devices where they sit, and every wire from screw to screw"},
		{file: "wirelist.html", title: "Wire list",
			about: "every wire from screw to screw, in the order of wiring"},
		{file: "checkout.html", title: "Check-out",
			about: "the ohms checks before first power, and the order of energising"},
		{file: "operation.html", title: "Operation",
			about: "every step: what to do, and what each output does then"},
		{file: readingsSheet, title: "Expected readings",
			about: "what a meter shows on the good circuit, step by step"},
		{file: "chart.html", title: "Fault-finding chart",
			about: "from a complaint to the verdict, check by check"},
		{file: "testability.html", title: "Testability",
			about: "what can be told apart, and in how many checks"},
	}
	lines := drawing.New(b.speak.Circuit)
	bodies := map[string]func() (template.HTML, error){
		IndexSheet:         func() (template.HTML, error) { return folderBody("index", sheets[1:]) },
		"drawing.html":     func() (template.HTML, error) { return drawingBody(lines, how, signed()) },
		"connections.html": func() (template.HTML, error) { return connectionsBody(b.speak.Circuit, signed()) },
		"operation.html":   b.operationBody,
		readingsSheet:      b.readingsBody,
		"testability.html": func() (template.HTML, error) { return b.testabilityBody(by) },
	}
	pages := map[string]func() (sheet.Page, error){
		"wirelist.html": func() (sheet.Page, error) { return WirePage(wirelist.Of(lines)) },
		"checkout.html": func() (sheet.Page, error) { return checkOut().Page() },
		"chart.html":    b.page,
	}
	for _, s := range sheets {
		s.book, s.all, s.body, s.page = b, sheets, bodies[s.file], pages[s.file]
	}
	return sheets
}

// File, Title and About are for the index.
func (s *folderSheet) File() string { return s.file }

// Title heads the sheet in the index.
func (s *folderSheet) Title() string { return s.title }

// About tells what is on the sheet.
func (s *folderSheet) About() string { return s.about }

// Write gives the sheet as a file.
func (s *folderSheet) Write() ([]byte, error) {
	nav, err := folderBody("nav", struct {
		Here string
		All  []*folderSheet
	}{s.file, s.all})
	if err != nil {
		return nil, err
	}
	page := sheet.Page{
		Title:    s.title + ": " + s.book.speak.Circuit.Title,
		Cautions: []string{talk.CautionOf(s.book.speak.Model.Panel()).Line()},
		Style:    template.CSS(folderStyle),
	}
	if s.page != nil {
		page, err = s.page()
	} else {
		switch s.file {
		case IndexSheet:
			page.Under = s.book.speak.Circuit.About
		case readingsSheet:
			page.Cautions = append(page.Cautions, talk.LockOutOf(s.book.speak.Model.Panel(), talk.BeforeOhms).Line())
		}
		page.Body, err = s.body()
	}
	if err != nil {
		return nil, err
	}
	page.Body = nav + page.Body
	page.Style += template.CSS(folderNavStyle)
	var out bytes.Buffer
	err = page.Write(&out)
	return out.Bytes(), err
}

// folderBody fills one of the templates of folder.html.
func folderBody(name string, data any) (template.HTML, error) {
	var out bytes.Buffer
	err := folderLayout.ExecuteTemplate(&out, name, data)
	return template.HTML(out.String()), err
}

func drawingBody(d *drawing.Drawing, how drawing.Options, signed []string) (template.HTML, error) {
	var pages []template.HTML
	for i := range d.Sheets(how) {
		how.Sheet = i + 1
		pages = append(pages, template.HTML(d.SVG(how)))
	}
	return folderBody("drawing", drawnPages{pages, toSign(signed, LadderSheet)})
}

// connectionsBody shows the connection diagram.
func connectionsBody(c *circuits.Circuit, signed []string) (template.HTML, error) {
	picture := template.HTML(connections.New(c).SVG(connections.Options{}))
	return folderBody("drawing", drawnPages{[]template.HTML{picture}, toSign(signed, ConnectionsSheet)})
}

// drawnPages are the pictures of a drawing, and the file to sign; empty where there is none.
type drawnPages struct {
	Pages  []template.HTML
	ToSign string
}

// toSign gives a sheet that is among those to sign; else nothing.
func toSign(signed []string, name string) string {
	if slices.Contains(signed, name) {
		return name
	}
	return ""
}

// operationRow is one step of the operation.
type operationRow struct {
	Step string
	Must string   // where there are too many outputs for a table
	Saw  []string // by output
}

// operationColumns is how many outputs a table has room for on paper.
const operationColumns = 12

func (b *Book) operationBody() (template.HTML, error) {
	type table struct {
		Rest    string
		Outputs []string
		Rows    []operationRow
		Called  []string
	}
	t := table{Rest: b.speak.FromRest()}
	visible := b.Model.Panel().Visible()
	if len(visible) <= operationColumns {
		for _, d := range visible {
			t.Outputs = append(t.Outputs, d.Name)
			t.Called = append(t.Called, talk.Called(d)+", "+d.Whereabouts())
		}
	}
	for i, w := range WorkAll(b.Model.Panel(), &work.Overlay{}, nil) {
		row := operationRow{Step: b.speak.StepLine(i)}
		if len(t.Outputs) == 0 {
			row.Must = b.speak.MustBe(i)
		}
		for _, name := range t.Outputs {
			saw := w.Outputs[name].Saw
			if w.Outputs[name].Firm != nil {
				saw += "?"
			}
			row.Saw = append(row.Saw, saw)
		}
		t.Rows = append(t.Rows, row)
	}
	return folderBody("operation", t)
}

// expectedRow is one point or part and what it reads in every step.
type expectedRow struct {
	What, Note string
	Reads      []expectedReading
}

type expectedReading struct {
	Text  string
	Other bool // than in the step before
}

// expectedReadings are what the sheet of readings holds: volts step by step across what is seen and from
// each wire number to its return, and the ohms of what is seen.
type expectedReadings struct{ Loads, Points, Ohms []expectedRow }

func (b *Book) expectedReadings() (t expectedReadings) {
	p := b.Model.Panel()
	for _, d := range p.Visible() {
		across := []circuits.Terminal{d.Terminal(d.Ends[0]), d.Terminal(d.Ends[1])}
		what := fmt.Sprintf("%s to %s", across[0], across[1])
		t.Loads = append(t.Loads, b.expected(what, talk.Called(d), across))
		check := log.Check{Ohms: across, Lifted: across[:1]}
		if r, err := b.Model.Usual(check); err == nil {
			t.Ohms = append(t.Ohms, expectedRow{What: what, Note: talk.Called(d),
				Reads: []expectedReading{{Text: b.speak.Shows(check, r)}}})
		}
	}
	for _, n := range b.speak.Circuit.Numbers {
		at := n.Wires[0].From
		if black := b.Model.Return(at); black != "" && p.Number(p.Node(black)) != p.Number(p.Node(at)) {
			t.Points = append(t.Points, b.expected(fmt.Sprintf("%s to %s", at, black), "wire "+n.Name,
				[]circuits.Terminal{at, black}))
		}
	}
	return t
}

func (b *Book) readingsBody() (template.HTML, error) {
	type tables struct {
		Steps []talk.Step
		expectedReadings
		Current string
	}
	t := tables{expectedReadings: b.expectedReadings(), Current: b.speak.Current()}
	for i := range b.speak.Circuit.Steps {
		t.Steps = append(t.Steps, b.speak.Step(i))
	}
	return folderBody("readings", t)
}

// unforetold stands for a reading that nobody can foretell.
const unforetold = "?"

// expected gives the volts between two terminals in every step.
func (b *Book) expected(what, note string, leads []circuits.Terminal) expectedRow {
	row := expectedRow{What: what, Note: note}
	for i, st := range b.speak.Circuit.Steps {
		text := unforetold
		if r, err := b.Model.Usual(log.Check{Volts: leads, Step: st.Name}); err == nil && r.Firm {
			text = talk.QuantityOf(r.Value, log.Volts).Figures
		}
		row.Reads = append(row.Reads, expectedReading{text, i > 0 && text != row.Reads[i-1].Text})
	}
	return row
}

func (b *Book) testabilityBody(by diagnose.By) (template.HTML, error) {
	type alike struct {
		Faults []string
		Why    string
	}
	type body struct {
		Figures []labelled
		Alike   []alike
		Helps   []string
		Large   bool
	}
	m := b.Model
	t := body{Large: LargePanel(m)}
	figure := func(label, format string, args ...any) {
		t.Figures = append(t.Figures, labelled{label, fmt.Sprintf(format, args...)})
	}
	groups := make(map[int]bool)
	var detected float64
	for i, f := range m.Faults() {
		groups[m.Group(i)] = true
		if !m.Hidden(i) {
			detected += f.Prior
		}
	}
	figure("Faults", "%d in %s", len(m.Faults()), talk.Count(len(groups), "group"))
	figure("Detected", "%.1f %% of what can go wrong changes at least one check", 100*detected)
	if !t.Large {
		f, err := m.Testability(by, diagnose.Effort{})
		if err != nil {
			return "", err
		}
		figure("Isolated", "%.1f %% ends with its own group in the guided search", 100*f.Isolated)
		figure("Checks", "%.1f on average, %.0f at worst, until one group is left", f.Checks.Mean,
			f.Checks.Worst)
		figure("Minutes", "%.0f on average, %.0f at worst, at the panel", f.Minutes.Mean, f.Minutes.Worst)
		for _, i := range m.Improvements() {
			t.Helps = append(t.Helps,
				fmt.Sprintf("%s: parts %.1f %% of what can go wrong from what it is alike with", i.What, 100*i.Gain))
		}
	}
	for _, g := range m.Alike() {
		a := alike{Why: g.Why}
		for _, i := range g.Faults {
			a.Faults = append(a.Faults, m.Faults()[i].Text)
		}
		t.Alike = append(t.Alike, a)
	}
	return folderBody("testability", t)
}
