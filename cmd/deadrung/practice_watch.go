package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// checkWatch tells what is wrong with --watch beside the other options.
func (o *practiceOptions) checkWatch() error {
	switch {
	case o.watch == "":
		return nil
	case o.circuit == "":
		return usagef("--watch goes with the circuit that is practised on")
	case o.output == "" || o.output == "-":
		return usagef("--watch writes the board to a file of yours: -o FILE")
	case o.log != "" || o.sheet != "" || o.picture != "" || o.json || o.wiring || o.kind != "" || o.difficulty != "" || o.fresh:
		return usagef("--watch looks at the work of others: it goes with a circuit and -o alone")
	}
	return nil
}

// practiceWatch keeps the board of a class in practice up to date. It reads the logs of a folder:
// whoever keeps a log there lets it be watched.
type practiceWatch struct {
	o      practiceOptions
	by     diagnose.By
	m      *diagnose.Model
	replay string // the folder of the replays, beside the board
	seen   map[string]watchedLog

	replays *replays[string] // by the name of the log
}

// watchedLog is a log as it was looked at last.
type watchedLog struct {
	changed time.Time
	size    int64
	history log.Log
	glance  exam.Glance
	why     error // it is not shown
}

// watchPractice writes the board of a class in practice again and again until Ctrl-C.
func watchPractice(ctx context.Context, o practiceOptions, s streams) error {
	by, err := parseBy(o.by)
	if err != nil {
		return err
	}
	if info, err := os.Stat(o.watch); err != nil {
		return usagef("there is no folder %s: make it first, then start the board", o.watch)
	} else if !info.IsDir() {
		return usagef("--watch takes the folder of the logs; %s is not a folder", o.watch)
	}
	replays := strings.TrimSuffix(o.output, filepath.Ext(o.output)) + "-replays"
	if disk.Within(o.output, o.watch) || disk.Within(replays, o.watch) {
		return usagef("the board tells what is still possible for each of the class: keep it out of %s", o.watch)
	}
	if err := canWrite(o.output); err != nil {
		return err
	}
	m, err := loadModel(ctx, o.circuit, o.given, s)
	if err != nil {
		return err
	}
	w := &practiceWatch{o: o, by: by, m: m, replay: replays, seen: make(map[string]watchedLog),
		replays: newReplays[string](func(err error) { fmt.Fprintf(s.err, "deadrung: the board: %v\n", err) })}
	fmt.Fprintf(s.out, "Watching the logs in %s until Ctrl-C. The board: open %s.\n", o.watch, o.output)
	again := time.NewTicker(boardRenews)
	defer again.Stop()
	for ctx.Err() == nil {
		if err := w.renew(false); err != nil {
			return err
		}
		select {
		case <-ctx.Done():
		case <-again.C:
		}
	}
	w.replays.wait()
	return w.renew(true)
}

// renew reads what has changed, writes the board, and begins the replay that is behind the most.
func (w *practiceWatch) renew(stopped bool) error {
	page := paper.Board{Title: "Practice: " + w.m.Panel().Circuit.Title, By: "practice --watch", Practice: true, Now: w.o.now(),
		Renews: int(boardRenews / time.Second), Stopped: stopped}
	files, err := os.ReadDir(w.o.watch)
	if err != nil {
		return fmt.Errorf("cannot read the logs: %w", err)
	}
	most, begin := int64(0), func() {} // whose replay is behind the most
	for _, f := range files {          // by name
		if f.IsDir() || filepath.Ext(f.Name()) != ".jsonl" {
			continue
		}
		name := strings.TrimSuffix(f.Name(), ".jsonl")
		seen := w.look(f.Name())
		if seen.why != nil {
			why := seen.why.Error()
			if !strings.HasPrefix(why, f.Name()+":") { // as the mistakes in a file begin
				why = f.Name() + ": " + why
			}
			page.Others = append(page.Others, why)
			continue
		}
		seat := paper.BoardSeat{Candidate: exam.Candidate{Number: len(page.Seats) + 1, Name: name},
			Of: 1, Task: 1, Here: true, Glances: []exam.Glance{seen.glance}, Models: []*diagnose.Model{w.m}}
		shown := w.replays.shown(name)
		if shown > 0 {
			seat.Replay = filepath.ToSlash(filepath.Join(filepath.Base(w.replay), name+".html"))
		}
		if behind := seen.size - shown; behind > most {
			most, begin = behind, func() { w.replays.begin(name, seen.size, func() error { return w.write(name, seen.history) }) }
		}
		page.Seats = append(page.Seats, seat)
	}
	if !stopped {
		begin()
	}
	var text bytes.Buffer
	if err := page.Write(&text); err != nil {
		return err
	}
	return saved(disk.Put(w.o.output, text.Bytes(), disk.Private), w.o.output)
}

// look looks at a log where it has changed.
func (w *practiceWatch) look(file string) watchedLog {
	path := filepath.Join(w.o.watch, file)
	seen := w.seen[file]
	info, err := os.Stat(path)
	if err != nil {
		return watchedLog{why: err}
	}
	if info.ModTime().Equal(seen.changed) && info.Size() == seen.size {
		return seen
	}
	seen = watchedLog{changed: info.ModTime(), size: info.Size()}
	seen.history, seen.glance, seen.why = w.read(path, seen.changed)
	w.seen[file] = seen
	return seen
}

// read reads a log whose last line came at a time.
func (w *practiceWatch) read(path string, at time.Time) (log.Log, exam.Glance, error) {
	text, err := os.ReadFile(path)
	if err == nil && len(text) == 0 {
		err = errors.New("nothing is in it yet")
	}
	if err != nil {
		return log.Log{}, exam.Glance{}, err
	}
	history, problems := w.m.Book().ReadLog(filepath.Base(path), text)
	if len(problems) > 1 {
		problems = problems[:1] // a log of another circuit has one for every line
	}
	if err := problems.Err(); err != nil {
		return log.Log{}, exam.Glance{}, err
	}
	g, err := exam.GlanceAtPractice(w.m, history, at)
	return history, g, err
}

// write writes the replay of a log so far.
func (w *practiceWatch) write(name string, history log.Log) error {
	sitting, err := training.Resumed(w.m, history)
	if err != nil {
		return err
	}
	t := newTrainee(sitting, w.o, w.by, nil, talk.NewPage(io.Discard))
	if err := t.Begin(); err != nil {
		return err
	}
	for _, a := range history.Acts {
		if a.Seed != 0 {
			t.seed = a.Seed
		}
	}
	replay, err := training.Play(sitting, w.by)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(w.replay, 0o700); err != nil {
		return err
	}
	var page bytes.Buffer
	if err := t.writeSheet(&page, &replay); err != nil {
		return err
	}
	return disk.Put(filepath.Join(w.replay, name+".html"), page.Bytes(), disk.Private)
}
