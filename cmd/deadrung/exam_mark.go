package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
)

type markOptions struct {
	dir     string
	answers string
	marks   string
	weights string
	json    bool
	output  string
	secret  secret
}

func newExamMark(s streams) *cobra.Command {
	var o markOptions
	c := &cobra.Command{
		Use:   "mark DIR",
		Short: "Mark the answers to an exam: marks in CSV, a sheet for each candidate and one for the class",
		Long: `Mark reads the answer logs and the sealed key of an exam, and works out the marks: the
right fault, wasted checks, safety, time. What each is worth is set in a small file
(--weights); "exam weights" prints the usual one.

It writes marks.csv, class.csv, class.html and a sheet for each candidate into the
folder marks of the exam. Whatever is missing, late, damaged or changed is said, and all
the rest is marked. It needs the passphrase.`,
		Args: oneFolder,
		RunE: func(_ *cobra.Command, args []string) error {
			o.dir = args[0]
			return runExamMark(o, s)
		},
	}
	f := c.Flags()
	f.StringVar(&o.answers, "answers", "", "the folder of the answer logs; DIR/"+answersDir+" if not given, of a served exam DIR/"+servedDir)
	f.StringVar(&o.marks, "marks", "", "the folder for the marks; DIR/marks if not given, none for none")
	f.StringVar(&o.weights, "weights", "", "what the parts are worth, in YAML")
	o.secret.flags(f)
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	f.StringVarP(&o.output, "output", "o", "", "write the result to this file")
	return c
}

func runExamMark(o markOptions, s streams) error {
	scheme := exam.Usual
	if o.weights != "" {
		text, err := os.ReadFile(o.weights)
		if err != nil {
			return fmt.Errorf("cannot read the weights: %w", err)
		}
		var problems circuits.Problems
		if scheme, problems = exam.ReadScheme(o.weights, text); len(problems) > 0 {
			return inputError{problems}
		}
	}
	f, key, err := openKey(o.dir, o.secret, s)
	if err != nil {
		return err
	}
	switch {
	case o.answers != "":
	case key.Form == exam.Served:
		o.answers = filepath.Join(o.dir, servedDir)
	default:
		o.answers = filepath.Join(o.dir, answersDir)
	}
	answers, lost, err := readAnswers(o.answers)
	if err != nil {
		return err
	}
	var result *exam.Result
	var doing talk.Stage
	doing.Say(fmt.Sprintf("Marking %s", talk.Count(len(answers), "answer log")))
	talk.Waiting(s.err, doing.Text, func() { result, err = exam.Mark(f.exam, key, f.models, scheme, answers) })
	if err != nil {
		return err
	}
	result.Strange = append(result.Strange, lost...)
	if o.marks == "" {
		o.marks = filepath.Join(o.dir, "marks")
	}
	if o.marks != "none" {
		if err := f.writeMarks(o.marks, result); err != nil {
			return err
		}
	}
	return outputOf(o.output, o.json, result, s, func(p *talk.Page) { printMarks(p, result, o.marks) })
}

// readAnswers reads every file of a folder that may be an answer log. One that cannot be
// read is named, and stops nothing.
func readAnswers(dir string) (answers []exam.Answers, lost []exam.Strange, err error) {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, []exam.Strange{{File: dir, Why: "the folder of the answers is not there"}}, nil
	case err != nil:
		return nil, nil, fmt.Errorf("cannot read the answers: %w", err)
	case !info.IsDir():
		return nil, nil, fmt.Errorf("cannot read the answers: %s is no folder", dir)
	}
	err = filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		if err != nil {
			lost = append(lost, exam.Strange{File: name, Why: "it cannot be read: " + err.Error()})
			return nil
		}
		if !d.Type().IsRegular() || strings.HasPrefix(d.Name(), ".") || strings.HasSuffix(name, askedEnd) {
			return nil
		}
		const most = 64 << 20
		if info, err := d.Info(); err == nil && info.Size() > most {
			lost = append(lost, exam.Strange{File: name, Why: "it is too large for an answer log"})
			return nil
		}
		text, err := os.ReadFile(name)
		if err != nil {
			lost = append(lost, exam.Strange{File: name, Why: "it cannot be read: " + err.Error()})
			return nil
		}
		a := exam.Answers{File: name, Text: text}
		if asked, err := os.ReadFile(strings.TrimSuffix(name, ".jsonl") + askedEnd); err == nil {
			n := bytes.Count(asked, []byte("\n"))
			a.Asked = &n
		}
		answers = append(answers, a)
		return nil
	})
	sort.Slice(answers, func(i, k int) bool { return answers[i].File < answers[k].File })
	return answers, lost, err
}

// writeMarks writes the tables and the sheets.
func (f *examFolder) writeMarks(dir string, r *exam.Result) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("cannot write the marks: %w", err)
	}
	save := func(name string, write func(io.Writer) error) error {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o644); err != nil {
			return fmt.Errorf("cannot write the marks: %w", err)
		}
		return nil
	}
	if err := save("marks.csv", func(w io.Writer) error { return markTable(w, r) }); err != nil {
		return err
	}
	if err := save("class.csv", func(w io.Writer) error { return classTable(w, r) }); err != nil {
		return err
	}
	if err := save("class.html", func(w io.Writer) error { return paper.ClassSheet(w, r) }); err != nil {
		return err
	}
	for _, t := range r.Class {
		if err := save(numberedName(t.Candidate, ".html"), func(w io.Writer) error { return paper.CandidateSheet(w, f.models, r, t) }); err != nil {
			return err
		}
	}
	return nil
}

