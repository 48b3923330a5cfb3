package main

import (
	"context"
	crand "crypto/rand"
	"encoding/binary"
	"encoding/json"
	"errors"
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
	"deadrung/diagnose"
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

--class FILE is a list in CSV, one candidate a line in the order in which they sit;
--count N makes do without names. The same circuits, class, seed and passphrase choose
the same faults, also for another form: give a rehearsal a seed of its own.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fmt.Errorf("name a circuit: one of %s, or a file", strings.Join(circuits.Builtin(), ", "))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			o.circuits, o.seeded = args, cmd.Flags().Changed("seed")
			return runExamSet(o, s)
		},
	}
	f := c.Flags()
	f.StringVar(&o.class, "class", "", "the class list, in CSV; - for standard input")
	f.IntVar(&o.count, "count", 0, "so many candidates without names")
	f.IntVar(&o.faults, "faults", 1, "faults for each candidate")
	f.StringVar(&o.form, "form", string(exam.Simulated), "simulated: the packet answers; bench: a real trainer; served: this machine answers")
	f.StringVar(&o.by, "by", "minutes", "what is made equal: minutes or checks")
	f.IntVar(&o.row, "row", 0, "so many sit side by side: whoever sits in front is a neighbour as well; 0 is one long row")
	f.Float64Var(&o.minutes, "minutes", 0, "allowed for each fault; 0 is as long as it takes")
	f.StringVar(&o.title, "title", "Fault-finding exam", "on all sheets")
	f.BoolVar(&o.prepared, "prepared-parts", false, "with --form bench: prepared parts lie ready, with the fault in them")
	f.StringVar(&o.dir, "dir", "", "the folder to write; exam-ID if not given")
	f.IntVar(&o.work, "work-factor", exam.WorkFactor, "how much work a try at the passphrase is; each step doubles it")
	f.Uint64Var(&o.seed, "seed", 0, "the same seed with the same passphrase gives the same exam; without it, one at random")
	o.secret.flags(f)
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	f.StringVarP(&o.output, "output", "o", "", "write the result to this file")
	return c
}

// setResult is the machine form of what set did. It names no fault.
type setResult struct {
	Exam       string        `json:"exam"`
	Title      string        `json:"title"`
	Form       exam.Form     `json:"form"`
	Dir        string        `json:"dir"`
	Seed       string        `json:"seed"`
	Circuits   int           `json:"circuits"`
	Candidates int           `json:"candidates"`
	Faults     int           `json:"faults"`
	By         string        `json:"by"`
	Effort     effortRange   `json:"effort"`
	Fair       bool          `json:"fair"`
	Alike      [][2]int      `json:"alike"` // seats of neighbours that have a fault in common
	Pool       int           `json:"pool"`  // faults there were to choose from
	Used       int           `json:"used"`  // different ones that were chosen
	Passed     []exam.Passed `json:"passed"`
	Packets    []string      `json:"packets"`
	Largest    int           `json:"packet-bytes"` // of the largest packet
}

type effortRange struct {
	Least  float64 `json:"least"`
	Most   float64 `json:"most"`
	Spread float64 `json:"spread"`
}

