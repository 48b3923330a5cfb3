package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/diagnose"
)

type nextOptions struct {
	circuit string
	log     string
	by      string
	json    bool
	drop    []int // lines of the log
	why     why
	given
	output string
}

func newNext(s streams) *cobra.Command {
	var o nextOptions
	c := &cobra.Command{
		Use:   "next CIRCUIT --log FILE",
		Short: "One turn of fault finding: what a log leaves possible, and the best next check",
		Args:  oneCircuit,
		RunE: func(_ *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runNext(o, s)
		},
	}
	c.Flags().StringVar(&o.log, "log", "", "the log of the checks made so far; - for standard input, none for an empty one")
	c.Flags().StringVar(&o.by, "by", "minutes", "what to keep small: minutes or checks")
	c.Flags().BoolVar(&o.json, "json", false, "the result in its machine form")
	c.Flags().IntSliceVar(&o.drop, "drop", nil, "leave the reading on this line of the log out; may be given more than once")
	o.why.flags(c.Flags())
	o.faultFlags(c.Flags())
	o.meterFlags(c.Flags())
	c.Flags().StringVarP(&o.output, "output", "o", "", "write the result to this file")
	return c
}

// parseBy reads the value of --by.
func parseBy(word string) (diagnose.By, error) {
	switch word {
	case "minutes":
		return diagnose.ByMinutes, nil
	case "checks":
		return diagnose.ByChecks, nil
	}
	return 0, usagef("--by is minutes or checks, not %q", word)
}

func runNext(o nextOptions, s streams) error {
	by, err := parseBy(o.by)
	if err != nil {
		return err
	}
	m, err := loadModel(o.circuit, o.given, s)
	if err != nil {
		return err
	}
	var text []byte
	switch o.log {
	case "":
	case "-":
		text, err = io.ReadAll(s.in)
	default:
		text, err = os.ReadFile(o.log)
	}
	if err != nil {
		return fmt.Errorf("cannot read the log: %w", err)
	}
	log, problems := m.ReadLog(o.log, text)
	if problems.Err() != nil {
		return inputError{problems}
	}
	printProblems(s, problems)
	if log, err = withoutLines(log, o.drop); err != nil {
		return err
	}
	var turn diagnose.Turn
	patiently(s.err, m, func() { turn = m.Turn(log, diagnose.Choosing{By: by}) })
	again := turn.Next != nil && madeBefore(m, log, turn.Next.Check)
	explanation, err := o.why.explain(m, log, turn)
	if err != nil {
		return err
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.json {
			return printJSON(out, explained{turn, explanation})
		}
		printTurn(out, m, turn, again)
		explanation.print(out, newSpeaker(m), log)
		return nil
	})
}

// statusWords tell a status to a person, where there is no more to it.
var statusWords = map[diagnose.Status]string{
	diagnose.Continue:      "not found yet",
	diagnose.GroupLeft:     "several are left that no check tells apart",
	diagnose.Contradiction: "every fault of the list disagrees with at least one reading",
	diagnose.Healthy:       "every reading is that of a good circuit",
}

// turnWords tell where a search stands.
func turnWords(t *diagnose.Turn) string {
	switch {
	case t.Status == diagnose.Found && t.Proved:
		return "found and proved"
	case t.Status == diagnose.Found && t.Next != nil:
		return "found, not proved yet"
	case t.Status == diagnose.Found:
		return "found, and no further check can prove it"
	case secondLook(t):
		return "every reading fits a good circuit, and a second look is due"
	}
	return statusWords[t.Status]
}

// printTurn prints a turn for people. Again is set where the next check was made already.
func printTurn(out io.Writer, m *diagnose.Model, t diagnose.Turn, again bool) {
	fmt.Fprintf(out, "%s: %s.\n", t.Circuit, turnWords(&t))
	speak, page := newSpeaker(m), newPage(out)
	printDoubts(page, speak, &t)
	if t.Next != nil {
		word := "Next check"
		switch {
		case t.Next.Proof:
			word = "To prove it before anything is replaced"
		case again:
			word = "Next check, made again"
		case secondLook(&t):
			word = "To look again before it is called good"
		}
		fmt.Fprintf(out, "\n%s: %s\n", word, plainCheck(m, t.Next.Check))
		for _, a := range t.Next.Outcomes {
			mark := ""
			if a.Good {
				mark = ", as a good circuit"
			}
			fmt.Fprintf(out, "  %-20s %3.0f %%, leaves %s%s\n", answerWords(t.Next.Check, a), 100*a.Probability, count(len(a.Candidates), "fault"), mark)
		}
		if n := staying(t.Next); n > 0 && !t.Next.Proof {
			fmt.Fprintf(out, "  %s %s either way\n", count(n, "fault"), verb(n, "stays", "stay"))
		}
		if again {
			fmt.Fprintf(out, "  Why: %s.\n", askedAgain)
		}
	}
	fmt.Fprintf(out, "\nStill possible: %s\n", remaining(&t))
	const most = 12
	for i, c := range t.Candidates {
		if i == most || c.Probability < 0.0005 {
			fmt.Fprintf(out, "  and %d less likely\n", len(t.Candidates)-i)
			break
		}
		fmt.Fprintf(out, "  %5.1f %%  %s\n", 100*c.Probability, c.Text)
	}
	printBeyond(page, speak, &t)
}

// plainCheck tells a check in one line.
func plainCheck(m *diagnose.Model, c diagnose.Check) string {
	switch c.Kind() {
	case diagnose.Look:
		return fmt.Sprintf("look at %s in step %q", m.Panel().Circuit.Device(c.Look).Called(), c.Step)
	case diagnose.Volts:
		return fmt.Sprintf("volts, red lead on %s, black lead on %s%s, in step %q", c.Volts[0], c.Volts[1], lowImpedance(c), c.Step)
	}
	s := fmt.Sprintf("power locked off: ohms from %s to %s, operators held as in step %q", c.Ohms[0], c.Ohms[1], c.Step)
	if len(c.Lifted) > 0 {
		var at []string
		for _, t := range c.Lifted {
			at = append(at, string(t))
		}
		s += ", wires lifted off " + strings.Join(at, ", ")
	}
	return s
}

// answerWords tells an answer to a check.
func answerWords(c diagnose.Check, a diagnose.Answered) string {
	switch {
	case a.Saw != "":
		return a.Saw
	case a.Read != "":
		return a.Read
	}
	low := diagnose.Reading{Kind: c.Kind(), Value: *a.Low, Firm: true}
	high := diagnose.Reading{Kind: c.Kind(), Value: *a.High, Firm: true}
	return figure(low) + " to " + figure(high)
}
