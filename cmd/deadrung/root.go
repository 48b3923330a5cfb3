package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/talk"
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
	files    *disk.Files // that the command reads and writes
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
	s.out, s.files = out, new(disk.Files)
	root := newRoot(s)
	root.SetArgs(args)
	err := root.Execute()
	if err == nil {
		err = out.Err
	}
	var usage usageError
	var input inputError
	var clash *disk.Clash
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &input):
		printProblems(s, input.problems)
		return exitInput
	case errors.As(err, &clash):
		fmt.Fprintf(s.err, "deadrung: %v\n", clash)
		return exitUsage
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
		PersistentPreRunE: func(cmd *cobra.Command, _ []string) error { return claimOutputs(cmd, s) },
	}
	root.SetIn(s.in)
	root.SetOut(s.out)
	root.SetErr(s.err)
	root.Version = version()
	root.SetVersionTemplate("deadrung {{.Version}}\n")
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return usagef("%s; see \"%s --help\"", flagMistake(err), cmd.CommandPath())
	})
	root.AddCommand(
		newFind(s), newNext(s), newChart(s), newPractice(s), newExam(s), newFaults(s), newReadings(s),
		newOperate(s),
		newVerify(s), newWire(s), newImport(s), newWirelist(s), newDraw(s), newFolder(s), newPage(s),
		newTestability(s),
		newMeasure(s), newCircuits(s), newManual(s),
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
	addExamples(root)
	addCompletion(root)
	return root
}

// flagMistake says what is wrong with a flag. What a value must be is said here; the
// library has it in the words of the functions that read numbers.
func flagMistake(err error) string {
	var value *pflag.InvalidValueError
	if !errors.As(err, &value) {
		return err.Error()
	}
	must := map[string]string{"float64": "a number", "uint64": "a whole number from 0 up",
		"int": "a whole number", "intSlice": "a whole number", "bool": "true or false"}
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
