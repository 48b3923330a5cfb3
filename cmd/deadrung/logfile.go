package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/disk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// logFile is the log of a session on disk. Every answer is on the disk before the next
// question is asked.
type logFile struct{ *disk.Journal }

// openLog opens a log to go on with it, or begins a new one. What stands in it already
// is given back. A last line that was cut short is taken off the file, with a warning.
// The error is an inputError where the file is there and wrong.
func openLog(name string, m *diagnose.Model, files *disk.Files) (*logFile, log.Log, circuits.Problems,
	error) {
	l, err := openJournal(name, "the log", disk.Public, files)
	if err != nil {
		return nil, log.Log{}, nil, err
	}
	history, problems, err := l.read(m)
	if err != nil {
		l.Close()
		return nil, log.Log{}, nil, err
	}
	return l, history, problems, nil
}

// openJournal opens a file that is added to, and says what is wrong with it.
func openJournal(name, what string, fresh fs.FileMode, files *disk.Files) (*logFile, error) {
	if err := files.Kept(name); err != nil {
		return nil, err
	}
	j, err := disk.OpenJournal(name, fresh)
	switch {
	case errors.Is(err, disk.ErrInUse):
		return nil, fmt.Errorf("%s %s is in use by another session: end that one first, "+
			"or name another file", what, name)
	case err != nil:
		return nil, fmt.Errorf("cannot write %s: %w", what, err)
	}
	return &logFile{j}, nil
}

// read reads the log, and makes its end fit to be appended to.
func (l *logFile) read(m *diagnose.Model) (log.Log, circuits.Problems, error) {
	if p := otherCircuit(l.Name(), l.Text(), m); p != nil {
		return log.Log{}, nil, inputError{circuits.Problems{*p}}
	}
	history, problems := m.Book().ReadLog(l.Name(), l.Text())
	if problems.Err() != nil {
		return history, nil, inputError{problems}
	}
	if err := l.finish(history); err != nil {
		return history, nil, err
	}
	if history.Whole == 0 {
		return history, problems, l.append(m.Book().WriteHeader)
	}
	return history, problems, nil
}

// finish takes a last line off that was cut short, or ends the last one.
func (l *logFile) finish(history log.Log) error {
	if err := l.Cut(history.Whole); err != nil {
		return fmt.Errorf("cannot take the line that was cut short off the log: %w", err)
	}
	if history.Open && history.Whole > 0 {
		return l.Append([]byte("\n"))
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
		File: name, Pos: circuits.Pos{Line: 1, Column: column}, Width: len([]rune(head.Circuit)),
		Source: string(first),
		What:   fmt.Sprintf("the log is of the circuit %q, and this is %q", head.Circuit, title),
		Hint:   "name that circuit, or another file for the log",
	}
}

// append writes lines and waits until they are on the disk.
func (l *logFile) append(write func(io.Writer) error) error {
	var lines bytes.Buffer
	if err := write(&lines); err != nil {
		return err
	}
	return l.Append(lines.Bytes())
}
