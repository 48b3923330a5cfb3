package main

import (
	"context"
	"errors"
	"fmt"
	"io"
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
	devices string
	output  string

	practice bool
	json     bool
}

func newImport(s streams) *cobra.Command {
	var o importOptions
	c := &cobra.Command{
		Use:   "import FILE",
		Short: "Make a circuit file of a from-to wire list",
		Long: `Import reads a wire list with the columns wire, from and to, in any order, from any
spreadsheet, and makes a circuit file of it: CSV in UTF-8, UTF-16 or Latin-1, or a workbook
(xlsx). Titles above the heading and rows with a remark alone are passed over. What each device is, it takes from the
letters of its designation and the numbers of its terminals (--practice prints both).
What they do not tell is asked on a terminal, or with --ask anywhere; --answer gives an
answer beforehand. What stays without an answer is marked NOT TOLD in the file and told
on standard error.

  deadrung import wires.csv -o panel.yaml
  deadrung import wires.csv --map wire=Number,from=A,to=B --answer H1.type=horn
  deadrung import wires.csv --join panel.yaml -o new.yaml
  deadrung import wires.csv --devices devices.csv -o panel.yaml

--map says which headings stand for wire, from and to: two headings joined by + are
device and terminal, and numbers count the columns of a file without headings. --join
puts the wires into a circuit file that is there, in place of its wires or rungs, and
leaves the rest of it as it is. --devices takes what the devices are from a list of them, with
the columns device and type and any keys of the circuit file, as "deadrung wirelist panel.yaml
--list devices -o devices.csv" writes it; only what it does not name is guessed.`,
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
	f.StringVar(&o.columns, "map", "",
		"the headings that stand for wire, from and to, as wire=Number,from=A,to=B")
	f.StringVar(&o.title, "title", "", "the title of the circuit; without it, the name of the file")
	f.StringArrayVar(&o.answers, "answer", nil,
		"an answer to a question, as H1.type=horn; may be given more than once")
	f.BoolVar(&o.ask, "ask", false, "ask in a pipe as well; the wire list then is a file")
	f.BoolVar(&o.plain, "plain", false, "ask with numbered lines, on a terminal as well")
	f.StringVar(&o.join, "join", "", "put the wires into this circuit file in place of its own")
	f.StringVar(&o.devices, "devices", "", "what the devices are, by this list of them: CSV or a workbook")
	outputFlag(f, &o.output, "write the circuit file here")
	f.BoolVar(&o.practice, "practice", false,
		"print what letters and terminal numbers are taken for, each with its source")
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
	printProblems(s, problems)
	if o.join != "" && o.devices != "" {
		return usagef("--join keeps the devices of its file: it goes without --devices")
	}
	if o.join != "" {
		return joinWires(o, rows, s)
	}
	told, err := readDevices(o, s)
	if err != nil {
		return err
	}
	draft, err := askDraft(ctx, o, piped, rows, told, answers, s)
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
	text, err := s.files.Read(o.file)
	if err != nil {
		return nil, fmt.Errorf("cannot read the wire list: %w", err)
	}
	return text, nil
}

// readDevices reads the list of devices, where one is named.
func readDevices(o importOptions, s streams) ([]wirelist.Told, error) {
	if o.devices == "" {
		return nil, nil
	}
	text, err := s.files.Read(o.devices)
	if err != nil {
		return nil, fmt.Errorf("cannot read the list of devices: %w", err)
	}
	told, problems := wirelist.ReadDevices(o.devices, text)
	if problems.Err() != nil {
		return nil, inputError{problems}
	}
	printProblems(s, problems)
	return told, nil
}

// joinWires puts the wires into a circuit file.
func joinWires(o importOptions, rows []wirelist.Row, s streams) error {
	file, text, err := loadText(o.join, s)
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
			fmt.Fprintf(s.err, "%s: the list has a bridge from %s to %s, and %s does not: add it there\n",
				o.file, r.From, r.To, file)
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
