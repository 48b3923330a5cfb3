package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"

	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/talk"
)

// kept writes lines of the log. Where that fails the person is asked how the log goes on, so
// that no answer is lost to a full disk or to a file that something else has touched.
func (d *logged) kept(write func(io.Writer) error) error {
	for {
		err := d.add(write)
		var failed *disk.Failed
		var changed *disk.Changed
		if err == nil || d.Ask == nil || d.file == nil || !errors.As(err, &failed) && !errors.As(err, &changed) {
			return notKept(err)
		}
		d.Out.Para("", talk.Sentence(err.Error()))
		for ready := false; !ready; {
			var asking error
			if ready, asking = d.elsewhere(changed != nil); asking != nil {
				return notKept(err) // which ends the session as a failure, however it was ended
			}
		}
	}
}

// notKept says of a failure of the log that an answer is not in it.
func notKept(err error) error {
	if err == nil {
		return nil
	}
	return &lostAnswer{err}
}

// lostAnswer is an answer that is not in the log.
type lostAnswer struct{ err error }

func (e *lostAnswer) Error() string {
	return "cannot write the log, and the last answer is not in it: " + e.err.Error()
}

func (e *lostAnswer) Unwrap() error { return e.err }

// Words of the choices where the log cannot be added to.
var keepingChoices = map[string]talk.Choice{
	"again": {Word: "again", Text: "try again, once that is put right"},
	"back":  {Word: "back", Text: "write the log back as it was; what stands there now is kept beside it"},
	"file": {Word: "file", Also: []string{"another"},
		Text: "go on with another file, which gets all that was answered"},
	"stop": {Word: "stop", Also: []string{"quit", "exit", "q"}, Text: "stop here, without the last answer"},
}

// elsewhere asks how the log goes on, and does it. It tells whether the answer may be written
// now.
func (d *logged) elsewhere(changed bool) (bool, error) {
	words := []string{"again", "file", "stop"}
	if changed {
		words = []string{"again", "back", "file", "stop"}
	}
	q := talk.Question{Text: "The last answer is not kept yet. How does the log go on?",
		Help: "Every answer before it is safe in this session. \"again\" tries the same file once more. " +
			"\"file\" takes a file that is not there yet, best on another disk."}
	for _, w := range words {
		q.Choices = append(q.Choices, keepingChoices[w])
	}
	i, err := d.Ask.Choose(q)
	if err != nil {
		return false, err
	}
	switch words[i] {
	case "stop":
		return false, dialogue.ErrStopped
	case "back":
		aside, err := d.file.PutBack(nil)
		if err != nil {
			d.Out.Para("  ", talk.Sentence(err.Error()))
			return false, nil
		}
		if aside != "" {
			d.Out.Parf("  ", "The log %s is as it was. What stood there is in %s.", d.file.Name(), aside)
		}
	case "file":
		typed, taken, err := d.Ask.Line(talk.Question{Text: "The path of the new file:", Typed: "type the path",
			Choices: []talk.Choice{{Word: "return", Text: "return, as it was"}}, Help: "As /media/stick/panel.jsonl."})
		if err != nil || taken >= 0 {
			return false, err
		}
		if d.elsewhereIn != nil {
			if typed, err = d.elsewhereIn(typed); err != nil {
				d.Out.Para("  ", talk.Sentence(err.Error()))
				return false, nil
			}
		} else if info, err := os.Stat(typed); err == nil && info.IsDir() {
			typed = filepath.Join(typed, filepath.Base(d.file.Name()))
		}
		if err := d.file.MoveTo(typed, nil); err != nil {
			d.Out.Para("  ", talk.Sentence(err.Error()))
			return false, nil
		}
		d.Out.Parf("  ", "The log goes on in %s, which has all that was answered.", typed)
	}
	return true, nil
}
