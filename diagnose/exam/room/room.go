// Package room is the served exam: the instructor's machine answers the checks, and the
// candidates' programs ask it. Neither side prints, opens a file or reads a clock that it was
// not handed.
//
// A candidate's program connects by TLS to a machine whose public key stands in its packet,
// proves with its chain's key whose sitting it is, and then sends one JSON object a line:
//
//	{"sitting":"ID/7/1","proof":"…","program":"…"}  {"lines":12,"sum":"…"}   how much of the log is here
//	{"fetch":3}                                     {"lines":12,"line":"…"}  the third line of it
//	{"check":{…},"worked":3,"nth":4}                {"shown":{…}}    or {"error":"…"}
//	{"keep":"…","line":13}                          {"lines":13}  a line of the answer log, and which
//	{"pong":true}                                   to a {"ping":true} of the machine, at any time
//
// The fault never leaves the machine, which keeps a copy of every answer log, and a record of
// every question and line with its own times (exam.Record). The copy is the sitting: a log that
// is shorter is made up from it, and one that differs is refused. One program at a time is
// answered for a sitting (line.go). How long it may take is the machine's to say (Hours).
package room

import (
	"crypto/hmac"
	"crypto/sha256"
	"time"

	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// longestRequest bounds a line that either side sends, in bytes.
const longestRequest = 64 << 10

// Clock is the time of a machine.
type Clock struct {
	Now   func() time.Time // written beside a question
	Wall  func() time.Time // by which connections are given up and questions held back
	Sleep func(time.Duration)
}

// request is a line from a candidate's program, reply one to it.
type request struct {
	Sitting string     `json:"sitting,omitempty"`
	Proof   []byte     `json:"proof,omitempty"`
	Program string     `json:"program,omitempty"` // drawn by each program that is started
	Check   *log.Check `json:"check,omitempty"`
	Worked  int        `json:"worked"`
	Nth     int        `json:"nth"`
	Keep    string     `json:"keep,omitempty"`
	Line    int        `json:"line,omitempty"`  // which line of the log is to be kept, from one; zero is the next
	Fetch   int        `json:"fetch,omitempty"` // a line of the log, from one
	Pong    bool       `json:"pong,omitempty"`
}

type reply struct {
	Lines int     `json:"lines"`
	Ping  bool    `json:"ping,omitempty"`  // asks whether the program is there, and replies to nothing
	Taken bool    `json:"taken,omitempty"` // another program is at this sitting
	Left  *Left   `json:"left,omitempty"`  // where the time is limited
	Sum   []byte  `json:"sum,omitempty"`   // of the lines, see sumOfLines
	Line  string  `json:"line,omitempty"`
	Shown *onLine `json:"shown,omitempty"`
	Error string  `json:"error,omitempty"`
}

// onLine is what is shown, as it goes over the line; OL is a value below zero.
type onLine struct {
	Kind    log.Kind    `json:"kind"`
	On      bool        `json:"on"`
	Seems   log.Seeming `json:"seems,omitempty"`
	Value   float64     `json:"value"`
	Wanders bool        `json:"wanders"`
	Low     float64     `json:"low"`
	High    float64     `json:"high"`
}

// toLine writes what is shown for the line, shown reads it.
func toLine(s training.Shown) *onLine {
	l := &onLine{s.Reading.Kind, s.Reading.On, s.Reading.Seems, s.Reading.Value, s.Wanders, s.Low, s.High}
	for _, x := range []*float64{&l.Value, &l.Low, &l.High} {
		if *x == log.OL {
			*x = -1
		}
	}
	return l
}

func (l *onLine) shown() training.Shown {
	back := func(x float64) float64 {
		if x < 0 {
			return log.OL
		}
		return x
	}
	return training.Shown{Reading: log.Reading{Kind: l.Kind, On: l.On, Seems: l.Seems, Value: back(l.Value),
		Firm: true}, Wanders: l.Wanders, Low: back(l.Low), High: back(l.High)}
}

// proofOf proves that a program has the key of a sitting's chain.
func proofOf(chain []byte, sitting string) []byte {
	h := hmac.New(sha256.New, chain)
	h.Write([]byte("serve " + sitting))
	return h.Sum(nil)
}

// sumOfLines tells two answer logs apart.
func sumOfLines(lines []string) []byte {
	h := sha256.New()
	for _, line := range lines {
		h.Write([]byte(line + "\n"))
	}
	return h.Sum(nil)
}
