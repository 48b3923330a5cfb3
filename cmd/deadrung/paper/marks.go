package paper

import (
	"encoding/csv"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
)

// MarkTable writes one line for each candidate and fault.
func MarkTable(w io.Writer, r *exam.Result) error {
	c := csv.NewWriter(w)
	c.Write([]string{"seat", "name", "id", "task", "circuit", "fault", "state", "named", "right",
		"checks", "premature", "redundant", "irrelevant", "unsafe",
		"minutes", "panel minutes", "late minutes", "marks fault", "marks checks", "marks safety",
		"marks time", "marks total", "of", "chain", "receipt", "file", "remarks",
		"groups possible when named", "share of their weight named", "near", "looks",
		"doubt cleared", "why"})
	for _, d := range r.Marked {
		c.Write([]string{strconv.Itoa(d.Candidate.Number), harmless(d.Candidate.Name),
			harmless(d.Candidate.ID), strconv.Itoa(d.Task), harmless(d.Circuit), string(d.Fault),
			string(d.State), string(d.Stated),
			talk.YesNo(d.Right), strconv.Itoa(len(d.Checks)), strconv.Itoa(d.Premature),
			strconv.Itoa(d.Redundant), strconv.Itoa(d.Irrelevant), strconv.Itoa(len(d.Unsafe)),
			decimal(d.Clock), decimal(d.Panel), decimal(d.Late), decimal(d.Points.Fault),
			decimal(d.Points.Checks), decimal(d.Points.Safety), decimal(d.Points.Time),
			decimal(d.Points.Total),
			decimal(r.Scheme.All()), d.Chain, d.Receipt, baseName(d.File),
			harmless(strings.Join(d.Remarks, "; ")), strconv.Itoa(d.Possible),
			fmt.Sprintf("%.2f", d.Share), d.Near.String(), strconv.Itoa(d.Looks),
			fmt.Sprintf("%.2f", d.Cleared), harmless(whyOf(d))})
	}
	c.Flush()
	return c.Error()
}

// whyOf gives the reasons of all marks in a line.
func whyOf(d exam.Marked) string {
	var parts []string
	for _, r := range d.Reasons {
		parts = append(parts, r.Part+": "+r.Why)
	}
	return strings.Join(parts, ". ")
}

// ClassTable writes one line for each candidate.
func ClassTable(w io.Writer, r *exam.Result) error {
	c := csv.NewWriter(w)
	c.Write([]string{"seat", "name", "id", "found", "of", "marks fault", "marks checks", "marks safety",
		"marks time", "marks total", "percent", "passed", "without a fault named", "remarks"})
	for _, t := range r.Class {
		c.Write([]string{strconv.Itoa(t.Candidate.Number), harmless(t.Candidate.Name),
			harmless(t.Candidate.ID), strconv.Itoa(t.Found), strconv.Itoa(t.Of),
			decimal(t.Points.Fault), decimal(t.Points.Checks), decimal(t.Points.Safety),
			decimal(t.Points.Time), decimal(t.Points.Total), decimal(t.Percent), talk.YesNo(t.Passed),
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

// PrintMarks tells the class's marks, and all that an instructor should look at.
func PrintMarks(p *talk.Page, r *exam.Result, dir string) {
	p.Parf("", "%s: %s, %s.", r.Title, talk.Count(len(r.Class), "candidate"),
		talk.Count(len(r.Marked), "fault"))
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
			[]string{decimal(t.Points.Fault), decimal(t.Points.Checks), decimal(t.Points.Safety),
				decimal(t.Points.Time)},
			decimal(t.Points.Total), decimal(t.Percent), passed)
	}
	p.Blank()
	p.Para("", "Faults, the hardest for this class first:")
	printItems(p, r.Items)
	p.Para("", "Kinds of fault:")
	printItems(p, r.Kinds)
	p.Parf("", "Few: at most %d were there, and the figure says little.", exam.FewThere)
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

// printItems tells how the class did at faults or kinds of fault.
func printItems(p *talk.Page, items []exam.Item) {
	for _, it := range items {
		text := fmt.Sprintf("%s: found by %d of %d", it.Text, it.Found, it.There())
		if it.Absent > 0 {
			text += fmt.Sprintf(", %d absent", it.Absent)
		}
		if it.There() > 0 {
			text += fmt.Sprintf("; difficulty %s, discrimination %s", figureOf(it), discriminationOf(it))
		}
		if it.Answer > 0 {
			text += fmt.Sprintf("; %.1f checks on the mean, expected %.1f", it.Checks, it.Expected.Checks)
		} else {
			text += "; nobody named a fault"
		}
		p.Hang("  - ", text)
	}
}