// markTable writes one line for each candidate and fault.
func markTable(w io.Writer, r *exam.Result) error {
	c := csv.NewWriter(w)
	c.Write([]string{"seat", "name", "id", "task", "circuit", "fault", "state", "named", "right", "checks", "premature", "redundant", "irrelevant", "unsafe",
		"minutes", "panel minutes", "late minutes", "marks fault", "marks checks", "marks safety", "marks time", "marks total", "of", "chain", "receipt", "file", "remarks", "groups possible when named"})
	for _, d := range r.Marked {
		c.Write([]string{strconv.Itoa(d.Candidate.Number), harmless(d.Candidate.Name), harmless(d.Candidate.ID), strconv.Itoa(d.Task), harmless(d.Circuit), string(d.Fault), string(d.State), string(d.Stated),
			talk.YesNo(d.Right), strconv.Itoa(len(d.Checks)), strconv.Itoa(d.Premature), strconv.Itoa(d.Redundant), strconv.Itoa(d.Irrelevant), strconv.Itoa(len(d.Unsafe)),
			decimal(d.Clock), decimal(d.Panel), decimal(d.Late), decimal(d.Points.Fault), decimal(d.Points.Checks), decimal(d.Points.Safety), decimal(d.Points.Time), decimal(d.Points.Total),
			decimal(r.Scheme.All()), d.Chain, d.Receipt, baseName(d.File), harmless(strings.Join(d.Remarks, "; ")), strconv.Itoa(d.Possible)})
	}
	c.Flush()
	return c.Error()
}

// classTable writes one line for each candidate.
func classTable(w io.Writer, r *exam.Result) error {
	c := csv.NewWriter(w)
	c.Write([]string{"seat", "name", "id", "found", "of", "marks fault", "marks checks", "marks safety", "marks time", "marks total", "percent", "passed", "without a fault named", "remarks"})
	for _, t := range r.Class {
		c.Write([]string{strconv.Itoa(t.Candidate.Number), harmless(t.Candidate.Name), harmless(t.Candidate.ID), strconv.Itoa(t.Found), strconv.Itoa(t.Of),
			decimal(t.Points.Fault), decimal(t.Points.Checks), decimal(t.Points.Safety), decimal(t.Points.Time), decimal(t.Points.Total), decimal(t.Percent), talk.YesNo(t.Passed),
			strconv.Itoa(t.Missing), strconv.Itoa(t.Remarks)})
	}
	c.Flush()
	return c.Error()
}

// harmless keeps a spreadsheet from taking a name for a formula.
func harmless(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t", rune(s[0])) {
		return "'" + s
	}
	return s
}

// baseName is a file's name without its folder; none of none.
func baseName(file string) string {
	if file == "" {
		return ""
	}
	return filepath.Base(file)
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }

// Columns of the table of marks: of a name, and of a page that has room for the parts.
const (
	markedName = 22
	wideMarks  = 80
)

// printMarks tells the class's marks, and all that an instructor should look at.
func printMarks(p *talk.Page, r *exam.Result, dir string) {
	p.Parf("", "%s: %s, %s.", r.Title, talk.Count(len(r.Class), "candidate"), talk.Count(len(r.Marked), "fault"))
	p.Blank()
	wide := p.Columns() >= wideMarks
	row := func(seat, name string, parts []string, rest ...string) {
		if wide {
			rest = append(parts, rest...)
		}
		line := fmt.Sprintf("%4s  %s", seat, talk.Padded(name, markedName))
		for _, cell := range rest {
			line += fmt.Sprintf(" %7s", cell)
		}
		p.Raw(strings.TrimRight(line, " ") + "\n")
	}
	row("seat", "name", []string{"fault", "checks", "safety", "time"}, "total", "%", "passed")
	for _, t := range r.Class {
		passed := talk.YesNo(t.Passed)
		if t.Remarks > 0 {
			passed += " *"
		}
		row(strconv.Itoa(t.Candidate.Number), talk.Cut(t.Candidate.Name, markedName),
			[]string{decimal(t.Points.Fault), decimal(t.Points.Checks), decimal(t.Points.Safety), decimal(t.Points.Time)},
			decimal(t.Points.Total), decimal(t.Percent), passed)
	}
	p.Blank()
	p.Para("", "Faults, the hardest for this class first:")
	for _, it := range r.Items {
		mean := "nobody named a fault"
		if it.Answer > 0 {
			mean = fmt.Sprintf("%.1f checks on the mean, expected %.1f", it.Checks, it.Expected.Checks)
		}
		p.Hang("  - ", fmt.Sprintf("%s: found by %d of %d; %s", it.Text, it.Found, it.Set, mean))
	}
	first := true
	for _, d := range r.Marked {
		for _, remark := range d.Remarks {
			if first {
				p.Blank()
				p.Para("", "* To be looked at:")
				first = false
			}
			p.Hang("  - ", fmt.Sprintf("seat %s, fault %d: %s", d.Candidate.Label(), d.Task, remark))
		}
	}
	for _, x := range r.Strange {
		p.Hang("  - ", fmt.Sprintf("%s: %s", x.File, x.Why))
	}
	p.Blank()
	if dir != "none" {
		p.Parf("", "The sheets and tables are in %s.", dir)
	}
}

type weightsOptions struct {
	json   bool
	output string
}

func newExamWeights(s streams) *cobra.Command {
	var o weightsOptions
	c := &cobra.Command{
		Use:   "weights",
		Short: "Print the usual weights of the marks, as a file to change",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return output(o.output, s, func(w io.Writer) error {
				if o.json {
					return printJSON(w, exam.Usual)
				}
				_, err := io.WriteString(w, exam.Usual.Text())
				return err
			})
		},
	}
	c.Flags().BoolVar(&o.json, "json", false, "the result in its machine form")
	c.Flags().StringVarP(&o.output, "output", "o", "", "write the result to this file")
	return c
}
