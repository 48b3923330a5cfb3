package main

import (
	"cmp"
	"context"
	crand "crypto/rand"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
)

// timeNow is the clock of the commands.
var timeNow = time.Now

// mostFaults is how many faults one candidate may have.
const mostFaults = 20

type setOptions struct {
	circuits []string
	class    string // a file
	count    int
	faults   int
	form     string
	by       string
	row      int
	minutes  float64
	title    string
	prepared bool
	dir      string
	work     int
	large    bool
	seed     uint64
	seeded   bool
	secret   secret
	json     bool
	output   string
}

func newExamSet(s streams) *cobra.Command {
	o := setOptions{}
	c := &cobra.Command{
		Use:   "set CIRCUIT...",
		Short: "Choose a fault for everybody, and make the packets and the sealed key",
		Long: `Set chooses faults of the circuits so that all candidates have as much to do, within
10 %, and no two neighbours have the same; and writes a folder: one packet for each
candidate, and the instructor's key, sealed with a passphrase. A forgotten passphrase
cannot be recovered by anybody.

--class FILE is a list in CSV, one candidate a line in the order in which they sit; a
column headed extra gives somebody extra minutes for each fault. --count N makes do
without names. The same circuits, class, seed and passphrase choose
the same faults, also for another form: give a rehearsal a seed of its own.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fmt.Errorf("name a circuit: one of %s, or a file", strings.Join(circuits.Builtin(), ", "))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			o.circuits, o.seeded = args, cmd.Flags().Changed("seed")
			return runExamSet(cmd.Context(), o, s)
		},
	}
	f := c.Flags()
	f.StringVar(&o.class, "class", "", "the class list, in CSV; - for standard input")
	f.IntVar(&o.count, "count", 0, "so many candidates without names")
	f.IntVar(&o.faults, "faults", 1, "faults for each candidate")
	f.StringVar(&o.form, "form", string(exam.Simulated),
		"simulated: the packet answers; bench: a real trainer; served: this machine answers; wiring: no faults, wires are planned")
	f.StringVar(&o.by, "by", "minutes", "what is made equal: minutes or checks")
	f.IntVar(&o.row, "row", 0,
		"so many sit side by side: whoever sits in front is a neighbour as well; 0 is one long row")
	f.Float64Var(&o.minutes, "minutes", 0, "allowed for each fault; 0 is as long as it takes")
	f.StringVar(&o.title, "title", "", "on all sheets (default: Fault-finding exam, or Wiring exam)")
	f.BoolVar(&o.prepared, "prepared-parts", false,
		"with --form bench: prepared parts lie ready, with the fault in them")
	f.StringVar(&o.dir, "dir", "", "the folder to write; exam-ID if not given")
	largeFlag(f, &o.large)
	f.IntVar(&o.work, "work-factor", exam.WorkFactor,
		"how much work a try at the passphrase is; each step doubles it")
	f.Uint64Var(&o.seed, "seed", 0,
		"the same seed with the same passphrase gives the same exam; without it, one at random")
	o.secret.flags(f)
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	outputFlag(f, &o.output, resultUsage)
	return c
}

// setting reads what the options name, and finds what is wrong with them.
func (o *setOptions) setting(ctx context.Context, s streams) (exam.Setting, error) {
	w := exam.Setting{Title: o.titled("Fault-finding exam"), Faults: o.faults, Minutes: o.minutes,
		Row: o.row, Prepared: o.prepared}
	var err error
	if w.Form, err = exam.ParseForm(o.form); err != nil {
		return w, usageError{err}
	}
	if w.By, err = parseBy(o.by); err != nil {
		return w, err
	}
	switch {
	case o.faults < 1 || o.faults > mostFaults:
		return w, usagef("--faults is a number from 1 to %d, not %d", mostFaults, o.faults)
	case o.row < 0:
		return w, usagef("--row is a number from 0 up, not %d", o.row)
	case !(o.minutes >= 0 && o.minutes <= 1e4):
		return w, usagef("--minutes is a number from 0 up, not %g", o.minutes)
	case o.work < 1 || o.work > exam.MostWork:
		return w, usagef("--work-factor is a number from 1 to %d, not %d", exam.MostWork, o.work)
	case o.prepared && w.Form != exam.Bench:
		return w, usagef("--prepared-parts goes with --form bench")
	}
	if w.Class, err = o.classOf(s); err != nil {
		return w, err
	}
	for _, name := range o.circuits {
		file, text, err := loadText(name, s)
		if err != nil {
			return w, err
		}
		if slices.ContainsFunc(w.Circuits, func(c exam.CircuitFile) bool { return c.Text == string(text) }) {
			return w, usagef("the circuit %s is named twice", name)
		}
		if _, err := readToWork(file, text, o.large, s); err != nil {
			return w, err
		}
		w.Circuits = append(w.Circuits, exam.CircuitFile{File: filepath.Base(file), Text: string(text)})
	}
	if w.Models, err = modelsOf(ctx, w.Circuits); err != nil {
		return w, err
	}
	files := make(map[string]string)
	for i, m := range w.Models {
		title := m.Panel().Circuit.Title
		if other, ok := files[title]; ok {
			return w, usagef("%s and %s are both called %q: give each circuit a title of its own, "+
				"for candidates and marks know it by that", other, w.Circuits[i].File, title)
		}
		files[title] = w.Circuits[i].File
	}
	return w, nil
}

// titled is the title of the exam, or the usual one.
func (o *setOptions) titled(usual string) string { return cmp.Or(strings.TrimSpace(o.title), usual) }

// classOf gives who sits the exam.
func (o *setOptions) classOf(s streams) ([]exam.Candidate, error) {
	switch {
	case o.class == "" && o.count == 0:
		return nil, usagef("who sits the exam? --class FILE with a list in CSV, or --count N")
	case o.class != "" && o.count != 0:
		return nil, usagef("--class and --count are two ways to say the same: give one")
	case o.class == "" && (o.count < 1 || o.count > exam.MostCandidates):
		return nil, usagef("--count is a number from 1 to %d, not %d", exam.MostCandidates, o.count)
	case o.class == "":
		return exam.Numbered(o.count), nil
	}
	text, err := readInput(o.class, s)
	if err != nil {
		return nil, fmt.Errorf("cannot read the class list: %w", err)
	}
	class, problems := exam.ReadClass(o.class, text)
	if len(problems) > 0 {
		return nil, inputError{problems}
	}
	return class, nil
}

// emptyFolder sees that the folder of an exam is not there, or empty.
func emptyFolder(dir string) error {
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return fmt.Errorf("cannot write the exam: %s is not a folder", dir)
	}
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return fmt.Errorf("cannot write the exam: the folder %s is not empty", dir)
	}
	return nil
}

func runExamSet(ctx context.Context, o setOptions, s streams) error {
	if o.form == string(exam.Wiring) {
		return o.setWiring(s)
	}
	w, err := o.setting(ctx, s)
	if err != nil {
		return err
	}
	if o.dir != "" {
		if err := emptyFolder(o.dir); err != nil {
			return err
		}
	}
	passphrase, err := o.secret.get(ctx, true, s)
	if err != nil {
		return err
	}
	if !o.seeded {
		var b [8]byte
		crand.Read(b[:])
		o.seed = binary.BigEndian.Uint64(b[:])
	}
	w.Seed = fmt.Sprintf("%020d", o.seed) // equally long for all
	w.Made = timeNow().UTC().Format(time.RFC3339)
	var result *setResult
	var doing talk.Stage
	talk.Waiting(s.err, doing.Text, func() { result, err = o.set(ctx, w, passphrase, &doing, s) })
	if err != nil {
		return err
	}
	result.Seed = strconv.FormatUint(o.seed, 10)
	return outputOf(o.output, o.json, result, s, func(p *talk.Page) { result.print(p) })
}

// set chooses the faults and writes the folder.
func (o *setOptions) set(ctx context.Context, w exam.Setting, passphrase string, doing *talk.Stage,
	s streams) (*setResult, error) {
	doing.Say("Stretching the passphrase")
	var err error
	if w.Random, err = exam.Stretch(w.Seed, passphrase, o.work); err != nil {
		return nil, err
	}
	doing.Say("Working out what each fault takes to find")
	set, err := exam.Make(w)
	if err != nil {
		return nil, err
	}
	if o.dir == "" {
		o.dir = "exam-" + set.Exam.ID
	}
	doing.Say("Sealing the key")
	return o.write(ctx, set, w.Models, passphrase, doing, s)
}
