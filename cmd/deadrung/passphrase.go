package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/pflag"
	"golang.org/x/term"

	"deadrung/diagnose/exam"
)

// passphraseVariable is the variable of the environment that a script may hold it in.
const passphraseVariable = "DEADRUNG_PASSPHRASE"

// secret is where the passphrase of an exam comes from: a file, the environment, or the
// keyboard without echo. It is never on the command line, where others can read it.
type secret struct{ file string }

func (k *secret) flags(f *pflag.FlagSet) {
	f.StringVar(&k.file, "passphrase-file", "", "read the passphrase from the first line of this file; else from $"+passphraseVariable+", else it is asked for")
}

// get gives the passphrase; twice has it typed again, for one that is new.
func (k secret) get(ctx context.Context, twice bool, s streams) (string, error) {
	if k.file != "" {
		text, err := os.ReadFile(k.file)
		if err != nil {
			return "", fmt.Errorf("cannot read the passphrase: %w", err)
		}
		first, _, _ := strings.Cut(string(text), "\n")
		return fitPassphrase(strings.TrimRight(first, "\r"), twice)
	}
	if word, ok := os.LookupEnv(passphraseVariable); ok {
		return fitPassphrase(word, twice)
	}
	if !terminal(s.in) {
		return "", usagef("no passphrase: --passphrase-file FILE, or the variable %s, or a terminal to ask on", passphraseVariable)
	}
	for {
		word, err := hiddenLine(ctx, "Passphrase of the exam: ", s)
		if err != nil {
			return "", err
		}
		if !twice {
			return word, nil
		}
		if err := exam.CheckPassphrase(word); err != nil {
			fmt.Fprintf(s.err, "%s\n", sentence(err.Error()))
			continue
		}
		again, err := hiddenLine(ctx, "The same again: ", s)
		if err != nil {
			return "", err
		}
		if word == again {
			return word, nil
		}
		fmt.Fprintln(s.err, "The two are not the same.")
	}
}

// fitPassphrase looks at a passphrase that was not typed.
func fitPassphrase(word string, fresh bool) (string, error) {
	if word == "" {
		return "", usagef("the passphrase is empty")
	}
	if fresh {
		if err := exam.CheckPassphrase(word); err != nil {
			return "", usageError{err}
		}
	}
	return word, nil
}

// hiddenLine reads a line that is not shown. The terminal is given back as it was,
// however it ends.
func hiddenLine(ctx context.Context, prompt string, s streams) (string, error) {
	fd := int(fileOf(s.in).Fd())
	before, err := term.GetState(fd)
	if err != nil {
		return "", err
	}
	fmt.Fprint(s.err, prompt)
	type typed struct {
		word []byte
		err  error
	}
	got := make(chan typed, 1)
	go func() {
		word, err := term.ReadPassword(fd)
		got <- typed{word, err}
	}()
	select {
	case t := <-got:
		fmt.Fprintln(s.err)
		if t.err != nil {
			return "", errors.New("no passphrase was typed")
		}
		return string(t.word), nil
	case <-ctx.Done():
		term.Restore(fd, before)
		fmt.Fprintln(s.err)
		return "", errors.New("interrupted")
	}
}
