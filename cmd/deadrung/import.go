package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/talk"
)

type importOptions struct {
	file    string
	columns string
	title   string
	answers []string
	ask     bool
	plain   bool
	join    string
	output  string

	practice bool
	json     bool
}

func newImport(s streams) *cobra.Command {
	var o importOptions
	c := &cobra.Command{
		Use:   "import FILE.csv",
		Short: "Make a circuit file of a from-to wire list",
		Long: `Import reads a wire list with the columns wire, from and to, in any order, from any
spreadsheet, and makes a circuit file of it. What each device is, it takes from the
letters of its designation and the numbers of its terminals (--practice prints both).
What they do not tell is asked on a terminal, or with --ask anywhere; --answer gives an
answer beforehand. What stays without an answer is marked NOT TOLD in the file and told
on standard error.

  deadrung import wires.csv -o panel.yaml
  deadrung import wires.csv --map wire=Number,from=A,to=B --answer H1.type=horn
  deadrung import wires.csv --join panel.yaml -o new.yaml

--map says which headings stand for wire, from and to: two headings joined by + are
device and terminal, and numbers count the columns of a file without headings. --join
puts the wires into a circuit file that is there, in place of its wires or rungs, and
leaves the rest of it as it is.`,
		Args: func(_ *cobra.Command, args []string) error {
			switch {
			case o.practice && len(args) == 0:
				return nil
			case o.practice:
				return fmt.Errorf("--practice takes no wire list; %q is too much", args[0])
			}
			switch len(args) {
			case 0:
				return errors.New("name the wire list; - is standard input")
			case 1:
				return nil
			}
			return fmt.Errorf("one wire list at a time; %q is too much", args[1])
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case o.practice:
				return output(o.output, s, func(out io.Writer) error { return printPractice(out, o.json) })
			case o.json:
				return usagef("--json goes with --practice; the result of import is a circuit file")
			}
			o.file = args[0]
			ctx, stop := talk.Interruptible(cmd.Context())
			defer stop()
			return runImport(ctx, o, s)
		},
	}
	f := c.Flags()
	f.StringVar(&o.columns, "map", "", "the headings that stand for wire, from and to, as wire=Number,from=A,to=B")
	f.StringVar(&o.title, "title", "", "the title of the circuit; without it, the name of the file")
	f.StringArrayVar(&o.answers, "answer", nil, "an answer to a question, as H1.type=horn; may be given more than once")
	f.BoolVar(&o.ask, "ask", false, "ask in a pipe as well; the wire list then is a file")
	f.BoolVar(&o.plain, "plain", false, "ask with numbered lines, on a terminal as well")
	f.StringVar(&o.join, "join", "", "put the wires into this circuit file in place of its own")
	f.StringVarP(&o.output, "output", "o", "", "write the circuit file here")
	f.BoolVar(&o.practice, "practice", false, "print what letters and terminal numbers are taken for, each with its source")
	f.BoolVar(&o.json, "json", false, "with --practice: in its machine form")
	return c
}

func runImport(ctx context.Context, o importOptions, s streams) error {
	headings, err := wirelist.ParseHeadings(o.columns)
	if err != nil {
		return usagef("--map: %w", err)
	}
	answers := make(map[string]string)
	for _, a := range o.answers {
		id, answer, ok := strings.Cut(a, "=")
		if !ok {
			return usagef("--answer is of the form H1.type=horn, not %q", a)
		}
		answers[strings.TrimSpace(id)] = answer
	}
	text, err := readList(o, s)
	if err != nil {
		return err
	}
	title := o.title
	if title == "" {
		title = strings.TrimSuffix(filepath.Base(o.file), filepath.Ext(o.file))
	}
	piped := o.file == "-"
	if piped {
		o.file = "standard input"
		if o.title == "" {
			title = "Imported circuit"
		}
	}
	rows, problems := wirelist.ReadCSV(o.file, text, headings)
	if problems.Err() != nil {
		return inputError{problems}
	}
	if o.join != "" {
		return joinWires(o, rows, s)
	}
	draft, err := askDraft(ctx, o, piped, rows, answers, s)
	if err != nil {
		return err
	}
	for id := range answers {
		if !slices.ContainsFunc(draft.Questions, func(q wirelist.Question) bool { return q.ID == id }) {
			return usagef("nothing asks for %q%s", id, circuits.Suggest(id, questionIDs(draft)))
		}
	}
	var file strings.Builder
	if err := draft.Write(&file, title); err != nil {
		return err
	}
	if err := output(o.output, s, func(out io.Writer) error {
		_, err := io.WriteString(out, file.String())
		return err
	}); err != nil {
		return err
	}
	tellDraft(o, draft, s)
	return rereads(o, []byte(file.String()), s)
}

