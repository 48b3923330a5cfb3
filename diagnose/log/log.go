// Package log is the log of the checks that were made on a panel, and what else was done
// there. It needs a circuit and knows no readings but those that somebody wrote down.
//
// A [Check] names what is looked at or measured; a [Book] holds it against the panel, and is
// the one place where it is decided whether the check can be made there and is safe. What
// passes is an [Entry] of a [Log], which is kept as JSON Lines. Readings made before one that is
// marked as repaired no longer count.
package log

import "slices"

// Version is the version of the log's form.
const Version = 1

// Entry is one line of a log.
type Entry struct {
	Check Check
	// Answer is what was seen or read; nil on a line that says that the check cannot
	// be made here.
	Answer *Reading
	Note   string
	At     string // RFC 3339, as it was written
	Line   int    // in the file, from one; zero for an entry that is not from a file
	// Repaired is set on the first reading after a repair.
	Repaired bool
	at       Located
}

// Log is a sequence of checks with their answers, undone lines taken out.
type Log struct {
	Entries []Entry
	// Acts are what was done besides, in their order among the entries.
	Acts []Act
	// Seen is what was found by eye, in its order among the entries.
	Seen []Seen
	// Changes tell how the circuit differs from that which the log was begun on, and Stale
	// holds the lines that for this reason do not apply; they are not among the entries.
	Changes []string
	Stale   []Stale
	// Whole is the length in bytes of the text up to where a line that was cut short
	// begins; whoever appends cuts the file there first.
	Whole int
	// Open is set where the last line lacks its line end.
	Open bool
}

// Since is the index of the first reading after the last repair, zero if there was none:
// what was read before it was read on another panel, and no longer counts.
func (l Log) Since() int {
	for i := len(l.Entries) - 1; i >= 0; i-- {
		if l.Entries[i].Repaired {
			return i
		}
	}
	return 0
}

// Empty tells whether nothing was answered, seen or done yet.
func (l Log) Empty() bool { return len(l.Entries)+len(l.Seen)+len(l.Acts) == 0 }

// Working tells whether what failed works at the moment: it was said to, and not to fail again
// since, nor to be repaired.
func (l Log) Working() bool {
	for i := len(l.Acts) - 1; i >= 0; i-- {
		switch a := l.Acts[i]; {
		case a.Kind != WorksAct && a.Kind != FailsAct:
		case l.Since() > 0 && a.Before <= l.Since():
			return false
		default:
			return a.Kind == WorksAct
		}
	}
	return false
}

// ActsBefore gives the acts that stand before an entry and after the one before it; with
// the number of entries, those after the last.
func (l Log) ActsBefore(entry int) []Act {
	from := slices.IndexFunc(l.Acts, func(a Act) bool { return a.Before == entry })
	if from < 0 {
		return nil
	}
	to := from
	for to < len(l.Acts) && l.Acts[to].Before == entry {
		to++
	}
	return l.Acts[from:to]
}

// NewEntry makes an entry of a check and its answer; a nil answer says that the check
// cannot be made here. The error says what is wrong with the check.
func (b *Book) NewEntry(c Check, answer *Reading) (Entry, error) {
	at, err := b.Locate(c)
	return Entry{Check: c, Answer: answer, at: at}, err
}

// Same tells whether two entries are of one and the same check: the same points, device
// and step, whichever way round the leads are.
func (b *Book) Same(x, y Entry) bool { return b.Key(x.at) == b.Key(y.at) }

// Located gives the entry's check with its names resolved.
func (e Entry) Located() Located { return e.at }

// ComplaintNote marks a reading that was known before the first check: whoever reported it
// was there.
const ComplaintNote = "known before the checks"
