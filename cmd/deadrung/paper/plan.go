package paper

import (
	"fmt"
	"html/template"
	"io"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/plan"
	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
)

// PlanResult is the machine form of a plan that was judged.
type PlanResult struct {
	Circuit    string            `json:"circuit"`
	Right      bool              `json:"right"`
	Wires      []PlannedWire     `json:"wires"`
	Conductors int               `json:"conductors"` // of the drawing
	Whole      int               `json:"whole"`      // of them the plan joins
	Mistakes   []PlanMistake     `json:"mistakes"`
	Spare      []int             `json:"spare"` // wires, by order, without which all is joined as it is
	Energised  []PlanConsequence `json:"energised"`
}

// PlannedWire is one wire of a plan in its machine form.
type PlannedWire struct {
	Order int               `json:"order"`
	Wire  string            `json:"wire,omitempty"`
	From  circuits.Terminal `json:"from"`
	To    circuits.Terminal `json:"to"`
}

// PlanMistake is a mistake with its sentence.
type PlanMistake struct {
	plan.Mistake
	Order  int    `json:"order,omitempty"` // of the wire, from 1
	Device string `json:"device,omitempty"`
	Text   string `json:"text"`
}

// PlanConsequence is what goes otherwise when a panel wired so is energised.
type PlanConsequence struct {
	Step   string    `json:"step,omitempty"`
	Device string    `json:"device"`
	What   plan.What `json:"what"`
	Text   string    `json:"text"`
}

// Planned judges a plan, and energises a panel that is wired so.
func Planned(c *circuits.Circuit, wires []plan.Wire) PlanResult {
	j := plan.Judge(c, wires)
	r := PlanResult{Circuit: c.Title, Right: j.Right(), Wires: []PlannedWire{}, Conductors: len(c.Numbers), Whole: j.Done(),
		Mistakes: []PlanMistake{}, Spare: []int{}, Energised: []PlanConsequence{}}
	for i, w := range wires {
		r.Wires = append(r.Wires, PlannedWire{i + 1, w.Number, w.From, w.To})
	}
	for _, m := range j.Mistakes {
		out := PlanMistake{Mistake: m, Order: m.Wire + 1, Text: talk.PlanMistake(c, wires, m)}
		if m.Device != nil {
			out.Device = m.Device.Name
		}
		r.Mistakes = append(r.Mistakes, out)
	}
	for _, i := range j.Spare {
		r.Spare = append(r.Spare, i+1)
	}
	for _, h := range plan.Energise(c, wires) {
		out := PlanConsequence{Device: h.Device.Name, What: h.What, Text: talk.Happening(c, h)}
		if h.What != plan.IsNotFed {
			out.Step = c.Steps[h.Step].Name
		}
		r.Energised = append(r.Energised, out)
	}
	return r
}

// summary says how a plan is in a sentence.
func (r *PlanResult) summary() string {
	if r.Right {
		return fmt.Sprintf("RIGHT: %s make the %s of the drawing, and nothing else.", talk.Count(len(r.Wires), "wire"),
			talk.Count(r.Conductors, "conductor"))
	}
	return fmt.Sprintf("NOT RIGHT: %s; %s.", talk.Count(len(r.Mistakes), "mistake"), talk.Wholes(r.Whole, r.Conductors))
}

// consequence introduces what happens when a panel wired so is energised.
func (r *PlanResult) consequence() string {
	switch {
	case len(r.Energised) == 0 && r.Right:
		return "Energised, a panel wired so would work as drawn."
	case len(r.Energised) == 0:
		return "Energised, no step would show what is wrong."
	}
	return "Energised, a panel wired so would first go wrong so:"
}

// spare says which wires could be left out; empty where none can.
func (r *PlanResult) spare() string {
	if len(r.Spare) == 0 {
		return ""
	}
	var list []string
	for _, i := range r.Spare {
		w := r.Wires[i-1]
		list = append(list, fmt.Sprintf("%d (%s to %s)", i, w.From, w.To))
	}
	return "Not needed, but not a mistake: wire " + strings.Join(list, ", ") + "."
}

// PrintPlan writes what there is to say about a plan.
func PrintPlan(out *talk.Page, r PlanResult) {
	out.Blank()
	out.Parf("", "%s: the plan is %s", r.Circuit, r.summary())
	for i, m := range r.Mistakes {
		out.Hang(fmt.Sprintf("%3d. ", i+1), talk.Sentence(m.Text))
	}
	if text := r.spare(); text != "" {
		out.Para("", text)
	}
	out.Blank()
	out.Para("", r.consequence())
	for _, h := range r.Energised {
		out.Hang("  - ", h.Text)
	}
}

// PrintPlannedWires lists the wires of a plan.
func PrintPlannedWires(out *talk.Page, wires []plan.Wire) {
	if len(wires) == 0 {
		out.Para("  ", "None is planned yet.")
	}
	for i, w := range wires {
		out.Hang(fmt.Sprintf("%4d. ", i+1), talk.PlannedWire(w))
	}
}

