package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/faultmodel"
)

// The files of an exam's folder.
const (
	examFile   = "exam.json" // what everybody may know
	keyFile    = "key.age"   // the instructor's key, sealed
	packetsDir = "packets"   // one file for each candidate
	answersDir = "answers"   // where the answer logs are put for marking
	packetEnd  = ".packet"
)

// examFolder is an exam as it lies on the disk.
type examFolder struct {
	dir      string
	exam     *exam.Exam
	sealed   string
	models   []*diagnose.Model
	warnings []string
}

// openExam reads an exam's folder. What is lost of it is taken from the packets, which
// carry all but the class list, and of a bench or a served exam the key.
func openExam(ctx context.Context, dir string, s streams) (*examFolder, error) {
	f := &examFolder{dir: dir}
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return nil, fmt.Errorf("cannot read the exam: %s is not the folder of one", dir)
	}
	if err := f.claimed(s); err != nil {
		return nil, err
	}
	text, err := s.files.Read(filepath.Join(dir, examFile))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		f.warn("%s is missing from the folder; the exam is taken from its packets", examFile)
	case err != nil:
		return nil, fmt.Errorf("cannot read the exam: %w", err)
	default:
		var e exam.Exam
		if err := json.Unmarshal(text, &e); err != nil || e.Version != exam.Version || len(e.Circuits) == 0 {
			f.warn("%s is damaged; the exam is taken from its packets", examFile)
		} else {
			f.exam = &e
		}
	}
	if f.exam != nil && f.exam.Form == exam.Wiring {
		return nil, fmt.Errorf("%s is an exam in wiring, which hides no fault and has no key; \"deadrung exam mark %s\" marks it", dir, dir)
	}
	text, err = s.files.Read(filepath.Join(dir, keyFile))
	if err == nil {
		f.sealed = string(text)
	} else {
		f.warn("%s is missing from the folder; the key is taken from a packet", keyFile)
	}
	if f.exam == nil || f.sealed == "" {
		if err := f.fromPackets(s); err != nil {
			return nil, err
		}
	}
	for _, w := range f.warnings {
		fmt.Fprintf(s.err, "deadrung: warning: %s\n", w)
	}
	f.models, err = modelsOf(ctx, f.exam.Circuits)
	return f, err
}

// claimed sees that no output is one of the files that an exam consists of, whether they are
// read just now or not.
func (f *examFolder) claimed(s streams) error {
	for _, name := range []string{examFile, keyFile, extraFile} {
		if err := s.files.Input(filepath.Join(f.dir, name)); err != nil {
			return err
		}
	}
	for _, dir := range []string{packetsDir, answersDir, servedDir} {
		entries, _ := os.ReadDir(filepath.Join(f.dir, dir)) // what cannot be read is told where it is
		for _, e := range entries {
			if err := s.files.Input(filepath.Join(f.dir, dir, e.Name())); err != nil {
				return err
			}
		}
	}
	return nil
}

func (f *examFolder) warn(format string, args ...any) {
	f.warnings = append(f.warnings, fmt.Sprintf(format, args...))
}

// fromPackets takes from a packet what the folder lacks.
func (f *examFolder) fromPackets(s streams) error {
	names, _ := filepath.Glob(filepath.Join(f.dir, packetsDir, "*"+packetEnd))
	for _, name := range names {
		p, err := readPacket(name, s)
		if err != nil {
			continue
		}
		if f.exam == nil {
			f.exam = &exam.Exam{Version: exam.Version, ID: p.Exam, Title: p.Title, Form: p.Form,
				Minutes: p.Minutes, Circuits: p.Circuits, Server: p.Server}
		}
		if f.sealed == "" {
			f.sealed = p.Sealed
		}
		if f.sealed == "" {
			return fmt.Errorf("the exam in %s cannot be read: %s is missing, and the packets of a %s exam "+
				"have no copy of it", f.dir, keyFile, p.Form)
		}
		return nil
	}
	return fmt.Errorf("the exam in %s cannot be read: it has neither %s with %s nor a whole packet",
		f.dir, examFile, keyFile)
}

