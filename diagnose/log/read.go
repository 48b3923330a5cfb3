package log

import (
	"bytes"
	"deadrung/circuits"
	"errors"
	"fmt"
	"io"
	"strings"
)

// ReadLog reads a log in the form of JSON Lines. All mistakes are reported in one
// pass, each with its line and column. A last line that is cut short is left out,
// with a warning.
func (b *Book) ReadLog(file string, text []byte) (Log, circuits.Problems) {
	var log Log
	var problems circuits.Problems
	now, then := printOf(b.panel.Circuit), (*Print)(nil)
	repaired := false // on a line that does not apply
	if p := circuits.UTF16(file, text); p != nil {
		return log, circuits.Problems{*p}
	}
	text, zeros := circuits.WithoutZeros(file, text)
	if zeros != nil {
		problems = append(problems, *zeros)
	}
	rest := text
	for n := 1; len(rest) > 0; n++ {
		raw, after, ended := bytes.Cut(rest, []byte("\n"))
		rest = after
		start := len(text) - len(after) - len(raw)
		if ended {
			start--
		}
		raw = bytes.TrimSuffix(raw, []byte("\r"))
		if n == 1 {
			raw = bytes.TrimPrefix(raw, []byte(circuits.ByteOrderMark))
		}
		problem := func(column int, warning bool, what, hint string) {
			problems = append(problems, circuits.Problem{File: file,
				Pos:  circuits.Pos{Line: n, Column: column},
				What: what, Hint: hint, Source: string(raw), Warning: warning})
		}
		if len(bytes.TrimSpace(raw)) == 0 {
			log.Whole, log.Open = len(text)-len(after), !ended
			continue
		}
		var l line
		mistake := decodeOne(raw, &l)
		if mistake != nil && errors.Is(mistake.err, io.ErrUnexpectedEOF) && !ended {
			log.Whole, log.Open = start, false
			problem(1, true, "the last line is cut short and is left out", "")
			break
		}
		log.Whole, log.Open = len(text)-len(after), !ended
		if mistake != nil {
			column, what := mistake.words(raw, "log line")
			problem(column, false, what, "one JSON object a line, as {\"look\":\"H1\",\"step\":\"…\",\"saw\":\"off\"}")
			continue
		}
		if err := l.alone(); err != nil {
			problem(1, false, err.Error(), "")
			continue
		}
		if err := l.when(); err != nil {
			problem(columnOf(raw, err), false, err.Error(), "")
			continue
		}
		switch {
		case l.Undo:
			if log.LastIsSeen() {
				log.Seen = log.Seen[:len(log.Seen)-1]
				continue
			}
			if len(log.Entries) == 0 {
				problem(1, false, "there is nothing left to take back", "")
				continue
			}
			log.Entries = log.Entries[:len(log.Entries)-1]
			for i := range log.Acts {
				log.Acts[i].Before = min(log.Acts[i].Before, len(log.Entries))
			}
		case l.Act != "":
			a, err := b.act(l)
			if err != nil && len(log.Changes) > 0 {
				log.Stale = append(log.Stale, Stale{n, string(raw), err.Error()})
				continue
			}
			if err != nil {
				problem(columnOf(raw, err), false, err.Error(), "")
				continue
			}
			a.Line, a.Before = n, len(log.Entries)
			log.Acts = append(log.Acts, a)
		case l.Seen != "":
			seen, err := b.NewSeen(l.Seen, l.Text)
			if err != nil && len(log.Changes) > 0 {
				log.Stale = append(log.Stale, Stale{n, string(raw), err.Error()})
				continue
			}
			if err != nil {
				problem(columnOf(raw, err), false, err.Error(), "")
				continue
			}
			seen.Note, seen.At, seen.Line, seen.Before = l.Note, l.At, n, len(log.Entries)
			log.Seen = append(log.Seen, seen)
		case l.Deadrung != nil || l.Circuit != "":
			switch {
			case l.Deadrung == nil:
				problem(1, false, "the first line does not say which version the log is of",
					fmt.Sprintf("\"deadrung\":%d beside \"circuit\"", Version))
			case *l.Deadrung != Version:
				problem(1, false, fmt.Sprintf("the log is of version %d", *l.Deadrung),
					fmt.Sprintf("this program reads version %d", Version))
			}
			if l.Print != nil {
				then = l.Print
				log.Changes = then.changes(now)
			}
			if l.Circuit != "" && l.Circuit != b.panel.Circuit.Title {
				problem(1, true, fmt.Sprintf("the log is of the circuit %q, and this is %q", l.Circuit,
					b.panel.Circuit.Title), "")
			}
		default:
			e, err := b.entry(l)
			if why := staleNow(then, now, b.panel.Circuit, e.Check, err, log.Changes); why != "" {
				log.Stale = append(log.Stale, Stale{n, string(raw), why})
				repaired = repaired || e.Repaired
				continue
			}
			if err != nil {
				problem(columnOf(raw, err), false, err.Error(), "")
				continue
			}
			e.Line, e.Repaired = n, e.Repaired || repaired
			repaired = false
			log.Entries = append(log.Entries, e)
		}
	}
	return log, problems
}

// columnOf finds the column of the word that an error quotes first; 1 if it is not on
// the line.
func columnOf(raw []byte, err error) int {
	_, quoted, _ := strings.Cut(err.Error(), "\"")
	word, _, _ := strings.Cut(quoted, "\"")
	return columnAt(raw, bytes.Index(raw, []byte(word)))
}

// columnAt counts the runes up to a byte of a line, from one.
func columnAt(raw []byte, at int) int {
	return len([]rune(string(raw[:max(0, min(at, len(raw)))]))) + 1
}
