package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/pflag"
	"golang.org/x/term"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
)

// passphraseVariable is the variable of the environment that a script may hold it in.
const passphraseVariable = "DEADRUNG_PASSPHRASE"

// secret is where the passphrase of an exam comes from: a file, the environment, or the
// keyboard without echo. It is never on the command line, where others can read it.
type secret struct{ file string }

func (k *secret) flags(f *pflag.FlagSet) {
	f.StringVar(&k.file, "passphrase-file", "",
		"read the passphrase from the first line of this file; else from $"+passphraseVariable+
			", else it is asked for")
}

// get gives the passphrase; twice has it typed again, for one that is new.
func (k secret) get(ctx context.Context, twice bool, s streams) (string, error) {
	if k.file != "" {
		text, err := s.files.Read(k.file)
		if err != nil {
			return "", fmt.Errorf("cannot read the passphrase: %w", err)
		}
		if p := circuits.UTF16(k.file, text); p != nil {
			return "", inputError{circuits.Problems{*p}}
		}
		first, _, _ := strings.Cut(strings.TrimPrefix(string(text), circuits.ByteOrderMark), "\n")
		return fitPassphrase(strings.TrimRight(first, "\r"), twice)
	}
	if word, ok := os.LookupEnv(passphraseVariable); ok {
		return fitPassphrase(word, twice)
	}
	if !terminal(s.in) {
		return "", usagef("no passphrase: --passphrase-file FILE, or the variable %s, "+
			"or a terminal to ask on", passphraseVariable)
	}
	ctx, stop := talk.Interruptible(ctx)
	defer stop()
	h, err := hideTyping(s)
	if err != nil {
		return "", err
	}
	defer h.end()
	prompt := "Passphrase of the exam: "
	if twice {
		prompt = "Passphrase of the exam (Enter alone: one is made for you): "
	}
	for {
		word, err := h.line(ctx, prompt)
		if err != nil || !twice {
			return word, err
		}
		if word == "" {
			offered, err := exam.Offer(rand.Reader)
			if err != nil {
				return "", err
			}
			h.say("Write this down where no candidate comes, and type it: " + offered)
			continue
		}
		if err := exam.CheckPassphrase(word); err != nil {
			h.say(talk.Sentence(err.Error()))
			continue
		}
		again, err := h.line(ctx, "The same again: ")
		if err != nil {
			return "", err
		}
		if word == again {
			return word, nil
		}
		h.say("The two are not the same.")
	}
}

// fitPassphrase looks at a passphrase that was not typed.
func fitPassphrase(word string, fresh bool) (string, error) {
	if word == "" {
		return "", usagef("the passphrase is empty")
	}
	if fresh {
		if err := exam.CheckPassphrase(word); err != nil {
			offered, none := exam.Offer(rand.Reader)
			if none != nil {
				return "", usageError{err}
			}
			return "", usagef("%w; one that is made up just now: %s", err, offered)
		}
	}
	return word, nil
}

// hidden is a terminal on which what is typed is not shown.
type hidden struct {
	fd     int
	before *term.State
	t      *term.Terminal
	to     io.Writer
}

// hideTyping stops the terminal's echo before anything is asked. Whoever calls it ends it.
func hideTyping(s streams) (*hidden, error) {
	fd := int(talk.FileOf(s.in).Fd())
	before, err := term.MakeRaw(fd)
	if err != nil {
		return nil, fmt.Errorf("cannot ask for the passphrase: %w", err)
	}
	return &hidden{fd, before, term.NewTerminal(struct {
		io.Reader
		io.Writer
	}{s.in, s.err}, ""), s.err}, nil
}

// end gives the terminal back as it was.
func (h *hidden) end() { term.Restore(h.fd, h.before) }

func (h *hidden) say(text string) { fmt.Fprintf(h.t, "%s\n", text) }

// line reads one line.
func (h *hidden) line(ctx context.Context, prompt string) (string, error) {
	type typed struct {
		word string
		err  error
	}
	got := make(chan typed, 1)
	go func() {
		word, err := h.t.ReadPassword(prompt)
		got <- typed{word, err}
	}()
	select {
	case t := <-got:
		if t.err != nil { // Ctrl-C, Ctrl-D; the library would show now what was typed
			fmt.Fprint(h.to, "\r\n")
			return "", errors.New("no passphrase was typed")
		}
		return t.word, nil
	case <-ctx.Done():
		return "", errors.New("interrupted; no passphrase was typed")
	}
}
