package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
)

type wireOptions struct {
	circuit string
	keep    string // an older wired file
	output  string
	afresh  bool
	json    bool
}

func newWire(s streams) *cobra.Command {
	var o wireOptions
	c := &cobra.Command{
		Use:   "wire CIRCUIT",
		Short: "Work out the wires of a circuit that is drawn as rungs",
		Long: `Work out wire numbers, contacts and terminal-to-terminal wires of a circuit file that
has rungs, and write it as a circuit file with wires.

Labels on a built panel stay: with --keep OLD the numbers, contacts and wires of an
older result are kept as far as they still fit, and what changed is told. Writing over
an older result with -o keeps it by itself, unless --afresh says otherwise.`,
		Args: oneCircuit,
		RunE: func(_ *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runWire(o, s)
		},
	}
	f := c.Flags()
	f.StringVarP(&o.output, "output", "o", "", "write the result to this file; numbers of the one that is there are kept")
	f.StringVar(&o.keep, "keep", "", "keep the numbers, contacts and wires of this older circuit file")
	f.BoolVar(&o.afresh, "afresh", false, "keep nothing of the file that -o writes over")
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	return c
}

// wiredNumber is a wire number in the machine form of the result.
type wiredNumber struct {
	Number string     `json:"number"`
	Runs   [][]string `json:"runs"`
	// Status is kept or new beside an older circuit, and else left out.
	Status string `json:"status,omitempty"`
}

// wiredContact is a contact that was chosen by its kind.
type wiredContact struct {
	Rung    int    `json:"rung"` // counted without the feeds; 0 in a feed
	Line    int    `json:"line"`
	Written string `json:"written"`
	Contact string `json:"contact"`
}

// wired is the machine form of the result.
type wired struct {
	Circuit  string         `json:"circuit"`
	Numbers  []wiredNumber  `json:"numbers"`
	Contacts []wiredContact `json:"contacts"`
	Spare    []string       `json:"spare"`
	Changes  *rewiring      `json:"changes,omitempty"`
}

// rewiring is what is different from an older circuit.
type rewiring struct {
	New     []string     `json:"new"`  // wire numbers
	Gone    []string     `json:"gone"` // wire numbers
	Add     [][2]string  `json:"add"`  // wires
	Take    [][2]string  `json:"take"` // wires
	Relabel []relabelled `json:"relabel"`
}

// relabelled is a wire that stays where it is and gets another number.
type relabelled struct {
	Wire [2]string `json:"wire"`
	Was  string    `json:"was"`
	Is   string    `json:"is"`
}

func runWire(o wireOptions, s streams) error {
	if o.afresh && o.keep != "" {
		return usagef("--afresh keeps nothing, --keep %s does; give one of them", o.keep)
	}
	file, text, err := loadText(o.circuit)
	if err != nil {
		return err
	}
	if sameFile(o.circuit, o.output) {
		return usagef("-o %s would write over the rungs; name another file", o.output)
	}
	old, err := olderCircuit(o, s)
	if err != nil {
		return err
	}
	c, problems := read.ReadKeeping(file, text, old)
	if problems.Err() != nil {
		return inputError{problems}
	}
	printProblems(s, problems.Warnings())
	if problems := work.Assemble(c).Verify(text); len(problems) > 0 {
		return inputError{problems}
	}
	if c.Rungs == nil {
		fmt.Fprintf(s.err, "%s has no rungs; its wires are as they are written\n", file)
	}
	w := wiredForm(c)
	if old != nil {
		w.compare(old)
		w.Changes.tell(s.err)
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.json {
			return printJSON(out, w)
		}
		_, err := out.Write(read.Wired(text, c))
		return err
	})
}

// olderCircuit reads the circuit whose numbers are kept: that of --keep, or what -o is
// about to write over. It is nil where there is none.
func olderCircuit(o wireOptions, s streams) (*circuits.Circuit, error) {
	name := o.keep
	if name == "" {
		if o.afresh || o.json || o.output == "" || o.output == "-" {
			return nil, nil
		}
		info, err := os.Stat(o.output)
		if errors.Is(err, os.ErrNotExist) || err == nil && !info.Mode().IsRegular() {
			return nil, nil
		}
		name = o.output
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("cannot read the circuit whose numbers are kept: %w", err)
	}
	old, problems := read.Read(name, text)
	if problems.Err() != nil {
		if o.keep == "" {
			fmt.Fprintf(s.err, "%s is there already, and its wires cannot be kept; --afresh writes over it\n", name)
		}
		return nil, inputError{problems}
	}
	return old, nil
}

