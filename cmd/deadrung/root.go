package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// Exit statuses. Other programs rely on them.
const (
	exitDone   = 0
	exitFailed = 1 // the work failed
	exitUsage  = 2 // the command line is wrong
	exitInput  = 3 // an input file is wrong
)

// streams are where a command reads and writes: results go to out, everything else
// to err.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// usageError is a mistake on the command line.
type usageError struct{ error }

// inputError is a mistake in an input file, one or more of them at their places.
type inputError struct{ problems circuits.Problems }

func (e inputError) Error() string { return e.problems.Err().Error() }

func usagef(format string, args ...any) error {
	return usageError{fmt.Errorf(format, args...)}
}

// run is the whole program: it gives the exit status. A result that could not be written
// whole is a failure, whichever command wrote it.
func run(args []string, s streams) int {
	out := &talk.Result{To: s.out}
	s.out = out
	root := newRoot(s)
	root.SetArgs(args)
	err := root.Execute()
	if err == nil {
		err = out.Err
	}
	var usage usageError
	var input inputError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &input):
		printProblems(s, input.problems)
		return exitInput
	case errors.As(err, &usage):
		fmt.Fprintf(s.err, "deadrung: %v\n", err)
		return exitUsage
	}
	fmt.Fprintf(s.err, "deadrung: %v\n", err)
	return exitFailed
}

func newRoot(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "deadrung",
		Short: "Find the bad wire, contact or coil in a relay control circuit",
		Long: `Deadrung helps people who wire, prove, repair and teach relay control circuits.
From one circuit file it knows every open, short, stuck contact and failed coil,
what each would do to every reading, and so which check splits the doubt best.

CIRCUIT is the name of a built-in circuit (see "deadrung circuits") or a path to a
circuit file.

` + talk.Caution.Plain(),
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          cobra.ArbitraryArgs, // RunE tells which command was meant
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noSuchCommand(cmd, args[0])
			}
			return cmd.Help()
		},
	}
	root.SetIn(s.in)
	root.SetOut(s.out)
	root.SetErr(s.err)
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return usagef("%s; see \"%s --help\"", flagMistake(err), cmd.CommandPath())
	})
	root.AddCommand(
		newFind(s), newNext(s), newChart(s), newPractice(s), newExam(s), newFaults(s), newReadings(s), newOperate(s), newVerify(s),
		newWire(s), newImport(s), newWirelist(s), newDraw(s), newFolder(s), newTestability(s), newCircuits(s),
	)
	root.SetHelpCommand(&cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Help about any command",
		RunE: func(_ *cobra.Command, args []string) error {
			c, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return noSuchCommand(root, strings.Join(args, " "))
			}
			return c.Help()
		},
	})
	for _, c := range root.Commands() {
		wrapArgs(c)
	}
	return root
}

// flagMistake says what is wrong with a flag. What a value must be is said here; the
// library has it in the words of the functions that read numbers.
func flagMistake(err error) string {
	var value *pflag.InvalidValueError
	if !errors.As(err, &value) {
		return err.Error()
	}
	must := map[string]string{"float64": "a number", "uint64": "a whole number from 0 up", "int": "a whole number", "intSlice": "a whole number", "bool": "true or false"}
	flag := value.GetFlag()
	return fmt.Sprintf("--%s is %s, not %q", flag.Name, must[flag.Value.Type()], value.GetValue())
}

// noSuchCommand says which command was probably meant.
func noSuchCommand(parent *cobra.Command, typed string) error {
	var names []string
	for _, c := range parent.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return usagef("there is no command %q%s", typed, circuits.Suggest(typed, names))
}

// wrapArgs makes a wrong number of arguments a mistake on the command line.
func wrapArgs(c *cobra.Command) {
	if check := c.Args; check != nil {
		c.Args = func(cmd *cobra.Command, args []string) error {
			if err := check(cmd, args); err != nil {
				return usagef("%v; the form is: %s", err, strings.TrimSuffix(cmd.UseLine(), " [flags]"))
			}
			return nil
		}
	}
	for _, sub := range c.Commands() {
		wrapArgs(sub)
	}
}

// oneCircuit asks for a circuit and nothing else.
func oneCircuit(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return errors.New("name a circuit: one of " + strings.Join(circuits.Builtin(), ", ") + ", or a file")
	}
	return oneCircuitAtMost(c, args)
}

