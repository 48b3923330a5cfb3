package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/disk"
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
func openAnswers(name string, m *diagnose.Model, key []byte, sitting string, now func() time.Time,
	s streams) (*answersFile, log.Log, error) {
	l, err := openJournal(name, "the answer log", disk.Private, s.files)
	if err != nil {
		return nil, log.Log{}, err
	}
	a := &answersFile{logFile: *l, m: m, chain: exam.NewChain(key, sitting), sitting: sitting, now: now}
	history, err := a.read(s)
	if err != nil {
		l.Close()
		return nil, log.Log{}, err
	}
	return a, history, nil
}

// read reads the log, and makes its end fit to be appended to.
func (a *answersFile) read(s streams) (log.Log, error) {
	name, text := a.Name(), a.Text()
	if has := (exam.Answers{Text: text}).Sitting(); !nothingWhole(text) && has != a.sitting {
		return log.Log{}, inputError{circuits.Problems{{File: name, Pos: circuits.Pos{Line: 1, Column: 1},
			What: fmt.Sprintf("this is the answer log of another sitting, %q", has),
			Hint: "another folder for the answers, with --answers"}}}
	}
	history, problems := a.m.Book().ReadLog(name, text)
	if problems.Err() != nil {
		return log.Log{}, inputError{problems}
	}
	printProblems(s, problems)
	a.spent = exam.Worked(text)
	if line := a.chain.Follow(text[:history.Whole]).Broken; line > 0 {
		fmt.Fprintf(s.err, "deadrung: warning: the answer log %s was changed by something else at line "+
			"%d, and nothing from there on will be marked: tell the instructor\n", name, line)
	}
	return history, a.finish(history)
}

// nothingWhole tells whether not even the first line of a log was written to its end.
func nothingWhole(text []byte) bool {
	text = bytes.TrimRight(text, "\x00")
	return !bytes.Contains(text, []byte("\n")) && !json.Valid(text)
}

// beginning writes the line that begins a session.
func (a *answersFile) beginning(w io.Writer) error {
	return a.m.Book().WriteSitting(w, a.sitting, a.now().Format(time.RFC3339))
}

// moveAnswers makes another folder ready for the answer logs of a packet, and gives the name of
// a task's log there. The logs of the other tasks are copied, so that the sitting goes on from
// there.
func moveAnswers(p *exam.Packet, task int, from, to string) (string, error) {
	if err := os.MkdirAll(to, 0o700); err != nil {
		return "", err
	}
	for i := range p.Tasks {
		name := answersName(p.Exam, p.Candidate.Number, i+1)
		text, err := os.ReadFile(filepath.Join(from, name))
		if i == task || errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err == nil {
			err = disk.PutNew(filepath.Join(to, name), text, disk.Private)
		}
		if err != nil && !errors.Is(err, os.ErrExist) {
			return "", err
		}
	}
	return filepath.Join(to, answersName(p.Exam, p.Candidate.Number, task+1)), nil
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
	before := *a.chain
	err := a.Append(a.chain.Add(line.Bytes()))
	if err != nil {
		*a.chain = before // the line is made again
	}
	return err
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