// open opens the key.
func (f *examFolder) open(passphrase string) (*exam.Key, error) {
	plain, err := exam.Open(f.sealed, passphrase)
	if errors.Is(err, exam.ErrPassphrase) {
		return nil, err
	}
	if err != nil {
		return nil, inputError{circuits.Problems{{File: filepath.Join(f.dir, keyFile), Pos: circuits.Pos{Line: 1, Column: 1},
			What: err.Error(), Hint: "a copy of the file; without any, the packets of an exam that answers by itself have one"}}}
	}
	k, err := exam.ParseKey(plain)
	if err != nil {
		return nil, err
	}
	if k.Exam != f.exam.ID {
		return nil, fmt.Errorf("the key is of the exam %s, and the folder of %s", k.Exam, f.exam.ID)
	}
	if !bytes.Equal(k.Sum, exam.SumOf(f.exam.Circuits)) {
		return nil, fmt.Errorf("the circuit files in %s are not those that the exam was set with: "+
			"somebody has changed them", f.dir)
	}
	return k, nil
}

// readPacket reads a candidate's packet.
func readPacket(name string, s streams) (*exam.Packet, error) {
	text, err := s.files.Read(name)
	if err != nil {
		return nil, fmt.Errorf("cannot read the packet: %w", err)
	}
	if p := circuits.UTF16(name, text); p != nil {
		return nil, inputError{circuits.Problems{*p}}
	}
	p, err := exam.ParsePacket(bytes.TrimPrefix(text, []byte(circuits.ByteOrderMark)))
	if err != nil {
		return nil, inputError{circuits.Problems{{File: name, Pos: circuits.Pos{Line: 1, Column: 1},
			What: err.Error(),
			Hint: "a file from the folder " + packetsDir + " of an exam"}}}
	}
	return p, nil
}

// modelsOf makes the models of an exam's circuits. Ctrl-C ends it.
func modelsOf(ctx context.Context, files []exam.CircuitFile) ([]*diagnose.Model, error) {
	ctx, stop := talk.Interruptible(ctx)
	defer stop()
	var models []*diagnose.Model
	for _, file := range files {
		c, problems := read.Read(file.File, []byte(file.Text))
		if problems.Err() != nil {
			return nil, inputError{problems}
		}
		p := work.Assemble(c)
		if problems := p.Verify([]byte(file.Text)); len(problems) > 0 {
			return nil, inputError{problems}
		}
		m, err := diagnose.New(ctx, p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
		if ctx.Err() != nil {
			return nil, talk.ErrInterrupted
		}
		if err != nil {
			return nil, err
		}
		models = append(models, m)
	}
	return models, nil
}

// fileName makes a name that every file system takes.
func fileName(name string) string {
	name = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			return unicode.ToLower(r)
		}
		return '-'
	}, name)
	parts := slices.DeleteFunc(strings.Split(name, "-"), func(p string) bool { return p == "" })
	if r := []rune(strings.Join(parts, "-")); len(r) > 40 {
		return string(r[:40])
	}
	return strings.Join(parts, "-")
}

// numberedName is a file's name with the candidate's number before it, so that a folder
// shows them in the order in which they sit.
func numberedName(c exam.Candidate, end string) string {
	return fmt.Sprintf("%03d-%s%s", c.Number, fileName(c.Name), end)
}

// answersName is the file of a candidate's answer log.
func answersName(examID string, candidate, task int) string {
	return fmt.Sprintf("%s-%03d-%d.jsonl", examID, candidate, task)
}

// newExamFolder makes a folder that is whole once it is there: it is filled under another
// name beside its own. One that is there already must be empty, and gets the file that says
// it is an exam last. An error leaves nothing behind.
func newExamFolder(dir string, fill func(dir string) error) error {
	dir = filepath.Clean(dir)
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		return err
	}
	made, err := os.MkdirTemp(filepath.Dir(dir), ".exam-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(made)
	if err := errors.Join(os.Chmod(made, 0o700), fill(made)); err != nil {
		return err
	}
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		return os.Rename(made, dir)
	}
	for _, name := range []string{packetsDir, answersDir, keyFile, examFile} {
		err := os.Rename(filepath.Join(made, name), filepath.Join(dir, name))
		if err != nil && !(name == keyFile && errors.Is(err, fs.ErrNotExist)) { // an exam in wiring has none
			return err
		}
	}
	return nil
}
