package exam

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"time"

	"deadrung/diagnose/log"
)

// Grace is how long after the end of time a naming still counts: who was told that time is
// over may finish what is being typed. Common practice, no source.
const Grace = 2 * time.Minute

// Stamp is a line of the record that the instructor's machine keeps of one sitting: what came,
// and when by its own clock. It ends in a link to the line before, as an answer log does, but
// under a key that no packet has.
type Stamp struct {
	At string `json:"at"` // RFC 3339
	// Opened is when the machine began to serve that has the sitting from here on. What passed
	// between the line before and then is nobody's time.
	Opened string `json:"opened,omitempty"`
	// Check is a check that was asked, and Logged how many answers of the log the machine had
	// then; Refused is why it was not answered.
	Check   *log.Check `json:"asked,omitempty"`
	Logged  *int       `json:"logged,omitempty"`
	Refused string     `json:"refused,omitempty"`
	// Line is a line of the answer log that was kept, from one, and Sum what SumOfLine gives.
	Line int    `json:"line,omitempty"`
	Sum  string `json:"sum,omitempty"`
	// Over is how many minutes the exam was over for everybody when the line came.
	Over float64 `json:"over,omitempty"`
}

// SumOfLine tells a line of an answer log, without its end, from another one.
func SumOfLine(line []byte) string {
	sum := sha256.Sum256(line)
	return hex.EncodeToString(sum[:8])
}

// RecordChain begins the chain of the record of a sitting.
func (k *Key) RecordChain(sitting string) *Chain {
	h := hmac.New(sha256.New, k.Server)
	h.Write([]byte("record"))
	return NewChain(h.Sum(nil), sitting)
}

// Record is what the instructor's machine has written down of one sitting.
type Record struct {
	Asked  Asked
	Broken int           // the first line that something else has changed or added; zero for none
	Lines  int           // of the answer log that are stamped
	Spent  time.Duration // at the last line
	Last   time.Time     // of the last line; zero where there is none
	kept   map[int]keptAt
}

// keptAt is when a line of the answer log was kept first.
type keptAt struct {
	sum   string
	spent time.Duration
	over  float64
}

// ReadRecord reads a record along its chain. A last line that was cut short says nothing.
func ReadRecord(text []byte, chain *Chain) Record {
	text = text[:bytes.LastIndexByte(text, '\n')+1]
	r := Record{Broken: chain.Follow(text).Broken, kept: make(map[int]keptAt)}
	var asked counting
	for line := range bytes.Lines(text) {
		var s Stamp
		if json.Unmarshal(line, &s) != nil {
			continue
		}
		r.passes(s)
		if s.Check != nil && s.Refused == "" {
			asked.add(s)
		}
		if _, had := r.kept[s.Line]; s.Line > 0 && !had {
			r.kept[s.Line] = keptAt{s.Sum, r.Spent, s.Over}
			r.Lines = max(r.Lines, s.Line)
		}
	}
	r.Asked = asked.Asked
	return r
}

// passes counts the time up to a stamp. A clock that was put back counts nothing.
func (r *Record) passes(s Stamp) {
	at, err := time.Parse(time.RFC3339, s.At)
	if err != nil {
		return
	}
	from := r.Last
	if s.Opened != "" {
		if opened, err := time.Parse(time.RFC3339, s.Opened); err == nil && !from.IsZero() {
			from = opened
		}
	}
	if !from.IsZero() {
		r.Spent += max(0, at.Sub(from))
	}
	r.Last = at
}

// Has tells whether a line of the answer log, from one, was kept as it is.
func (r Record) Has(line int, text []byte) bool { return r.kept[line].sum == SumOfLine(text) }

// At gives how much time was spent when a line of the answer log was kept, and for how many
// minutes the exam was over for everybody then.
func (r Record) At(line int) (spent time.Duration, over float64) {
	k := r.kept[line]
	return k.spent, k.over
}

// Asked is how many checks the instructor's machine has answered in one sitting.
type Asked struct {
	All int
	// Once counts a check once that was asked again while the log had not gone on, as after
	// a lost connection or a stopped program.
	Once int
}

// counting counts checks that were answered, one after the other.
type counting struct {
	Asked
	open   map[string]bool // asked since the log has gone on
	logged *int
}

func (n *counting) add(s Stamp) {
	n.All++
	if s.Logged == nil {
		n.Once++
		return
	}
	if n.logged == nil || *s.Logged != *n.logged {
		n.open, n.logged = make(map[string]bool), s.Logged
	}
	if check := s.Check.String(); !n.open[check] {
		n.open[check] = true
		n.Once++
	}
}

// fits tells whether a log with so many answers has all that was answered, and no more.
func (n Asked) fits(answers int) bool { return n.Once <= answers && answers <= n.All }
