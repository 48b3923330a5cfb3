package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/training"
)

// scoreBook is the file of scores: what was practised before, and where the next score
// goes.
type scoreBook struct {
	path   string // empty where none is kept
	scores []training.Score
}

// dataDir is where the person's own data lie, by the habit of the system.
func dataDir() (string, error) {
	if dir := os.Getenv("XDG_DATA_HOME"); dir != "" {
		return dir, nil
	}
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		return os.UserConfigDir()
	}
	home, err := os.UserHomeDir()
	return filepath.Join(home, ".local", "share"), err
}

// openScores reads the scores so far. Without --scores a file that is not there yet, or
// a data directory that is none, is no failure.
func openScores(o practiceOptions, s streams) (*scoreBook, error) {
	b := &scoreBook{path: o.scores}
	switch b.path {
	case "none":
		b.path = ""
		return b, nil
	case "":
		dir, err := dataDir()
		if err != nil {
			return &scoreBook{}, nil
		}
		b.path = filepath.Join(dir, "deadrung", "practice.jsonl")
		if err := s.files.Claim("the scores", b.path); err != nil {
			return nil, err
		}
	}
	var err error
	if b.scores, err = readScores(b.path, s.files.ReadKept, s); err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	return b, nil
}

// readScores reads a file of scores. Warnings go to the error stream.
func readScores(path string, reading func(string) ([]byte, error), s streams) ([]training.Score, error) {
	text, err := reading(path)
	if err != nil {
		return nil, fmt.Errorf("cannot read the scores: %w", err)
	}
	scores, problems := training.ReadScores(path, text)
	if problems.Err() != nil {
		return nil, inputError{problems}
	}
	printProblems(s, problems)
	return scores, nil
}

// keep appends a score. A failure is told and no more: the practice itself is done.
func (b *scoreBook) keep(score training.Score, s streams) {
	b.scores = append(b.scores, score)
	if b.path == "" {
		return
	}
	if err := appendScore(b.path, score); err != nil {
		fmt.Fprintf(s.err, "deadrung: the score is not kept: %v\n", err)
	}
}

func appendScore(path string, score training.Score) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	j, err := disk.OpenJournal(path, disk.Public)
	for i := 0; i < 20 && errors.Is(err, disk.ErrInUse); i++ { // another practice that ends just now
		time.Sleep(50 * time.Millisecond)
		j, err = disk.OpenJournal(path, disk.Public)
	}
	if err != nil {
		return err
	}
	defer j.Close()
	whole, open := training.WholeScores(j.Text())
	if err := j.Cut(whole); err != nil {
		return err
	}
	var lines bytes.Buffer
	if open {
		lines.WriteByte('\n')
	}
	if err := score.AppendTo(&lines); err != nil {
		return err
	}
	return j.Append(lines.Bytes())
}

// showHistory shows the scores so far: as bars, in their machine form, as a picture.
func showHistory(o practiceOptions, s streams) error {
	b, err := openScores(o, s)
	if err != nil {
		return err
	}
	if o.picture != "" {
		if err := s.files.Write(o.picture,
			func(w io.Writer) error { return paper.DrawScores(w, b.scores) }); err != nil {
			return saved(err, o.picture)
		}
	}
	return output(o.output, s, func(w io.Writer) error {
		if o.json {
			return printJSON(w, append([]training.Score{}, b.scores...))
		}
		printScores(talk.NewPage(w), b)
		return nil
	})
}

// printScores draws every score as a bar: the share of the checks that were needed.
func printScores(page *talk.Page, b *scoreBook) {
	if len(b.scores) == 0 {
		page.Para("", "No scores yet: a practice or a drill that is brought to its end makes one.")
		return
	}
	bars := "A full bar: no more checks than the best needs. An empty one: not found."
	if slices.ContainsFunc(b.scores, func(s training.Score) bool { return s.Wiring != nil }) {
		bars += " Of wiring: how many of the conductors are whole."
	}
	page.Para("", bars)
	for _, sc := range b.scores {
		at := sc.At
		if len(at) >= len("2006-01-02") {
			at = at[:len("2006-01-02")]
		}
		page.Hang(at+"  ",
			fmt.Sprintf("%s  %s: %s", talk.Bar(sc.Share(), 1), talk.ScoreName(sc), talk.ScoreWords(sc)))
	}
}
