package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// mostProblems is how many mistakes of a file are told: a screen of them.
const mostProblems = 20

// printProblems writes one line for each mistake, with the line of the file and a
// caret below it. What is more than a screen is counted.
func printProblems(s streams, problems circuits.Problems) {
	for i, p := range problems {
		if i == mostProblems && len(problems) > mostProblems+1 {
			fmt.Fprintf(s.err, "%s: and %d more\n", p.File, len(problems)-i)
			return
		}
		fmt.Fprintln(s.err, p.Detail())
	}
}

// loadText reads a built-in circuit or a file. A name with neither a dot nor a slash
// is first looked for among the built-in ones.
func loadText(name string, s streams) (file string, text []byte, err error) {
	return loadBy(name, s.files.Read)
}

// loadRenewed is as loadText for a file that the command is told to write over.
func loadRenewed(name string, s streams) (file string, text []byte, err error) {
	if err := s.files.Claim("the circuit file", name); err != nil {
		return name, nil, err
	}
	return loadBy(name, s.files.ReadKept)
}

func loadBy(name string, reading func(string) ([]byte, error)) (file string, text []byte, err error) {
	if text, ok := circuits.BuiltinText(name); ok {
		return name + ".yaml", text, nil
	}
	text, err = reading(name)
	if err == nil {
		return name, text, nil
	}
	if errors.Is(err, fs.ErrNotExist) && !strings.ContainsAny(name, "./\\") {
		return name, nil, usagef("there is no built-in circuit and no file %q%s", name, circuits.Suggest(name, circuits.Builtin()))
	}
	return name, nil, fmt.Errorf("cannot read the circuit file: %w", err)
}

// load reads a circuit. Warnings go to the error stream.
func load(name string, s streams) (*work.Panel, []byte, error) {
	file, text, err := loadText(name, s)
	if err != nil {
		return nil, nil, err
	}
	p, err := assemble(file, text, s)
	return p, text, err
}

// loadToWork reads a circuit whose faults are worked through. One that is too big for that, unless
// any size will do, is told at once.
func loadToWork(name string, large bool, s streams) (*work.Panel, []byte, error) {
	file, text, err := loadText(name, s)
	if err != nil {
		return nil, nil, err
	}
	c, err := readToWork(file, text, large, s)
	if err != nil {
		return nil, nil, err
	}
	return work.Assemble(c), text, nil
}

// readToWork reads the text of a circuit whose faults are worked through, as loadToWork does.
func readToWork(file string, text []byte, large bool, s streams) (*circuits.Circuit, error) {
	c, err := readCircuit(file, text, s)
	if err != nil {
		return nil, err
	}
	if size := diagnose.SizeOf(c); size.TooBig() && !large {
		return nil, errors.New(talk.TooBig(file, size))
	}
	return c, nil
}

// readCircuit reads the text of a circuit. Warnings go to the error stream.
func readCircuit(file string, text []byte, s streams) (*circuits.Circuit, error) {
	c, problems := read.Read(file, text)
	if problems.Err() != nil {
		return nil, inputError{problems}
	}
	printProblems(s, problems.Warnings())
	return c, nil
}

// assemble reads the text of a circuit. Warnings go to the error stream.
func assemble(file string, text []byte, s streams) (*work.Panel, error) {
	c, err := readCircuit(file, text, s)
	if err != nil {
		return nil, err
	}
	return work.Assemble(c), nil
}

// loadModel reads a circuit that must do what it says, and works through its faults.
func loadModel(ctx context.Context, name string, given given, s streams) (*diagnose.Model, error) {
	m, _, err := loadModelText(ctx, name, given, s)
	return m, err
}

// loadModelText is loadModel, with the text of the circuit.
func loadModelText(ctx context.Context, name string, given given, s streams) (*diagnose.Model, []byte, error) {
	if _, err := given.faults(); err != nil {
		return nil, nil, err
	}
	p, text, err := loadToWork(name, given.large, s)
	if err != nil {
		return nil, nil, err
	}
	m, err := modelOf(ctx, p, text, given, s)
	return m, text, err
}

// modelOf works through the faults of a panel that must do what its text says. On a terminal
// a wait of over half a second shows how far that is. Ctrl-C ends it.
func modelOf(ctx context.Context, p *work.Panel, text []byte, given given, s streams) (*diagnose.Model, error) {
	o, err := given.faults()
	if err != nil {
		return nil, err
	}
	if problems := p.Verify(text); len(problems) > 0 {
		return nil, inputError{problems}
	}
	rules, err := given.rulesFor(p.Circuit, s)
	if err != nil {
		return nil, err
	}
	ctx, stop := talk.Interruptible(ctx)
	defer stop()
	var far diagnose.Progress
	var m *diagnose.Model
	faults := faultmodel.List(p, o)
	talk.Waiting(s.err, func() string {
		return fmt.Sprintf("Working through %s: %.0f %%", talk.Count(len(faults), "possible fault"), 100*far.Share())
	}, func() {
		m, err = diagnose.New(ctx, p, faults, diagnose.Options{LowImpedance: given.lowImpedance, Rules: rules, Progress: &far})
	})
	if ctx.Err() != nil {
		return nil, talk.ErrInterrupted
	}
	return m, err
}
