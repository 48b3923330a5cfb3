package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
)

// A search keeps a log where no file is named for one, in the state directory of the user:
// one file a session, named for its circuit and when it was begun. The log of a repair that
// was proved is named so, and is not gone on with.

// doneEnd ends the name of a log whose repair is proved.
const doneEnd = "-done.jsonl"

// stateDir is where the program keeps what it remembers, by the habit of the system.
// Source: the XDG base directory specification.
func stateDir() (string, error) {
	if dir := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) {
		return dir, nil
	}
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		return os.UserConfigDir()
	}
	home, err := os.UserHomeDir()
	return filepath.Join(home, ".local", "state"), err
}

// ownLog takes a log in the state directory for a search that names none: the last one of the
// circuit, if the person goes on with it, or a new one. Where none can be kept, that is said
// and the search goes on without.
func (o *findOptions) ownLog(m *diagnose.Model, ask talk.Asker, out *talk.Page, s streams) error {
	if o.log != "" || o.noLog {
		return nil
	}
	dir, err := stateDir()
	if err == nil {
		dir = filepath.Join(dir, "deadrung", "find")
		err = os.MkdirAll(dir, 0o700)
	}
	name := filepath.Join(dir, logName(m.Panel().Circuit.Title))
	next := name + o.now().Format("-20060102-150405") + ".jsonl"
	for i := 2; err == nil && there(next); i++ {
		next = fmt.Sprintf("%s%s-%d.jsonl", name, o.now().Format("-20060102-150405"), i)
	}
	if err == nil {
		err = disk.MayWrite(next)
	}
	if err != nil {
		out.Para("", talk.Sentence(fmt.Sprintf("no log can be kept (%v): name a file with --log FILE to be able to go on later", err)))
		return nil
	}
	last, answers := lastLog(name, m)
	o.log, o.ownLogged = next, true
	if last == "" {
		return s.files.Claim("the log", o.log)
	}
	if !terminal(s.in) {
		out.Parf("", "The last session on this circuit is kept, with %s. To go on with it: --log %s",
			talk.Count(answers, "answer"), last)
		return s.files.Claim("the log", o.log)
	}
	i, err := ask.Choose(talk.Question{
		Text: fmt.Sprintf("The last session on this circuit is kept, with %s. Go on with it?", talk.Count(answers, "answer")),
		Choices: []talk.Choice{{Word: "new", Also: []string{"no", "n"}, Text: "begin anew; the last one stays kept"},
			{Word: "yes", Also: []string{"y", "go on"}, Text: "go on with the last one"}},
		Help: "It is in " + last + "."})
	if err != nil {
		return err
	}
	if i == 1 {
		o.log = last
	}
	return s.files.Claim("the log", o.log)
}

// there tells whether something has a name already.
func there(name string) bool {
	_, err := os.Lstat(name)
	return err == nil
}

// logName makes a file's name of a circuit's title.
func logName(title string) string {
	name := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return ' '
	}, strings.ToLower(title))
	if name = strings.Join(strings.Fields(name), "-"); name == "" {
		return "circuit"
	}
	return name[:min(len(name), 60)]
}

// lastLog finds the last log of a circuit that has answers, nobody has open and no proved
// repair has ended; empty if there is none.
func lastLog(name string, m *diagnose.Model) (path string, answers int) {
	paths, _ := filepath.Glob(name + "-[0-9]*.jsonl")
	slices.Sort(paths)
	for _, path := range slices.Backward(paths) {
		if strings.HasSuffix(path, doneEnd) {
			continue
		}
		j, err := disk.OpenJournal(path, disk.Private)
		if err != nil {
			continue
		}
		text := slices.Clone(j.Text())
		if j.Close() != nil || otherCircuit(path, text, m) != nil {
			continue
		}
		if history, _ := m.Book().ReadLog(path, text); !history.Empty() {
			return path, len(history.Entries) + len(history.Seen)
		}
	}
	return "", 0
}

// closeOwn closes a log in the state directory: one without an answer is taken away, and one
// of a repair that is proved is named so. It gives the name that the log has then, if any.
func (d *logged) closeOwn() error {
	name, empty := d.file.Name(), d.Log().Empty() && len(d.Log().Stale) == 0
	err := d.file.Close()
	if d.file = nil; err != nil {
		return fmt.Errorf("cannot close the log: %w", err)
	}
	switch {
	case empty:
		err = os.Remove(name)
	case d.Guide.Finished():
		done := strings.TrimSuffix(name, ".jsonl") + doneEnd
		if err = os.Rename(name, done); err == nil {
			d.Out.Parf("", "The log is kept in %s.", done)
		}
	}
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	return err
}