// oneCircuitAtMost is for commands that ask for the circuit where none is named.
func oneCircuitAtMost(_ *cobra.Command, args []string) error {
	if len(args) > 1 {
		return fmt.Errorf("one circuit at a time; %q is too much", args[1])
	}
	return nil
}

// printProblems writes one line for each mistake, with the line of the file and a
// caret below it.
func printProblems(s streams, problems circuits.Problems) {
	for _, p := range problems {
		fmt.Fprintln(s.err, p.Detail())
	}
}

// loadText reads a built-in circuit or a file. A name with neither a dot nor a slash
// is first looked for among the built-in ones.
func loadText(name string) (file string, text []byte, err error) {
	if text, ok := circuits.BuiltinText(name); ok {
		return name + ".yaml", text, nil
	}
	text, err = os.ReadFile(name)
	if err == nil {
		return name, text, nil
	}
	if errors.Is(err, os.ErrNotExist) && !strings.ContainsAny(name, "./\\") {
		return name, nil, usagef("there is no built-in circuit and no file %q%s", name, circuits.Suggest(name, circuits.Builtin()))
	}
	return name, nil, fmt.Errorf("cannot read the circuit file: %w", err)
}

// load reads a circuit. Warnings go to the error stream.
func load(name string, s streams) (*work.Panel, []byte, error) {
	file, text, err := loadText(name)
	if err != nil {
		return nil, nil, err
	}
	p, err := assemble(file, text, s)
	return p, text, err
}

// assemble reads the text of a circuit. Warnings go to the error stream.
func assemble(file string, text []byte, s streams) (*work.Panel, error) {
	c, problems := read.Read(file, text)
	if problems.Err() != nil {
		return nil, inputError{problems}
	}
	printProblems(s, problems.Warnings())
	return work.Assemble(c), nil
}

// loadModel reads a circuit that must do what it says, and works through its faults.
func loadModel(name string, given given, s streams) (*diagnose.Model, error) {
	if _, err := given.faults(); err != nil {
		return nil, err
	}
	p, text, err := load(name, s)
	if err != nil {
		return nil, err
	}
	return modelOf(p, text, given)
}

// modelOf works through the faults of a panel that must do what its text says.
func modelOf(p *work.Panel, text []byte, given given) (*diagnose.Model, error) {
	o, err := given.faults()
	if err != nil {
		return nil, err
	}
	if problems := p.Verify(text); len(problems) > 0 {
		return nil, inputError{problems}
	}
	return diagnose.New(p, faultmodel.List(p, o), diagnose.Options{LowImpedance: given.lowImpedance}), nil
}

// given is what the person says of the panel and the meter.
type given struct {
	wiringErrors bool
	age          string
	lowImpedance bool
}

// faultFlags are the flags that say which faults there are and how likely.
func (g *given) faultFlags(f *pflag.FlagSet) {
	g.wiringFlag(f)
	f.StringVar(&g.age, "age", string(faultmodel.AgeUsed), "of the panel: new, used or old; it shifts how likely faults are")
}

// wiringFlag is for commands that only need to know the faults.
func (g *given) wiringFlag(f *pflag.FlagSet) {
	f.BoolVar(&g.wiringErrors, "wiring-errors", false, "think of a new build: wire ends on another terminal, wires exchanged")
}

// meterFlags are those that say what meter is at hand.
func (g *given) meterFlags(f *pflag.FlagSet) {
	f.BoolVar(&g.lowImpedance, "low-impedance", false, "the meter has a low-impedance mode: use it from a point to the grounded side")
}

// again is the circuit with the flags that a session is gone on with.
func (g given) again(circuit string) string {
	if g.wiringErrors {
		circuit += " --wiring-errors"
	}
	if g.age != "" && g.age != string(faultmodel.AgeUsed) {
		circuit += " --age " + g.age
	}
	if g.lowImpedance {
		circuit += " --low-impedance"
	}
	return circuit
}

// find is the command that looks for a fault of a circuit, with these flags.
func (g given) find(circuit string) string { return "deadrung find " + g.again(circuit) }

func (g given) faults() (faultmodel.Options, error) {
	switch age := faultmodel.Age(g.age); age {
	case "", faultmodel.AgeNew, faultmodel.AgeUsed, faultmodel.AgeOld:
		return faultmodel.Options{WiringErrors: g.wiringErrors, Age: age}, nil
	}
	return faultmodel.Options{}, usagef("--age is new, used or old, not %q", g.age)
}
