package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/paper"
	"deadrung/diagnose/exam"
)

// readAnswers reads every file of a folder that may be an answer log. One that cannot be
// read is named, and stops nothing.
func readAnswers(dir string, s streams) (answers []exam.Answers, lost []exam.Strange, err error) {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, []exam.Strange{{File: dir, Why: "the folder of the answers is not there"}}, nil
	case err != nil:
		return nil, nil, fmt.Errorf("cannot read the answers: %w", err)
	case !info.IsDir():
		return nil, nil, fmt.Errorf("cannot read the answers: %s is not a folder", dir)
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
		text, err := s.files.Read(name)
		if errors.As(err, new(*disk.Clash)) {
			return err
		}
		if err != nil {
			lost = append(lost, exam.Strange{File: name, Why: "it cannot be read: " + err.Error()})
			return nil
		}
		a := exam.Answers{File: name, Text: text}
		if record, err := os.ReadFile(strings.TrimSuffix(name, ".jsonl") + askedEnd); err == nil {
			a.Record = record
		}
		answers = append(answers, a)
		return nil
	})
	sort.Slice(answers, func(i, k int) bool { return answers[i].File < answers[k].File })
	return answers, lost, err
}

// writeMarks writes the tables and the sheets.
func (f *examFolder) writeMarks(dir string, r *exam.Result, s streams) error {
	names := []string{"marks.csv", "class.csv", "class.html"}
	for _, t := range r.Class {
		names = append(names, numberedName(t.Candidate, ".html"))
	}
	for _, name := range names {
		if err := s.files.Claim("--marks", filepath.Join(dir, name)); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("cannot write the marks: %w", err)
	}
	save := func(name string, write func(io.Writer) error) error {
		return saved(s.files.WritePrivate(filepath.Join(dir, name), write), "the marks")
	}
	if err := save("marks.csv", func(w io.Writer) error { return paper.MarkTable(w, r) }); err != nil {
		return err
	}
	if err := save("class.csv", func(w io.Writer) error { return paper.ClassTable(w, r) }); err != nil {
		return err
	}
	if err := save("class.html", func(w io.Writer) error { return paper.ClassSheet(w, r) }); err != nil {
		return err
	}
	for _, t := range r.Class {
		if err := save(numberedName(t.Candidate, ".html"),
			func(w io.Writer) error { return paper.CandidateSheet(w, f.models, r, t) }); err != nil {
			return err
		}
	}
	return nil
}
