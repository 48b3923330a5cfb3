package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// answersFile is an answer log on the disk: a log whose lines are chained, each on the
// disk before the next question is asked.
type answersFile struct {
	logFile
	m       *diagnose.Model
	chain   *exam.Chain
	sitting string
	now     func() time.Time
	spent   time.Duration // in the sessions before
}

// openAnswers opens the answer log of a sitting to go on with it, or begins a new one. A
// last line that was cut short is taken off, with a warning.
func openAnswers(name string, m *diagnose.Model, key []byte, sitting string, now func() time.Time, s streams) (*answersFile, log.Log, error) {
	fail := func(err error) (*answersFile, log.Log, error) { return nil, log.Log{}, err }
	text, err := s.files.ReadKept(name)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fail(fmt.Errorf("cannot read the answer log: %w", err))
	}
	if has := (exam.Answers{Text: text}).Sitting(); len(text) > 0 && has != sitting {
		return fail(inputError{circuits.Problems{{File: name, Pos: circuits.Pos{Line: 1, Column: 1},
			What: fmt.Sprintf("this is the answer log of another sitting, %q", has), Hint: "another folder for the answers, with --answers"}}})
	}
	history, problems := m.Book().ReadLog(name, text)
	if problems.Err() != nil {
		return fail(inputError{problems})
	}
	printProblems(s, problems)
	a := &answersFile{m: m, chain: exam.NewChain(key, sitting), sitting: sitting, now: now, spent: exam.Worked(text)}
	if line := a.chain.Follow(text[:history.Whole]).Broken; line > 0 {
		fmt.Fprintf(s.err, "deadrung: warning: the answer log %s was changed by something else at line %d, and nothing from there on will be marked: tell the instructor\n", name, line)
	}
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o600)
	if err != nil {
		return fail(fmt.Errorf("cannot write the answer log: %w", err))
	}
	a.logFile = logFile{name: name, f: f}
	if history.Whole < len(text) {
		err = f.Truncate(int64(history.Whole))
	} else if history.Open && history.Whole > 0 {
		_, err = f.Write([]byte("\n"))
	}
	if err != nil {
		f.Close()
		return fail(fmt.Errorf("cannot write the answer log: %w", err))
	}
	return a, history, nil
}

// begin writes the line that begins a session.
func (a *answersFile) begin() error {
	return a.append(func(w io.Writer) error { return a.m.Book().WriteSitting(w, a.sitting, a.now().Format(time.RFC3339)) })
}

// complain writes what the people at the panel say, and enters it.
func (a *answersFile) complain(s *training.Sitting, e log.Entry) error {
	e.At = a.now().Format(time.RFC3339)
	if err := a.append(e.AppendTo); err != nil {
		return err
	}
	return s.Told(e)
}

// append writes one line with its link.
func (a *answersFile) append(write func(io.Writer) error) error {
	var line bytes.Buffer
	if err := write(&line); err != nil {
		return err
	}
	if !json.Valid(line.Bytes()) {
		return errors.New("an answer cannot be written")
	}
	linked := a.chain.Add(line.Bytes())
	return a.logFile.append(func(w io.Writer) error {
		_, err := w.Write(linked)
		return err
	})
}

// namedIn gives the fault that a log names; empty for none.
func namedIn(history log.Log) faultmodel.ID {
	for _, a := range history.Acts {
		if a.Kind == log.StateAct {
			return a.Fault
		}
	}
	return ""
}