// readList reads the wire list.
func readList(o importOptions, s streams) ([]byte, error) {
	if o.file == "-" {
		if o.ask {
			return nil, usagef("--ask takes the answers from standard input, so the wire list is a file")
		}
		text, err := io.ReadAll(s.in)
		if err != nil {
			return nil, fmt.Errorf("cannot read the wire list: %w", err)
		}
		return text, nil
	}
	text, err := os.ReadFile(o.file)
	if err != nil {
		return nil, fmt.Errorf("cannot read the wire list: %w", err)
	}
	return text, nil
}

// joinWires puts the wires into a circuit file.
func joinWires(o importOptions, rows []wirelist.Row, s streams) error {
	file, text, err := loadText(o.join)
	if err != nil {
		return err
	}
	joined, err := wirelist.JoinTo(file, text, rows)
	if err != nil {
		return err
	}
	if err := output(o.output, s, func(out io.Writer) error {
		_, err := out.Write(joined)
		return err
	}); err != nil {
		return err
	}
	if c, _ := read.Read(o.join, joined); c != nil {
		for _, r := range wirelist.OtherBridges(rows, c) {
			fmt.Fprintf(s.err, "%s: the list has a bridge from %s to %s, and %s does not: add it there\n", o.file, r.From, r.To, file)
		}
	}
	return rereads(o, joined, s)
}

// rereads tells what the reader of circuit files says of what was written. It is written
// in any case, to be put right there.
func rereads(o importOptions, text []byte, s streams) error {
	name := o.output
	if name == "" || name == "-" {
		name = "standard output"
	}
	_, problems := read.Read(name, text)
	printProblems(s, problems)
	if problems.Err() != nil {
		return errors.New("the circuit file is written, and what stands above is still to be put right in it")
	}
	return nil
}

func questionIDs(d wirelist.Draft) []string {
	var ids []string
	for _, q := range d.Questions {
		ids = append(ids, q.ID)
	}
	return ids
}

// tellDraft says what was made, and what nothing told.
func tellDraft(o importOptions, d wirelist.Draft, s streams) {
	out := talk.NewPage(s.err)
	wires := 0
	for _, r := range d.Rows {
		if !r.Bridge {
			wires++
		}
	}
	var open []wirelist.Question
	for _, q := range d.Questions {
		if !q.Answered {
			open = append(open, q)
		}
	}
	out.Parf("", "%s: %s, %s.", o.file, talk.Count(len(d.Devices), "device"), talk.Count(wires, "wire"))
	if len(open) == 0 {
		return
	}
	out.Para("", "The list does not tell what is below. It is marked NOT TOLD in the file: look it over there, or give --answer ID=ANSWER.")
	for _, q := range open {
		taken := "nothing is taken"
		if q.Taken != "" {
			taken = "taken as " + q.Taken
		}
		if len(q.Choices) > 1 {
			taken += " (of " + strings.Join(q.Choices, ", ") + ")"
		}
		out.Hang("  "+q.ID+"  ", taken)
	}
}