// wiredForm gives the machine form of the wires of a circuit.
func wiredForm(c *circuits.Circuit) *wired {
	w := &wired{Circuit: c.Title, Numbers: []wiredNumber{}, Contacts: []wiredContact{}, Spare: c.Spare()}
	if w.Spare == nil {
		w.Spare = []string{}
	}
	for i := range c.Numbers {
		n := wiredNumber{Number: c.Numbers[i].Name, Runs: [][]string{}}
		for _, run := range c.Numbers[i].Runs() {
			var names []string
			for _, t := range run {
				names = append(names, string(t))
			}
			n.Runs = append(n.Runs, names)
		}
		w.Numbers = append(w.Numbers, n)
	}
	for _, ch := range c.Choices() {
		w.Contacts = append(w.Contacts, wiredContact{Rung: ch.Rung, Line: ch.At.Line, Written: ch.Written, Contact: ch.Contact})
	}
	return w
}

// compare notes what is different from an older circuit.
func (w *wired) compare(old *circuits.Circuit) {
	ch := &rewiring{New: []string{}, Gone: []string{}, Add: [][2]string{}, Take: [][2]string{}, Relabel: []relabelled{}}
	w.Changes = ch
	key := func(a, b string) [2]string { return [2]string{min(a, b), max(a, b)} }
	had, has := make(map[[2]string]string), make(map[[2]string]bool)
	numbers := make(map[string]bool)
	for _, n := range old.Numbers {
		numbers[n.Name] = true
		for _, x := range n.Wires {
			had[key(string(x.From), string(x.To))] = n.Name
		}
	}
	for i := range w.Numbers {
		n := &w.Numbers[i]
		n.Status = "kept"
		if !numbers[n.Number] {
			n.Status = "new"
			ch.New = append(ch.New, n.Number)
		}
		for _, run := range n.Runs {
			for k := 1; k < len(run); k++ {
				x := key(run[k-1], run[k])
				was, there := had[x]
				has[x] = there
				switch {
				case !there:
					ch.Add = append(ch.Add, [2]string{run[k-1], run[k]})
				case was != n.Number:
					ch.Relabel = append(ch.Relabel, relabelled{[2]string{run[k-1], run[k]}, was, n.Number})
				}
			}
		}
	}
	for _, n := range old.Numbers {
		if !slices.ContainsFunc(w.Numbers, func(x wiredNumber) bool { return x.Number == n.Name }) {
			ch.Gone = append(ch.Gone, n.Name)
		}
		for _, x := range n.Wires {
			if !has[key(string(x.From), string(x.To))] {
				ch.Take = append(ch.Take, [2]string{string(x.From), string(x.To)})
			}
		}
	}
}

// tell says to whoever rewires the panel what to do.
func (ch *rewiring) tell(to io.Writer) {
	p := talk.NewPage(to)
	if len(ch.New)+len(ch.Gone)+len(ch.Add)+len(ch.Take)+len(ch.Relabel) == 0 {
		p.Para("", "Nothing changes in the panel: all numbers and wires are kept.")
		return
	}
	p.Para("", "What changes in the panel. Lock out, tag out and prove it dead before a wire is moved.")
	for _, w := range ch.Take {
		p.Hang("  take out  ", w[0]+" to "+w[1])
	}
	for _, w := range ch.Add {
		p.Hang("  put in    ", w[0]+" to "+w[1])
	}
	for _, w := range ch.Relabel {
		p.Hang("  relabel   ", fmt.Sprintf("%s to %s: wire %s is now %s", w.Wire[0], w.Wire[1], w.Was, w.Is))
	}
	if len(ch.New) > 0 {
		p.Hang("  new wire numbers: ", strings.Join(ch.New, ", "))
	}
	if len(ch.Gone) > 0 {
		p.Hang("  wire numbers no longer used: ", strings.Join(ch.Gone, ", "))
	}
}
