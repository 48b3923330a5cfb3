package main

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/pflag"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

func dropChangedFlag(f *pflag.FlagSet, drop *bool) {
	f.BoolVar(drop, "drop-changed", false, "leave out the lines of the log that do not apply any more, where the circuit file has changed")
}

// tellChanges tells how the circuit has changed since a log was begun. Lines that do not apply
// any more are an error that lists them, unless they are dropped.
func tellChanges(name string, history log.Log, drop bool, s streams) error {
	for _, c := range history.Changes {
		fmt.Fprintf(s.err, "%s: the circuit file has changed since this log was begun: %s\n", name, c)
	}
	var problems circuits.Problems
	for _, l := range history.Stale {
		problems = append(problems, circuits.Problem{File: name, Pos: circuits.Pos{Line: l.Line, Column: 1}, Source: l.Text, Warning: drop,
			What: "this does not apply any more: " + l.Why, Hint: "--drop-changed leaves such lines out"})
	}
	if problems.Err() != nil {
		return inputError{problems}
	}
	printProblems(s, problems)
	return nil
}

// changedLog is a log that is gone on with, and who is asked what becomes of it where its
// circuit has changed.
type changedLog struct {
	m    *diagnose.Model
	file *logFile
	ask  talk.Asker // nil where nobody is asked
	out  *talk.Page
	streams
}

// dropStale takes the lines out of a log that do not apply to the circuit as it is now: where
// that was said beforehand, or once the person agrees. The log is written anew without them,
// and what it was is kept beside it.
func (d changedLog) dropStale(history log.Log, drop bool) (log.Log, error) {
	if len(history.Stale) > 0 && !drop && d.ask != nil && terminal(d.in) {
		d.out.Parf("", "The circuit file has changed since %s was begun:", d.file.Name())
		for _, c := range history.Changes {
			d.out.Hang("  - ", c)
		}
		d.out.Parf("", "%s of the log %s not apply any more:", talk.Count(len(history.Stale), "line"), talk.Verb(len(history.Stale), "does", "do"))
		for _, l := range history.Stale {
			d.out.Hang(fmt.Sprintf("  line %d: ", l.Line), l.Why)
		}
		i, err := d.ask.Choose(talk.Question{Text: "Are they left out?", Choices: []talk.Choice{
			dialogue.StopChoice, {Word: "drop", Also: []string{"yes", "y"}, Text: "leave them out, and go on with the rest"}},
			Help: "The log is written anew without them. What it was is kept beside it."})
		switch {
		case err != nil:
			return history, err
		case i == 0:
			return history, errors.New("the log is left as it is: name the circuit that it is of, or another file for a new log")
		}
		drop = true
	} else if err := tellChanges(d.file.Name(), history, drop, d.streams); err != nil {
		return history, err
	}
	if len(history.Stale) == 0 || !drop {
		return history, nil
	}
	var text bytes.Buffer
	if err := d.m.Book().WriteTo(&text, history); err != nil {
		return history, err
	}
	aside, err := d.file.Renew(text.Bytes())
	if err != nil {
		return history, err
	}
	d.out.Parf("", "The log goes on without %s. What it was is in %s.", talk.Count(len(history.Stale), "line"), aside)
	history, problems := d.m.Book().ReadLog(d.file.Name(), d.file.Text())
	return history, problems.Err()
}

// withoutWrong empties the lines of a log that are to be dropped and cannot be read, and gives
// the lines that are left to drop.
func withoutWrong(text []byte, problems circuits.Problems, drop []int) ([]byte, []int) {
	wrong := func(n int) bool {
		return slices.ContainsFunc(problems, func(p circuits.Problem) bool { return !p.Warning && p.Pos.Line == n })
	}
	lines := bytes.SplitAfter(text, []byte("\n"))
	var left []int
	for _, n := range drop {
		if n >= 1 && n <= len(lines) && wrong(n) {
			lines[n-1] = []byte("\n")
			continue
		}
		left = append(left, n)
	}
	return bytes.Join(lines, nil), left
}
