package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"time"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/paper"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/exam/room"
)

// The board of a served exam, in its folder.
const (
	boardFile = "board.html"
	boardDir  = "board" // what each candidate has done so far

	boardRenews = 4 * time.Second
)

// board keeps the instructor's board up to date while an exam is served. It reads the copies on
// the disk, so that it has what was done before a restart, and asks the server who is there.
// Nothing of it leaves this machine.
type board struct {
	folder *examFolder
	key    *exam.Key
	served string // the folder of the copies
	seated func() map[string]room.Seated
	hours  room.Hours
	now    func() time.Time
	failed func(error)

	watch  *exam.Watch
	seen   map[string]seenLog
	broken bool // it could not be written the last time

	replays *replays[int] // by the number of the candidate
}

// seenLog is a sitting as it was looked at last.
type seenLog struct {
	log, record time.Time // of their last change
	answers     exam.Answers
	glance      exam.Glance
}

func newBoard(f *examFolder, key *exam.Key, served string, server *room.Server, now func() time.Time, failed func(error)) *board {
	return &board{folder: f, key: key, served: served, seated: server.Seated, hours: server.Hours, now: now, failed: failed,
		watch: exam.NewWatch(key, f.models, exam.Usual), seen: make(map[string]seenLog), replays: newReplays[int](failed)}
}

// path is where the board is.
func (b *board) path() string { return filepath.Join(b.folder.dir, boardFile) }

// run writes the board again and again until the context ends, and a last time then.
func (b *board) run(ctx context.Context) {
	again := time.NewTicker(boardRenews)
	defer again.Stop()
	for ctx.Err() == nil {
		b.renew(false)
		select {
		case <-ctx.Done():
		case <-again.C:
		}
	}
	b.replays.wait()
	b.renew(true)
}

// renew writes the board, and begins the page of the candidate whose page is behind the most.
func (b *board) renew(stopped bool) {
	page := paper.Board{Title: b.key.Title, By: "exam serve", Now: b.now(), Renews: int(boardRenews / time.Second), Stopped: stopped}
	seated := b.seated()
	most, begin := int64(0), func() {} // whose page is behind the most
	for _, c := range b.key.Keys {
		seat, answers, size := b.seat(c, seated)
		shown := b.replays.shown(c.Number)
		if shown > 0 {
			seat.Replay = boardDir + "/" + numberedName(c.Candidate, ".html")
		}
		if behind := size - shown; behind > most {
			most, begin = behind, func() { b.replays.begin(c.Number, size, func() error { return b.replay(c, answers) }) }
		}
		page.Seats = append(page.Seats, seat)
	}
	if !stopped {
		begin()
	}
	var text bytes.Buffer
	err := page.Write(&text)
	if err == nil {
		err = disk.Put(b.path(), text.Bytes(), disk.Private)
	}
	if err != nil && !b.broken {
		b.failed(err) // once
	}
	b.broken = err != nil
}

// seat looks at one candidate. Size is how much there is of all logs.
func (b *board) seat(c exam.CandidateKey, seated map[string]room.Seated) (s paper.BoardSeat, answers map[int]exam.Answers, size int64) {
	s = paper.BoardSeat{Candidate: c.Candidate, Of: len(c.Tasks), Models: b.folder.models}
	answers = make(map[int]exam.Answers)
	for i := range c.Tasks {
		seen, begun := b.look(c, i+1)
		if !begun {
			break
		}
		id := exam.SittingID(b.key.Exam, c.Number, i+1)
		s.Task, s.Here, s.Left = i+1, seated[id].Here, nil
		if left := seated[id].Left; left != nil {
			d := left.Duration()
			s.Left = &d
		} else if left := b.hours.Remains(c.Number, seen.glance.Spent, b.now()); left != nil && seen.glance.State != exam.Complete {
			d := left.Duration()
			s.Left = &d
		}
		s.Glances = append(s.Glances, seen.glance)
		answers[i+1] = seen.answers
		size += int64(len(seen.answers.Text))
	}
	return s, answers, size
}

// look reads a sitting where it has changed; false where it was not begun.
func (b *board) look(c exam.CandidateKey, task int) (seenLog, bool) {
	name := filepath.Join(b.served, answersName(b.key.Exam, c.Number, task))
	record := name[:len(name)-len(".jsonl")] + askedEnd
	seen, had := b.seen[name]
	changed := func(file string, at *time.Time) bool {
		info, err := os.Stat(file)
		if err != nil || info.ModTime().Equal(*at) {
			return false
		}
		*at = info.ModTime()
		return true
	}
	log, stamped := changed(name, &seen.log), changed(record, &seen.record)
	if !log && !stamped {
		return seen, had
	}
	var err error
	seen.answers.File = name
	if seen.answers.Text, err = os.ReadFile(name); err != nil {
		return seen, had
	}
	seen.answers.Record, _ = os.ReadFile(record)
	if seen.glance, err = b.watch.Glance(c, task, seen.answers); err != nil {
		b.failed(err)
		return seen, had
	}
	b.seen[name] = seen
	return seen, true
}

// replay writes what a candidate has done so far.
func (b *board) replay(c exam.CandidateKey, answers map[int]exam.Answers) error {
	r, err := b.watch.Replay(c, answers)
	if err != nil || len(r.Class) == 0 {
		return err
	}
	if err := os.MkdirAll(filepath.Join(b.folder.dir, boardDir), 0o700); err != nil {
		return err
	}
	r.Title += ", so far"
	var text bytes.Buffer
	if err := paper.CandidateSheet(&text, b.folder.models, r, r.Class[0]); err != nil {
		return err
	}
	return disk.Put(filepath.Join(b.folder.dir, boardDir, numberedName(c.Candidate, ".html")), text.Bytes(), disk.Private)
}
