package paper

import (
	"html/template"

	"deadrung/diagnose/exam"
	"deadrung/faultmodel"
)

// KeyRow is one fault of the instructor's sheet.
type KeyRow struct {
	Candidate exam.Candidate `json:"candidate"`
	Task      int            `json:"task"`
	Circuit   string         `json:"circuit"`
	Fault     faultmodel.ID  `json:"fault"`
	Text      string         `json:"text"`
	Where     string         `json:"where"`
	Expected  exam.Expected  `json:"expected"`
}

// KeyBody is the body of the instructor's sheet.
var KeyBody = template.Must(template.New("key").Parse(`
<div class="scroll"><table><thead><tr><th class="number">Seat</th><th>Candidate</th><th class="number">No.</th><th>Circuit</th><th>Fault</th><th>Where</th>
<th class="number">Checks</th><th class="number">Minutes</th></tr></thead><tbody>
{{range .}}<tr><td class="number">{{.Candidate.Number}}</td><td>{{.Candidate.Name}}</td><td class="number">{{.Task}}</td><td>{{.Circuit}}</td><td>{{.Text}}</td><td>{{.Where}}</td>
<td class="number">{{printf "%.1f" .Expected.Checks}}</td><td class="number">{{printf "%.0f" .Expected.Minutes}}</td></tr>
{{end}}</tbody></table></div>
<p class="soft">Checks and minutes are what the guided search is expected to take.</p>`))
