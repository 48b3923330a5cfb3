package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
)

// lookAgain is how often a file that is watched is looked at.
const lookAgain = 300 * time.Millisecond

// clearScreen moves to the top left of a terminal and clears it (ECMA-48, CUP and ED).
const clearScreen = "\x1b[H\x1b[2J"

// watchDrawing draws a circuit file whenever it has changed, until Ctrl-C: what is wrong with
// it is told, and drawn over once it is right again.
func watchDrawing(ctx context.Context, o drawOptions, s streams) error {
	if _, builtin := circuits.BuiltinText(o.circuit); builtin {
		return usagef("--watch is for a file of your own: %s does not change", o.circuit)
	}
	ctx, stop := talk.Interruptible(ctx)
	defer stop()
	return whenChanged(ctx, o.circuit, func() error { return drawAnew(o, s) })
}

// whenChanged does something with a file, and again whenever that has changed, until the context
// ends. A file that is missing for a while is being replaced by an editor.
func whenChanged(ctx context.Context, name string, do func() error) error {
	var last fs.FileInfo
	look := time.NewTicker(lookAgain)
	defer look.Stop()
	for {
		now, err := os.Stat(name)
		if err != nil && (last == nil || !errors.Is(err, fs.ErrNotExist)) {
			return fmt.Errorf("cannot read %s: %w", name, err)
		}
		if err == nil && (last == nil || now.ModTime() != last.ModTime() || now.Size() != last.Size()) {
			last = now
			if err := do(); err != nil {
				return err
			}
		}
		select {
		case <-look.C:
		case <-ctx.Done():
			return nil
		}
	}
}

// drawAnew draws once. Mistakes of the file are told and are no error: they are being put right.
func drawAnew(o drawOptions, s streams) error {
	if o.output == "" && terminal(s.out) {
		fmt.Fprint(s.out, clearScreen)
	}
	err := runDraw(o, s)
	var input inputError
	if errors.As(err, &input) {
		printProblems(s, input.problems)
		return nil
	}
	if err == nil && o.output != "" {
		fmt.Fprintf(s.err, "Drawn in %s. Ctrl-C ends.\n", o.output)
	}
	return err
}
