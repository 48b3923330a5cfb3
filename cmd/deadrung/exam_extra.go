package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
)

// extraFile is who was given extra time after the exam was set.
const extraFile = "extra.csv"

func newExamExtra(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "extra DIR [CANDIDATE MINUTES]",
		Short: "Give a candidate extra time, also while the exam runs",
		Long: `Extra gives a candidate, by the number of the seat, so many minutes more for each fault:
"exam extra DIR 7 10". It adds to what the class list gave when the exam was set, and
replaces what was given so before; 0 takes it back. A running "exam serve" goes by it at
once, and so does the marking. Without a candidate it lists who has extra time.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 && len(args) != 3 {
				return fmt.Errorf("name the folder of the exam, and a candidate's number with the minutes")
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return runExamExtra(args, s) },
	}
}

func runExamExtra(args []string, s streams) error {
	dir := args[0]
	text, err := s.files.Read(filepath.Join(dir, examFile))
	if err != nil {
		return fmt.Errorf("cannot read the exam: %w", err)
	}
	var e exam.Exam
	if err := json.Unmarshal(text, &e); err != nil || e.Version != exam.Version {
		return fmt.Errorf("cannot read the exam: %s is damaged", filepath.Join(dir, examFile))
	}
	extra, err := readExtra(dir)
	if err != nil {
		return err
	}
	if len(args) == 3 {
		number, err := strconv.Atoi(args[1])
		if err != nil || !slices.ContainsFunc(e.Class, func(c exam.Candidate) bool { return c.Number == number }) {
			return usagef("%q is not the number of a candidate; the numbers run from 1 to %d", args[1], len(e.Class))
		}
		if extra[number], err = exam.ParseExtra(args[2]); err != nil {
			return usagef("%v: %s", err, exam.ExtraForm)
		}
		err = s.files.WritePrivate(filepath.Join(dir, extraFile),
			func(w io.Writer) error { return exam.WriteExtra(w, extra) })
		if err != nil {
			return saved(err, "the extra time")
		}
	}
	nobody := true
	for _, c := range e.Class {
		if x := c.Extra + extra[c.Number]; x > 0 {
			nobody = false
			fmt.Fprintf(s.out, "%s: %s more for each fault.\n", c.Label(), talk.Span(x))
		}
	}
	if nobody {
		fmt.Fprintln(s.out, "Nobody has extra time.")
	}
	if e.Minutes == 0 {
		fmt.Fprintln(s.out, "The time of this exam is not limited.")
	}
	return nil
}

// readExtra reads who was given extra time; nobody where there is no such file.
func readExtra(dir string) (map[int]float64, error) {
	path := filepath.Join(dir, extraFile)
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return map[int]float64{}, nil
	}
	if err != nil {
		return nil, fmt.Errorf("cannot read the extra time: %w", err)
	}
	extra, problems := exam.ReadExtra(path, bytes.NewReader(text))
	if problems.Err() != nil {
		return nil, inputError{problems}
	}
	return extra, nil
}

// withExtra adds what was given after the exam was set to what the key has.
func (f *examFolder) withExtra(key *exam.Key) error {
	extra, err := readExtra(f.dir)
	for i := range key.Keys {
		key.Keys[i].Extra += extra[key.Keys[i].Number]
	}
	return err
}

// extraNow gives the extra time of candidates as the file has it at the moment.
type extraNow struct {
	dir    string
	key    *exam.Key // with what the class list gives
	failed func(error)

	mu    sync.Mutex
	read  time.Time // when the file was changed that was read
	extra map[int]float64
}

// of gives the minutes of a candidate. A file that cannot be read changes nothing.
func (x *extraNow) of(candidate int) float64 {
	x.mu.Lock()
	defer x.mu.Unlock()
	var changed time.Time
	if info, err := os.Stat(filepath.Join(x.dir, extraFile)); err == nil {
		changed = info.ModTime()
	}
	if x.extra == nil || !changed.Equal(x.read) {
		x.read = changed
		if extra, err := readExtra(x.dir); err == nil {
			x.extra = extra
		} else {
			x.failed(err)
		}
	}
	minutes := x.extra[candidate]
	if k := x.key.Of(candidate); k != nil {
		minutes += k.Extra
	}
	return minutes
}
