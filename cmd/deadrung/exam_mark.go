package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"

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
		Long: `Mark reads the answer logs and the sealed key of an exam, and works out the marks. The
name counts as far as the checks had made it the one: a lucky guess among many is worth
little. The doubt that was cleared counts even where the name was wrong; looking at the
operation costs nothing. What each part is worth is set in a small file (--weights);
"exam weights" prints the usual one.

It writes marks.csv, class.csv, class.html and a sheet for each candidate into the
folder marks of the exam; the sheet gives the reason for every mark. Whatever is
missing, late, damaged or changed is said, and all the rest is marked. It needs the
passphrase.`,
		Args: oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.dir = args[0]
			return runExamMark(cmd.Context(), o, s)
		},
	}
	f := c.Flags()
	f.StringVar(&o.answers, "answers", "",
		"the folder of the answer logs; DIR/"+answersDir+" if not given, of a served exam DIR/"+servedDir)
	f.StringVar(&o.marks, "marks", "", "the folder for the marks; DIR/marks if not given, none for none")
	f.StringVar(&o.weights, "weights", "", "what the parts are worth, in YAML")
	o.secret.flags(f)
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	outputFlag(f, &o.output, resultUsage)
	return c
}

func runExamMark(ctx context.Context, o markOptions, s streams) error {
	scheme := exam.Usual
	if o.weights != "" {
		text, err := s.files.Read(o.weights)
		if err != nil {
			return fmt.Errorf("cannot read the weights: %w", err)
		}
		var problems circuits.Problems
		if scheme, problems = exam.ReadScheme(o.weights, text); len(problems) > 0 {
			return inputError{problems}
		}
	}
	if e, c, err := wiringExam(o.dir, s); err != nil {
		return err
	} else if e != nil {
		return o.markWiring(e, c, scheme, s)
	}
	f, key, err := openKey(ctx, o.dir, o.secret, s)
	if err != nil {
		return err
	}
	if err := f.withExtra(key); err != nil {
		return err
	}
	switch {
	case o.answers != "":
	case key.Form == exam.Served:
		o.answers = filepath.Join(o.dir, servedDir)
	default:
		o.answers = filepath.Join(o.dir, answersDir)
	}
	answers, lost, err := readAnswers(o.answers, s)
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
		if err := f.writeMarks(o.marks, result, s); err != nil {
			return err
		}
	}
	return outputSecretOf(o.output, o.json, result, s,
		func(p *talk.Page) { paper.PrintMarks(p, result, o.marks) })
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
	outputFlag(c.Flags(), &o.output, resultUsage)
	return c
}
