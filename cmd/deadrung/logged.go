package main

import (
	"errors"
	"io"
	"os"
	"time"

	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// logged is a dialogue with its files: the log, and the drawing that somebody watches.
type logged struct {
	*dialogue.Dialogue
	file *logFile // nil where no log is kept
	own  bool     // the log is one in the user's state directory
	// add writes lines of the log, see keeps.
	add func(write func(io.Writer) error) error
	// elsewhereIn gives the file of a log in another folder, made ready; nil where a log is
	// moved to any file.
	elsewhereIn func(folder string) (string, error)

	files     *disk.Files
	following string // the file of --follow
	// wired is the diagram that --follow keeps where it is asked for; nil: the ladder.
	wired *connections.Diagram
}

func newLogged(s guide.Session, ask talk.Asker, out *talk.Page, now func() time.Time) *logged {
	d := &logged{Dialogue: dialogue.New(s, ask, out, now)}
	d.ASCII = !talk.UTF8(os.Getenv)
	return d
}

// keeps has every line kept by add, and asks how the log goes on where that fails.
func (d *logged) keeps(file *logFile, add func(write func(io.Writer) error) error) {
	d.file, d.add, d.Keep = file, add, d.kept
}

// ending tells where a session stands that ends before its verdict is proved.
func (d *logged) ending(circuit string, why error) {
	d.Out.Blank()
	if errors.Is(why, io.EOF) {
		d.Out.Para("", "End of the input.")
	}
	if at := d.Guide.State().At; at != guide.Complaint && at != guide.Unbegun &&
		(at != guide.WrongIn || d.Guide.State().Repaired) {
		d.Out.Parf("", "Still possible: %s.", talk.Remaining(d.Turn()))
		d.Chances(5)
	}
	if d.Guide.Stand().Locked {
		d.Out.Para("",
			"The power is locked off: leave it so, with your tag on it, or bring it back in the usual order.")
	}
	switch {
	case errors.Is(why, talk.ErrInterrupted): // the error says where the log is
	case d.file != nil && d.Log().Empty() && d.own:
		d.Out.Para("", "No answer was given, so no log is kept.")
	case d.file != nil:
		d.Out.Parf("", "The log %s holds every answer. Go on with: deadrung find %s --log %s",
			d.file.Name(), circuit, d.file.Name())
	default:
		d.Out.Para("", "No log was kept; --log FILE keeps one.")
	}
}

// follow rewrites the file of --follow: the whole drawing, with the check that is asked for.
// A file that cannot be written is told once, and does not end the session.
func (d *logged) follow(c *log.Check) {
	var o drawing.Options
	if c != nil {
		o = diagnose.Drawn(d.Ladder(), *c)
	}
	o.Foot = footCaution
	if err := d.files.Write(d.following, d.drawing(o)); err != nil {
		d.Out.Parf("", "The drawing cannot be written and is not renewed any more: %v.", err)
		d.Follow = nil
	}
}

// drawing writes the whole drawing.
func (d *logged) drawing(o drawing.Options) func(io.Writer) error {
	return func(w io.Writer) error {
		picture := d.Ladder().SVG
		if d.wired != nil {
			picture = func(o drawing.Options) []byte { return d.wired.SVG(connections.Options{Leads: o.Leads}) }
		}
		_, err := w.Write(picture(o))
		return err
	}
}

// logName is the name of the log; empty where none is kept.
func (d *logged) logName() string {
	if d.file == nil {
		return ""
	}
	return d.file.Name()
}
