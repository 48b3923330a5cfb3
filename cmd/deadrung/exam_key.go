package main

import (
	"fmt"
	"html/template"
	"io"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/diagnose/exam"
	"deadrung/faultmodel"
)

type keyOptions struct {
	dir    string
	html   bool
	json   bool
	output string
	secret secret
}

func newExamKey(s streams) *cobra.Command {
	var o keyOptions
	c := &cobra.Command{
		Use:   "key DIR",
		Short: "The instructor's sheet: who has which fault, in words",
		Long: `Key opens the sealed key of an exam and prints who has which fault, and what the
guided search takes to find it. It needs the passphrase. Nothing of it is written
anywhere but where you send it.`,
		Args: oneFolder,
		RunE: func(_ *cobra.Command, args []string) error {
			o.dir = args[0]
			return runExamKey(o, s)
		},
	}
	f := c.Flags()
	f.BoolVar(&o.html, "html", false, "as a sheet to print, in HTML")
	o.secret.flags(f)
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	f.StringVarP(&o.output, "output", "o", "", "write the result to this file")
	return c
}

// keyRow is one fault of the instructor's sheet.
type keyRow struct {
	Candidate exam.Candidate `json:"candidate"`
	Task      int            `json:"task"`
	Circuit   string         `json:"circuit"`
	Fault     faultmodel.ID  `json:"fault"`
	Text      string         `json:"text"`
	Where     string         `json:"where"`
	Expected  exam.Expected  `json:"expected"`
}

func runExamKey(o keyOptions, s streams) error {
	if o.html && o.json {
		return usagef("--html and --json are two forms: give one")
	}
	f, key, err := openKey(o.dir, o.secret, s)
	if err != nil {
		return err
	}
	var rows []keyRow
	waiting(s.err, new(stage).text, func() { rows, err = f.keyRows(key) })
	if err != nil {
		return err
	}
	seed := strings.TrimLeft(key.Seed, "0")
	if seed == "" {
		seed = "0"
	}
	if o.html {
		return output(o.output, s, func(w io.Writer) error {
			return htmlSheet(w, key.Title+": the key", fmt.Sprintf("For the instructor alone. Exam %s, seed %s, set %s", key.Exam, seed, key.Made), cautionParagraphs, keyBody, rows)
		})
	}
	return outputOf(o.output, o.json, rows, s, func(p *page) {
		p.notice(caution)
		p.parf("", "%s: the key. For the instructor alone. Exam %s, seed %s.", key.Title, key.Exam, seed)
		for _, r := range rows {
			p.hang(fmt.Sprintf("%3d  ", r.Candidate.Number), fmt.Sprintf("%s, fault %d, %s: %s (%s); expected %.1f checks, %s", r.Candidate.Name, r.Task, r.Circuit, r.Text, r.Fault,
				r.Expected.Checks, span(r.Expected.Minutes)))
		}
	})
}

func (f *examFolder) keyRows(key *exam.Key) ([]keyRow, error) {
	by, err := parseBy(key.By)
	if err != nil {
		return nil, err
	}
	var rows []keyRow
	for c, m := range f.models {
		needed, err := m.Needed(by)
		if err != nil {
			return nil, err
		}
		for _, k := range key.Keys {
			for i, t := range k.Tasks {
				if t.Circuit != c {
					continue
				}
				fault, err := faultmodel.Find(m.Faults(), string(t.Fault))
				if err != nil {
					return nil, fmt.Errorf("the key does not belong to these circuits: %w", err)
				}
				rows = append(rows, keyRow{k.Candidate, i + 1, m.Panel().Circuit.Title, t.Fault, m.Faults()[fault].Text, m.Faults()[fault].Where,
					exam.Expected{Checks: exam.Tenth(needed[fault].Checks), Minutes: exam.Tenth(needed[fault].Minutes)}})
			}
		}
	}
	sort.SliceStable(rows, func(i, k int) bool {
		a, b := rows[i], rows[k]
		return a.Candidate.Number < b.Candidate.Number || a.Candidate.Number == b.Candidate.Number && a.Task < b.Task
	})
	return rows, nil
}

var keyBody = template.Must(template.New("key").Parse(`
<div class="scroll"><table><thead><tr><th class="number">Seat</th><th>Candidate</th><th class="number">No.</th><th>Circuit</th><th>Fault</th><th>Where</th>
<th class="number">Checks</th><th class="number">Minutes</th></tr></thead><tbody>
{{range .}}<tr><td class="number">{{.Candidate.Number}}</td><td>{{.Candidate.Name}}</td><td class="number">{{.Task}}</td><td>{{.Circuit}}</td><td>{{.Text}}</td><td>{{.Where}}</td>
<td class="number">{{printf "%.1f" .Expected.Checks}}</td><td class="number">{{printf "%.0f" .Expected.Minutes}}</td></tr>
{{end}}</tbody></table></div>
<p class="soft">Checks and minutes are what the guided search is expected to take.</p>`))