var planSheet = template.Must(template.New("plan").Parse(`
{{.Head}}{{with .Summary}}<p><strong>{{.}}</strong></p>{{end}}
{{with .Mistakes}}<ol>{{range .}}<li>{{.Text}}.</li>{{end}}</ol>{{end}}
{{with .Spare}}<p>{{.}}</p>{{end}}
{{with .Consequence}}<p>{{.}}</p>{{end}}
{{with .Energised}}<ul>{{range .}}<li>{{.Text}}</li>{{end}}</ul>{{end}}
{{if .Form}}<p class="blank">Name: {{with .Name}}{{.}}{{else}}<span class="line"></span>{{end}} Date: <span class="line"></span></p>{{end}}
<h2>The drawing</h2>
<figure class="whole" style="margin:0">{{.Drawing}}</figure>
{{with .Terminals}}<h2>Terminals</h2><ul class="terminals">{{range .}}<li>{{.}}</li>{{end}}</ul>{{end}}
<h2>{{.Heading}}</h2>
<div class="scroll"><table class="wires">
<thead><tr><th class="number">No.</th><th>Wire number</th><th>From</th><th>To</th></tr></thead>
<tbody>{{range .Wires}}<tr{{if .Wrong}} class="wrong"{{end}}><td class="number">{{.Order}}</td><td>{{.Wire}}</td><td>{{.From}}</td><td>{{.To}}{{if .Wrong}} <strong>✗</strong>{{end}}</td></tr>
{{end}}</tbody></table></div>
`))

// planStyle keeps the columns in line and the blank lines of the form high enough to write on.
const planStyle = `.wires { table-layout: fixed; } .wires thead th:nth-child(1) { width: 3.2rem; } .wires td { overflow-wrap: anywhere; height: 1.9rem; }
.terminals { columns: 2; column-gap: 2rem; padding-left: 1.2rem; }
.terminals li { break-inside: avoid; }
.line { display: inline-block; min-width: 12rem; border-bottom: 1px solid; }
tr { break-inside: avoid; }
.wrong td { border-bottom: 2px solid; }
@media (max-width: 40rem) { .terminals { columns: 1; } .line { min-width: 7rem; } }
`

// planData is what a sheet of a plan shows.
type planData struct {
	Head                        template.HTML // before everything
	Form                        bool          // to be filled in
	Name                        string        // of whoever fills it in; a blank line where it is empty
	Summary, Spare, Consequence string
	Mistakes                    []PlanMistake
	Energised                   []PlanConsequence
	Drawing                     template.HTML
	Terminals                   []string
	Heading                     string
	Wires                       []planRow
}

type planRow struct {
	PlannedWire
	Wrong bool
}

// WritePlanForm writes the form of the exercise in wiring: the drawing without numbers, the
// terminals that there are, and an empty wire list. Name is whose it is; empty leaves a line for it.
func WritePlanForm(w io.Writer, d *drawing.Drawing, name string) error {
	const more = 4 // lines than wires are needed
	data := planData{Form: true, Name: name, Heading: "Wires", Drawing: template.HTML(d.SVG(drawing.Options{Unnumbered: true}))}
	for _, dev := range d.Circuit.Devices {
		data.Terminals = append(data.Terminals, talk.DeviceTerminals(dev))
	}
	n := more
	for _, number := range d.Circuit.Numbers {
		n += len(number.Wires)
	}
	for i := range n {
		data.Wires = append(data.Wires, planRow{PlannedWire: PlannedWire{Order: i + 1}})
	}
	under := fmt.Sprintf("Wiring: number the conductors, and plan wires from terminal to terminal; no more than %d on a terminal",
		plan.MostWires)
	return writePlanSheet(w, d.Circuit.Title, under, data)
}

// WritePlanSheet writes a plan that was judged beside the drawing.
func WritePlanSheet(w io.Writer, d *drawing.Drawing, r PlanResult) error {
	data := planData{Heading: "The wires as planned", Drawing: template.HTML(d.SVG(drawing.Options{}))}
	data.judged(r)
	return writePlanSheet(w, d.Circuit.Title, "Wiring: the plan, held against the drawing", data)
}

// judged takes what there is to say about a plan.
func (p *planData) judged(r PlanResult) {
	p.Summary, p.Spare, p.Consequence = "The plan is "+r.summary(), r.spare(), r.consequence()
	p.Mistakes, p.Energised = r.Mistakes, r.Energised
	wrong := make(map[int]bool)
	for _, m := range r.Mistakes {
		wrong[m.Order] = true
	}
	for _, wire := range r.Wires {
		p.Wires = append(p.Wires, planRow{wire, wrong[wire.Order]})
	}
}

func writePlanSheet(w io.Writer, title, under string, data planData) error {
	var body strings.Builder
	if err := planSheet.Execute(&body, data); err != nil {
		return err
	}
	return sheet.Page{Title: title, Under: under, Cautions: sheetCautions(), Body: template.HTML(body.String()),
		Style: planStyle}.Write(w)
}
