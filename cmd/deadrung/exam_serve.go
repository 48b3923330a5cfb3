package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/exam/room"
)

const (
	servedDir     = "served" // the copies, in the folder of the exam
	askedEnd      = ".asked" // the record of a sitting
	defaultListen = "127.0.0.1:4127"
)

type serveOptions struct {
	dir    string
	listen string
	until  string
	board  bool
	secret secret
	now    func() time.Time
}

func newExamServe(s streams) *cobra.Command {
	o := serveOptions{now: timeNow}
	c := &cobra.Command{
		Use:   "serve DIR",
		Short: "Answer the checks of an exam on the instructor's machine",
		Long: `Serve answers the checks of an exam that was set with --form served, until Ctrl-C. The
packets then hold no readings: nobody can work the fault out of one. A copy of every
answer log is kept in the folder served of the exam, and a record of every question and
line with this machine's time.

A candidate's time begins when their program first connects, however late, and passes
while serve runs. When it is over no check is answered any more. "exam extra" gives
somebody more, also meanwhile; --until sets an end for everybody. Serve may be stopped,
or fail, and be started again: everybody goes on where they were. One program at a time
is answered for a candidate.

The board of the class is the page board.html in the folder of the exam, which renews
itself while serve runs: who is at work, which check, what is still possible for them,
who is idle, stuck or unsafe, the time left; a name opens what that candidate has done so
far. It is a file of yours alone, and nothing of it is on the network; it tells faults, so
keep it off a screen that the class can see. --board=false does without.

It listens on this machine alone; --listen :4127 opens it to the network of the room.
Candidates sit with: deadrung exam sit PACKET --server HOST:4127`,
		Args: oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.dir = args[0]
			ctx, stop := talk.Interruptible(cmd.Context())
			defer stop()
			return runExamServe(ctx, o, s)
		},
	}
	c.Flags().StringVar(&o.listen, "listen", defaultListen, "the address to listen on, HOST:PORT")
	c.Flags().StringVar(&o.until, "until", "", "the end for everybody: 15:30 today, or an RFC 3339 time")
	c.Flags().BoolVar(&o.board, "board", true, "keep the board of the class up to date in DIR/"+boardFile)
	o.secret.flags(c.Flags())
	return c
}

func runExamServe(ctx context.Context, o serveOptions, s streams) error {
	f, key, err := openKey(ctx, o.dir, o.secret, s)
	if err != nil {
		return err
	}
	if key.Form != exam.Served {
		return usagef("this exam is %s: it needs no machine to answer", key.Form)
	}
	until, err := parseUntil(o.until, o.now())
	if err != nil {
		return err
	}
	dir := filepath.Join(o.dir, servedDir)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("cannot write the answers: %w", err)
	}
	certificate, err := room.Certificate(key.Server, rand.Reader)
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", o.listen)
	if err != nil {
		return fmt.Errorf("cannot listen: %w", err)
	}
	fmt.Fprintf(s.out, "Answering for %s on %s until Ctrl-C. Copies are kept in %s.\n", key.Title,
		listener.Addr(), dir)
	if key.Minutes > 0 {
		fmt.Fprintf(s.out, "%s for each fault, from when a candidate comes.\n", talk.Span(key.Minutes))
	}
	if !until.IsZero() {
		fmt.Fprintf(s.out, "The end for everybody is at %s.\n", until.Format("15:04"))
	}
	extra := &extraNow{dir: o.dir, key: key, failed: func(err error) { fmt.Fprintf(s.err, "deadrung: %v\n", err) }}
	server := room.Server{
		Key: key, Models: f.models, Clock: room.Clock{Now: o.now, Wall: time.Now, Sleep: time.Sleep},
		Hours: room.Hours{Minutes: key.Minutes, Extra: extra.of, Until: until},
		Open: func(candidate, task int) (log, record room.Copy, err error) {
			return openCopies(dir, key.Exam, candidate, task)
		},
		Failed: func(sitting string, err error) { fmt.Fprintf(s.err, "deadrung: %s: %v\n", sitting, err) },
	}
	if o.board {
		class := newBoard(f, key, dir, &server, o.now,
			func(err error) { fmt.Fprintf(s.err, "deadrung: the board: %v\n", err) })
		fmt.Fprintf(s.out, "The board of the class: open %s.\n", class.path())
		serving, over := context.WithCancel(ctx)
		ended := make(chan struct{})
		go func() { class.run(serving); close(ended) }()
		defer func() { over(); <-ended }()
	}
	server.Serve(ctx, listener, certificate)
	fmt.Fprintf(s.out, "Stopped. Mark with: deadrung exam mark %s\n", o.dir)
	return nil
}

// parseUntil reads the end for everybody: a time of today, or one with its date. It is none where
// nothing is given.
func parseUntil(typed string, now time.Time) (time.Time, error) {
	if typed == "" {
		return time.Time{}, nil
	}
	until, err := time.Parse(time.RFC3339, typed)
	if err != nil {
		var clock time.Time
		if clock, err = time.Parse("15:04", typed); err != nil {
			return until, usagef("--until takes a time today, such as 15:30, or an RFC 3339 time, not %q", typed)
		}
		y, m, d := now.Date()
		until = time.Date(y, m, d, clock.Hour(), clock.Minute(), 0, 0, now.Location())
	}
	if !until.After(now) {
		return until, usagef("--until %s has passed: it is %s", typed, now.Format("15:04"))
	}
	return until, nil
}

// openCopies opens the copy of a sitting's answer log, and its record.
func openCopies(dir, examID string, candidate, task int) (log, record room.Copy, err error) {
	path := filepath.Join(dir, answersName(examID, candidate, task))
	if log, err = disk.OpenJournal(path, disk.Private); err != nil {
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	}
	path = strings.TrimSuffix(path, ".jsonl") + askedEnd
	if record, err = disk.OpenJournal(path, disk.Private); err != nil {
		log.Close()
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	}
	return log, record, nil
}

// remoteOf is the panel of a packet's task on the instructor's machine. File is the answer
// log, of which the machine has a copy; it may move.
func remoteOf(server string, p *exam.Packet, task int, file *string) *room.Remote {
	return &room.Remote{
		Address: server, Public: p.Server, Chain: p.Chain,
		Sitting: exam.SittingID(p.Exam, p.Candidate.Number, task+1), Wall: time.Now,
		Log: func() ([]byte, error) {
			text, err := os.ReadFile(*file)
			if errors.Is(err, fs.ErrNotExist) {
				return nil, nil
			}
			return text, err
		},
		Restore: func(text []byte) error { return disk.Put(*file, text, disk.Private) },
	}
}
