package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/disk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// logFile is the log of a session on disk. Every answer is on the disk before the next
// question is asked.
type logFile struct {
	name string
	f    *os.File
}

// openLog opens a log to go on with it, or begins a new one. What stands in it already
// is given back. A last line that was cut short is taken off the file, with a warning.
// The error is an inputError where the file is there and wrong.
func openLog(name string, m *diagnose.Model, files *disk.Files) (*logFile, log.Log, circuits.Problems, error) {
	fail := func(err error) (*logFile, log.Log, circuits.Problems, error) {
		return nil, log.Log{}, nil, err
	}
	if info, err := os.Stat(name); err == nil && !info.Mode().IsRegular() {
		return fail(fmt.Errorf("cannot write the log: %s is not an ordinary file", name))
	}
	text, err := files.ReadKept(name)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fail(fmt.Errorf("cannot read the log: %w", err))
	}
	if p := otherCircuit(name, text, m); p != nil {
		return fail(inputError{circuits.Problems{*p}})
	}
	history, problems := m.Book().ReadLog(name, text)
	if problems.Err() != nil {
		return fail(inputError{problems})
	}
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o644)
	if err != nil {
		return fail(fmt.Errorf("cannot write the log: %w", err))
	}
	l := &logFile{name: name, f: f}
	if err := l.prepare(len(text), history, m); err != nil {
		f.Close()
		return fail(err)
	}
	return l, history, problems, nil
}

// prepare makes the end of the file fit to be appended to.
func (l *logFile) prepare(size int, history log.Log, m *diagnose.Model) error {
	if history.Whole < size {
		if err := l.f.Truncate(int64(history.Whole)); err != nil {
			return fmt.Errorf("cannot take the line that was cut short off the log: %w", err)
		}
	}
	switch {
	case history.Whole == 0:
		return l.append(m.Book().WriteHeader)
	case history.Open:
		return l.append(func(w io.Writer) error {
			_, err := w.Write([]byte("\n"))
			return err
		})
	}
	return nil
}

// otherCircuit finds the name of another circuit at the head of a log.
func otherCircuit(name string, text []byte, m *diagnose.Model) *circuits.Problem {
	first, _, _ := bytes.Cut(bytes.TrimPrefix(text, []byte("\uFEFF")), []byte("\n"))
	var head struct {
		Circuit string `json:"circuit"`
	}
	title := m.Panel().Circuit.Title
	if json.Unmarshal(first, &head) != nil || head.Circuit == "" || head.Circuit == title {
		return nil
	}
	column := len([]rune(string(first[:max(0, bytes.Index(first, []byte(head.Circuit)))]))) + 1
	return &circuits.Problem{
		File: name, Pos: circuits.Pos{Line: 1, Column: column}, Width: len([]rune(head.Circuit)), Source: string(first),
		What: fmt.Sprintf("the log is of the circuit %q, and this is %q", head.Circuit, title),
		Hint: "name that circuit, or another file for the log",
	}
}

// append writes one line and waits until it is on the disk.
func (l *logFile) append(write func(io.Writer) error) error {
	var line bytes.Buffer
	if err := write(&line); err != nil {
		return err
	}
	if _, err := l.f.Write(line.Bytes()); err != nil {
		return fmt.Errorf("cannot write the log, and the last answer is not in it: %w", err)
	}
	if err := l.f.Sync(); err != nil {
		return fmt.Errorf("cannot bring the log to the disk: %w", err)
	}
	return nil
}

func (l *logFile) close() error { return l.f.Close() }