// setting reads what the options name, and finds what is wrong with them.
func (o *setOptions) setting(s streams) (exam.Setting, error) {
	w := exam.Setting{Title: strings.TrimSpace(o.title), Faults: o.faults, Minutes: o.minutes, Row: o.row, Prepared: o.prepared}
	var err error
	if w.Form, err = exam.ParseForm(o.form); err != nil {
		return w, usageError{err}
	}
	if w.By, err = parseBy(o.by); err != nil {
		return w, err
	}
	switch {
	case o.class == "" && o.count == 0:
		return w, usagef("who sits the exam? --class FILE with a list in CSV, or --count N")
	case o.class != "" && o.count != 0:
		return w, usagef("--class and --count are two ways to say the same: give one")
	case o.class == "" && (o.count < 1 || o.count > exam.MostCandidates):
		return w, usagef("--count is a number from 1 to %d, not %d", exam.MostCandidates, o.count)
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
	if o.class == "" {
		w.Class = exam.Numbered(o.count)
	} else {
		text, err := readInput(o.class, s)
		if err != nil {
			return w, fmt.Errorf("cannot read the class list: %w", err)
		}
		var problems circuits.Problems
		if w.Class, problems = exam.ReadClass(o.class, text); len(problems) > 0 {
			return w, inputError{problems}
		}
	}
	for _, name := range o.circuits {
		file, text, err := loadText(name)
		if err != nil {
			return w, err
		}
		if slices.ContainsFunc(w.Circuits, func(c exam.CircuitFile) bool { return c.Text == string(text) }) {
			return w, usagef("the circuit %s is named twice", name)
		}
		w.Circuits = append(w.Circuits, exam.CircuitFile{File: filepath.Base(file), Text: string(text)})
	}
	if w.Models, err = modelsOf(w.Circuits); err != nil {
		return w, err
	}
	files := make(map[string]string)
	for i, m := range w.Models {
		title := m.Panel().Circuit.Title
		if other, ok := files[title]; ok {
			return w, usagef("%s and %s are both called %q: give each circuit a title of its own, for candidates and marks know it by that", other, w.Circuits[i].File, title)
		}
		files[title] = w.Circuits[i].File
	}
	return w, nil
}

func runExamSet(o setOptions, s streams) error {
	w, err := o.setting(s)
	if err != nil {
		return err
	}
	if o.dir != "" {
		if info, err := os.Stat(o.dir); err == nil && !info.IsDir() {
			return fmt.Errorf("cannot write the exam: %s is no folder", o.dir)
		}
		if entries, err := os.ReadDir(o.dir); err == nil && len(entries) > 0 {
			return fmt.Errorf("cannot write the exam: the folder %s is not empty", o.dir)
		}
	}
	passphrase, err := o.secret.get(true, s)
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
	talk.Waiting(s.err, doing.Text, func() { result, err = o.set(w, passphrase, &doing) })
	if err != nil {
		return err
	}
	result.Seed = strconv.FormatUint(o.seed, 10)
	return outputOf(o.output, o.json, result, s, func(p *talk.Page) { result.print(p) })
}

// set chooses the faults and writes the folder.
func (o *setOptions) set(w exam.Setting, passphrase string, doing *talk.Stage) (*setResult, error) {
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
	return o.write(set, w.Models, passphrase, doing)
}

// write writes the folder: it is there whole, or not at all.
func (o *setOptions) write(set *exam.Set, models []*diagnose.Model, passphrase string, doing *talk.Stage) (*setResult, error) {
	ctx, stop := talk.Interruptible(context.Background())
	defer stop()
	plain, err := set.Key.Marshal()
	if err != nil {
		return nil, err
	}
	sealed, err := exam.Seal(plain, passphrase, o.work)
	if err != nil {
		return nil, err
	}
	r := &setResult{Exam: set.Exam.ID, Title: set.Exam.Title, Form: set.Exam.Form, Dir: o.dir, Circuits: len(models), Candidates: len(set.Exam.Class), Faults: set.Exam.Faults,
		By: set.Exam.By, Fair: set.Choice.Fair(), Alike: [][2]int{}, Pool: len(set.Pool), Passed: set.Passed, Packets: []string{}}
	r.Effort = effortRange{exam.Tenth(slices.Min(set.Choice.Efforts)), exam.Tenth(slices.Max(set.Choice.Efforts)), set.Choice.Spread}
	for _, a := range set.Choice.Alike {
		r.Alike = append(r.Alike, [2]int{a[0] + 1, a[1] + 1})
	}
	used := make(map[int]bool)
	for _, tasks := range set.Choice.Tasks {
		for _, t := range tasks {
			used[t] = true
		}
	}
	r.Used = len(used)
	err = newExamFolder(o.dir, func(dir string) error {
		for _, name := range []string{packetsDir, answersDir} {
			if err := os.Mkdir(filepath.Join(dir, name), 0o755); err != nil {
				return err
			}
		}
		if err := saveNew(filepath.Join(dir, keyFile), []byte(sealed)); err != nil {
			return err
		}
		for i := range set.Key.Keys {
			if ctx.Err() != nil {
				return talk.ErrInterrupted
			}
			doing.Say(fmt.Sprintf("Packet %d of %d", i+1, len(set.Key.Keys)))
			k := &set.Key.Keys[i]
			p, err := exam.PacketOf(&set.Exam, k, sealed, models)
			if err != nil {
				return err
			}
			text, err := json.Marshal(p)
			if err != nil {
				return err
			}
			name := filepath.Join(packetsDir, numberedName(k.Candidate, packetEnd))
			if err := saveNew(filepath.Join(dir, name), append(text, '\n')); err != nil {
				return err
			}
			r.Largest = max(r.Largest, len(text)+1)
			r.Packets = append(r.Packets, filepath.Join(o.dir, name))
		}
		text, err := json.MarshalIndent(set.Exam, "", "  ")
		if err != nil {
			return err
		}
		return saveNew(filepath.Join(dir, examFile), append(text, '\n'))
	})
	switch {
	case errors.Is(err, talk.ErrInterrupted):
		return nil, errors.New("interrupted; nothing was written")
	case err != nil:
		return nil, fmt.Errorf("cannot write the exam: %w", err)
	}
	return r, nil
}

// largePacket is a packet that is worth a word, in bytes.
const largePacket = 10e6

// print tells what was set, and what to do next.
func (r *setResult) print(out *talk.Page) {
	unit := "min"
	if r.By == "checks" {
		unit = "checks"
	}
	out.Parf("", "%s: %s, %s each, %s.", r.Title, talk.Count(r.Candidates, "candidate"), talk.Count(r.Faults, "fault"), r.Form)
	out.Parf("", "Expected for each candidate: %.1f to %.1f %s; they lie %.1f %% apart.", r.Effort.Least, r.Effort.Most, unit, 100*r.Effort.Spread)
	switch {
	case r.Effort.Spread > exam.Tolerance+1e-9:
		out.Parf("", "NOT EQUAL within %.0f %%: the %s to choose from do not come nearer. More faults for each candidate, another circuit, or --by %s may.",
			100*exam.Tolerance, talk.Count(r.Pool, "fault"), map[string]string{"minutes": "checks", "checks": "minutes"}[r.By])
	default:
		out.Parf("", "That is equal within %.0f %%. Of %s that may be set, %d were.", 100*exam.Tolerance, talk.Count(r.Pool, "fault"), r.Used)
	}
	if len(r.Alike) > 0 {
		var pairs []string
		for _, a := range r.Alike {
			pairs = append(pairs, fmt.Sprintf("%d and %d", a[0], a[1]))
		}
		out.Parf("", "NEIGHBOURS ALIKE: seats %s have a fault in common; there are too few faults that are equally hard.", strings.Join(pairs, ", "))
	} else if r.Candidates > 1 {
		out.Para("", "No two neighbours have a fault in common.")
	}
	if len(r.Passed) > 0 {
		out.Para("", "Left out:")
		for _, p := range r.Passed {
			of := ""
			if r.Circuits > 1 {
				of = " of " + p.Circuit
			}
			out.Hang("  - ", fmt.Sprintf("%s%s: %s", talk.Count(p.Faults, "fault"), of, p.Why))
		}
	}
	out.Blank()
	out.Parf("", "The folder is %s. Hand out %s; keep %s and the rest.", r.Dir, packetsDir, keyFile)
	if r.Largest > largePacket {
		out.Parf("", "The packets are large, %d MB each: every reading of the panel is in them. --form served or bench makes small ones.", r.Largest/1e6)
	}
	out.Para("", "The passphrase opens the key. Nobody can recover a forgotten one: write it down where no candidate comes.")
	if r.Form == exam.Bench {
		out.Parf("", "How the faults are put into the trainers: deadrung exam cards %s", r.Dir)
	}
	if r.Form == exam.Served {
		out.Parf("", "While the exam is sat: deadrung exam serve %s", r.Dir)
	}
	if r.Form == exam.Served {
		out.Parf("", "Afterwards: deadrung exam mark %s", r.Dir)
		return
	}
	out.Parf("", "Afterwards put the answer logs into %s, and: deadrung exam mark %s", filepath.Join(r.Dir, answersDir), r.Dir)
}

// askSetting asks for all that an exam is set with.
func askSetting(ask talk.Asker, out *talk.Page) (setOptions, error) {
	o := setOptions{faults: 1, form: string(exam.Simulated), by: "minutes", title: "Fault-finding exam", work: exam.WorkFactor}
	for {
		name, err := chooseCircuit(ask)
		if err != nil {
			return o, err
		}
		if _, _, err := loadText(name); err != nil {
			out.Para("  ", talk.Sentence(err.Error()))
			continue
		}
		o.circuits = append(o.circuits, name)
		i, err := ask.Choose(talk.Question{Text: "One more circuit?", Choices: []talk.Choice{{Word: "no", Text: "no more circuits"}, {Word: "yes", Text: "one more"}},
			Help: "With several circuits each candidate gets each as often, if the number of faults allows it."})
		if err != nil {
			return o, err
		}
		if i == 0 {
			break
		}
	}
	i, err := ask.Choose(talk.Question{Text: "How is the exam sat?", Choices: []talk.Choice{
		{Word: "simulated", Text: "simulated: the packet answers the checks"},
		{Word: "bench", Text: "bench: readings come from a real trainer"},
		{Word: "served", Text: "served: the instructor's machine answers"}},
		Help: "A simulated packet can be sat anywhere; a programmer who has it can work the fault out of its readings. On a bench and with the instructor's machine nobody can."})
	if err != nil {
		return o, err
	}
	o.form = string(exam.Forms[i])
	for o.class == "" && o.count == 0 {
		typed, _, err := ask.Line(talk.Question{Text: "How many candidates, or the path of the class list in CSV:", Typed: "type a number or a path",
			Help: "A list has one candidate a line, in the order in which they sit."})
		if err != nil {
			return o, err
		}
		n, notNumber := strconv.Atoi(typed)
		_, missing := os.Stat(typed)
		switch {
		case notNumber == nil && n >= 1 && n <= exam.MostCandidates:
			o.count = n
		case notNumber == nil:
			out.Parf("  ", "A class has 1 to %d candidates, not %d.", exam.MostCandidates, n)
		case missing != nil:
			out.Parf("  ", "%q is no number, and no file is there.", talk.Shortened(typed))
		default:
			o.class = typed
		}
	}
	for {
		typed, _, err := ask.Line(talk.Question{Text: "How many faults for each candidate:", Typed: "type a number", Help: "Two or more even out how hard they are."})
		if err != nil {
			return o, err
		}
		if n, err := strconv.Atoi(typed); err == nil && n >= 1 && n <= mostFaults {
			o.faults = n
			return o, nil
		}
		out.Parf("  ", "A number from 1 to %d, not %q.", mostFaults, talk.Shortened(typed))
	}
}
