package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam/room"
)

// While the instructor's machine is away, a candidate's program tries again and again between
// two faults and at the end of each.
const (
	awayPause = time.Second
	awayMost  = 5 * time.Minute
)

// patient waits for the instructor's machine.
type patient struct {
	ctx  context.Context
	most time.Duration
	out  *talk.Page
}

// try does what needs the machine until that answers, or the patience is at its end.
func (p patient) try(do func() error) error {
	for waited := time.Duration(0); ; waited += awayPause {
		err := do()
		if !errors.Is(err, room.ErrAway) || waited >= p.most {
			return err
		}
		if waited == 0 {
			p.out.Parf("", "The instructor's machine does not answer. It is tried again for %s; Ctrl-C stops, "+
				"and everything answered is kept here.", talk.Span(p.most.Minutes()))
		}
		select {
		case <-p.ctx.Done():
			return talk.ErrInterrupted
		case <-time.After(awayPause):
		}
	}
}

// notArrived tells of an end at which the machine does not have everything.
func notArrived(err error) error {
	return fmt.Errorf("not everything has reached the instructor's machine; tell the instructor, "+
		"and go on with the same command: %w", err)
}