// askDraft asks what the list does not tell, where there is someone to ask, until nothing
// is left. Each answer may raise further questions.
func askDraft(ctx context.Context, o importOptions, piped bool, rows []wirelist.Row, answers map[string]string, s streams) (wirelist.Draft, error) {
	guess := func() (wirelist.Draft, error) { return wirelist.Guess(o.file, slices.Clone(rows), answers) }
	if o.output == "" || o.output == "-" {
		s.out = s.err // the circuit file goes to standard output
	}
	asking := o.ask || !piped && terminal(s.in) && terminal(s.out)
	var ask talk.Asker
	var out *talk.Page
	if asking {
		out = talk.NewPage(s.out)
		ask = newAsker(ctx, o.plain, s, out)
	}
	for {
		draft, err := guess()
		var wrong *wirelist.AnswerError
		var problems circuits.Problems
		switch {
		case errors.As(err, &wrong):
			if _, given := answers[wrong.ID]; given {
				return draft, usagef("--answer %w", wrong)
			}
			p := draft.Where(wrong.ID)
			p.File, p.What = o.file, wrong.Err.Error()
			return draft, inputError{circuits.Problems{p}}
		case errors.As(err, &problems):
			return draft, inputError{problems}
		case err != nil:
			return draft, err
		}
		if !asking {
			return draft, nil
		}
		i := slices.IndexFunc(draft.Questions, func(q wirelist.Question) bool { _, done := answers[q.ID]; return !done })
		if i < 0 {
			return draft, nil
		}
		answer, err := askOne(ask, draft.Questions[i])
		switch {
		case errors.Is(err, io.EOF):
			asking = false
			out.Para("", "End of the input: what is not answered is taken as it looks.")
			continue
		case errors.Is(err, talk.ErrInterrupted):
			return draft, interrupted(answers)
		case err != nil:
			return draft, err
		}
		answers[draft.Questions[i].ID] = answer
		if _, err := guess(); errors.As(err, &wrong) {
			out.Para("  ", talk.Sentence(wrong.Err.Error()))
			delete(answers, draft.Questions[i].ID)
		}
	}
}

// interrupted gives back the answers, for the next try.
func interrupted(answers map[string]string) error {
	text := "interrupted; no circuit file was written"
	for i, id := range slices.Sorted(maps.Keys(answers)) {
		if i == 0 {
			text += "; answered so far:"
		}
		text += fmt.Sprintf(" --answer %s=%s", id, answers[id])
	}
	return errors.New(text)
}

// askOne puts one question.
func askOne(ask talk.Asker, q wirelist.Question) (string, error) {
	if len(q.Choices) > 0 {
		question := talk.Question{Text: q.Text, Help: "The wire list does not tell it. Take what stands on the device or on its drawing."}
		for _, c := range q.Choices {
			question.Choices = append(question.Choices, talk.Choice{Word: c, Text: strings.ReplaceAll(c, "-", " ")})
		}
		i, err := ask.Choose(question)
		if err != nil {
			return "", err
		}
		return q.Choices[i], nil
	}
	text := talk.Question{Text: q.Text, Typed: "type the answer", Help: "The wire list does not tell it. Take what stands on the device or on its drawing."}
	if q.Taken != "" {
		text.Choices = []talk.Choice{{Word: "taken", Text: "take " + q.Taken}}
	}
	typed, taken, err := ask.Line(text)
	if err != nil || taken < 0 {
		return typed, err
	}
	return q.Taken, nil
}

// printPractice prints the tables that devices are told by.
func printPractice(out io.Writer, asJSON bool) error {
	if asJSON {
		return printJSON(out, struct {
			Letters   []wirelist.Letters  `json:"letters"`
			Numbering []wirelist.Practice `json:"numbering"`
		}{wirelist.Designations(), wirelist.Numbering})
	}
	p := talk.NewPage(out)
	for _, l := range wirelist.Designations() {
		p.Hang("  "+talk.Padded(l.Letters, 6)+strings.Join(l.Types, ", ")+"  ", "("+l.Source+")")
	}
	p.Blank()
	for _, n := range wirelist.Numbering {
		p.Hang("  ", n.What+" ("+n.Source+")")
	}
	return nil
}
