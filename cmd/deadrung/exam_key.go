package main

import (
	"context"
	"fmt"
	"io"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
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
		RunE: func(cmd *cobra.Command, args []string) error {
			o.dir = args[0]
			return runExamKey(cmd.Context(), o, s)
		},
	}
	f := c.Flags()
	f.BoolVar(&o.html, "html", false, "as a sheet to print, in HTML")
	o.secret.flags(f)
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	outputFlag(f, &o.output, resultUsage)
	return c
}

func runExamKey(ctx context.Context, o keyOptions, s streams) error {
	if o.html && o.json {
		return usagef("--html and --json are two forms: give one")
	}
	f, key, err := openKey(ctx, o.dir, o.secret, s)
	if err != nil {
		return err
	}
	var rows []paper.KeyRow
	talk.Waiting(s.err, new(talk.Stage).Text, func() { rows, err = f.keyRows(key) })
	if err != nil {
		return err
	}
	seed := strings.TrimLeft(key.Seed, "0")
	if seed == "" {
		seed = "0"
	}
	if o.html {
		return outputSecret(o.output, s, func(w io.Writer) error {
			return paper.ExamSheet(w, key.Title+": the key",
				fmt.Sprintf("For the instructor alone. Exam %s, seed %s, set %s", key.Exam, seed, key.Made),
				paper.CautionParagraphs, paper.KeyBody, rows)
		})
	}
	return outputSecretOf(o.output, o.json, rows, s, func(p *talk.Page) {
		p.Notice(talk.Caution)
		p.Parf("", "%s: the key. For the instructor alone. Exam %s, seed %s.", key.Title, key.Exam, seed)
		for _, r := range rows {
			p.Hang(fmt.Sprintf("%3d  ", r.Candidate.Number),
				fmt.Sprintf("%s, fault %d, %s: %s (%s); expected %.1f checks, %s", r.Candidate.Name, r.Task,
					r.Circuit, r.Text, r.Fault,
					r.Expected.Checks, talk.Span(r.Expected.Minutes)))
		}
	})
}

func (f *examFolder) keyRows(key *exam.Key) ([]paper.KeyRow, error) {
	by, err := parseBy(key.By)
	if err != nil {
		return nil, err
	}
	var rows []paper.KeyRow
	for c, m := range f.models {
		needed, err := exam.NeededAfterComplaint(m, by)
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
				rows = append(rows, paper.KeyRow{Candidate: k.Candidate, Task: i + 1,
					Circuit: m.Panel().Circuit.Title, Fault: t.Fault, Text: m.Faults()[fault].Text,
					Where: m.Faults()[fault].Where,
					Expected: exam.Expected{Checks: exam.Tenth(needed[fault].Checks),
						Minutes: exam.Tenth(needed[fault].Minutes)}})
			}
		}
	}
	sort.SliceStable(rows, func(i, k int) bool {
		a, b := rows[i], rows[k]
		return a.Candidate.Number < b.Candidate.Number ||
			a.Candidate.Number == b.Candidate.Number && a.Task < b.Task
	})
	return rows, nil
}
