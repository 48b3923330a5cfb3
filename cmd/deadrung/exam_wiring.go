package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
)

// wiringSet is the machine form of what setting an exam in wiring did.
type wiringSet struct {
	Exam       string    `json:"exam"`
	Title      string    `json:"title"`
	Form       exam.Form `json:"form"`
	Dir        string    `json:"dir"`
	Circuit    string    `json:"circuit"`
	Candidates int       `json:"candidates"`
	Packets    []string  `json:"packets"` // the form of each candidate
}

// setWiring sets an exam in wiring: a folder with a form for everybody.
func (o *setOptions) setWiring(s streams) error {
	switch {
	case len(o.circuits) > 1:
		return usagef("an exam in wiring is of one circuit")
	case o.faults != 1 || o.row != 0 || o.prepared || o.seeded || o.secret.file != "":
		return usagef("an exam in wiring hides no fault: it goes without --faults, --row, --prepared-parts, --seed and a passphrase")
	}
	class, err := o.classOf(s)
	if err != nil {
		return err
	}
	panel, text, err := load(o.circuits[0], s)
	if err != nil {
		return err
	}
	e := exam.SetWiring(o.titled("Wiring exam"), o.minutes, class, exam.CircuitFile{File: filepath.Base(panel.Circuit.File), Text: string(text)},
		timeNow().UTC().Format(time.RFC3339Nano))
	if o.dir == "" {
		o.dir = "exam-" + e.ID
	}
	if err := emptyFolder(o.dir); err != nil {
		return err
	}
	r := &wiringSet{Exam: e.ID, Title: e.Title, Form: e.Form, Dir: o.dir, Circuit: panel.Circuit.Title, Candidates: len(class)}
	ladder := drawing.New(panel.Circuit)
	err = newExamFolder(o.dir, func(dir string) error {
		for _, name := range []string{packetsDir, answersDir} {
			if err := os.Mkdir(filepath.Join(dir, name), 0o700); err != nil {
				return err
			}
		}
		for _, c := range class {
			var form strings.Builder
			if err := paper.WritePlanForm(&form, ladder, c.Label()); err != nil {
				return err
			}
			name := filepath.Join(packetsDir, numberedName(c, ".html"))
			if err := disk.PutNew(filepath.Join(dir, name), []byte(form.String()), disk.Private); err != nil {
				return err
			}
			r.Packets = append(r.Packets, filepath.Join(o.dir, name))
		}
		out, err := json.MarshalIndent(e, "", "  ")
		if err != nil {
			return err
		}
		return disk.PutNew(filepath.Join(dir, examFile), append(out, '\n'), disk.Private)
	})
	if err != nil {
		return fmt.Errorf("cannot write the exam: %w", err)
	}
	return outputOf(o.output, o.json, r, s, func(p *talk.Page) {
		p.Parf("", "%s: %s, wiring of %q.", r.Title, talk.Count(r.Candidates, "candidate"), r.Circuit)
		p.Parf("", "The folder is %s. Hand out the forms in %s; keep the rest to yourself: it has the numbered drawing.", r.Dir, packetsDir)
		p.Parf("", "Put the plans into %s, each as a CSV (wire, from, to) whose name begins with the candidate's number. Then run: deadrung exam mark %s",
			filepath.Join(r.Dir, answersDir), r.Dir)
	})
}

// wiringExam reads the exam of a folder where it is one in wiring; nil where it is another.
func wiringExam(dir string, s streams) (*exam.Exam, *circuits.Circuit, error) {
	name := filepath.Join(dir, examFile)
	text, err := os.ReadFile(name)
	var e exam.Exam
	if err != nil || json.Unmarshal(text, &e) != nil || e.Form != exam.Wiring {
		return nil, nil, nil // told where every exam is read
	}
	if err := (&examFolder{dir: dir}).claimed(s); err != nil {
		return nil, nil, err
	}
	if e.Version != exam.Version || len(e.Circuits) != 1 {
		return nil, nil, inputError{circuits.Problems{{File: name, Pos: circuits.Pos{Line: 1, Column: 1},
			What: "the exam is damaged", Hint: "a copy of the file"}}}
	}
	c, problems := read.Read(e.Circuits[0].File, []byte(e.Circuits[0].Text))
	if problems.Err() != nil {
		return nil, nil, inputError{problems}
	}
	return &e, c, nil
}

// markWiring marks an exam in wiring.
func (o *markOptions) markWiring(e *exam.Exam, c *circuits.Circuit, scheme exam.Scheme, s streams) error {
	if o.answers == "" {
		o.answers = filepath.Join(o.dir, answersDir)
	}
	answers, lost, err := readAnswers(o.answers, s)
	if err != nil {
		return err
	}
	r := exam.MarkWiring(e, c, scheme, answers)
	r.Strange = append(r.Strange, lost...)
	if o.marks == "" {
		o.marks = filepath.Join(o.dir, "marks")
	}
	if o.marks != "none" {
		if err := writeWiringMarks(o.marks, r, drawing.New(c), s); err != nil {
			return err
		}
	}
	return outputOf(o.output, o.json, r, s, func(p *talk.Page) { paper.PrintWiringMarks(p, r, o.marks) })
}

// writeWiringMarks writes the tables and the sheets.
func writeWiringMarks(dir string, r *exam.WiringResult, d *drawing.Drawing, s streams) error {
	files := map[string]func(io.Writer) error{
		"marks.csv":  func(w io.Writer) error { return paper.WiringTable(w, r) },
		"class.html": func(w io.Writer) error { return paper.WiringClassSheet(w, r) },
	}
	for i := range r.Marks {
		m := &r.Marks[i]
		files[numberedName(m.Candidate, ".html")] = func(w io.Writer) error { return paper.WiringSheet(w, d, r, m) }
	}
	for name := range files {
		if err := s.files.Claim("--marks", filepath.Join(dir, name)); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("cannot write the marks: %w", err)
	}
	for name, write := range files {
		if err := s.files.WritePrivate(filepath.Join(dir, name), write); err != nil {
			return saved(err, "the marks")
		}
	}
	return nil
}
