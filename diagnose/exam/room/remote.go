package room

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"slices"
	"strings"
	"time"

	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// awayAfter is how long the instructor's machine may take for one answer.
const awayAfter = 20 * time.Second

// ErrAway is a check that the instructor's machine did not answer.
var ErrAway = errors.New("the instructor's machine does not answer")

// Remote is a panel on the instructor's machine. It also sends the lines of the answer
// log there; what could not be sent is sent later.
type Remote struct {
	Address string
	Public  []byte // the machine's public key
	Chain   []byte
	Sitting string
	Wall    func() time.Time // by which an answer is waited for
	// Log reads the answer log, none where there is none yet; Restore writes one that came
	// back. Both are nil where no log is kept.
	Log     func() ([]byte, error)
	Restore func([]byte) error

	program string // drawn once
	call    *call  // nil where there is no connection
	sent    int    // lines of the answer log that are there
	met     bool   // there was a connection before
	back    int    // lines that were lost here and came back from there
	left    *Left
	leftAt  time.Time
}

// ErrTaken is a sitting at which another program is.
var ErrTaken = errors.New("this sitting is open in another program")

// ErrOtherLog is an answer log that is not the one of which the instructor's machine has
// the copy.
var ErrOtherLog = errors.New("the answer log here is not the one that the instructor's machine has of this sitting: tell the instructor")

// Connect connects where there is no connection.
func (r *Remote) Connect() error {
	if r.call != nil {
		return nil
	}
	config := &tls.Config{MinVersion: tls.VersionTLS13, InsecureSkipVerify: true, // the key is looked at instead of a name
		VerifyConnection: func(s tls.ConnectionState) error {
			if len(s.PeerCertificates) == 1 {
				if key, ok := s.PeerCertificates[0].PublicKey.(ed25519.PublicKey); ok &&
					bytes.Equal(key, r.Public) {
					return nil
				}
			}
			return errors.New("another machine answers there: its key is not the one of your packet")
		}}
	c, err := tls.DialWithDialer(&net.Dialer{Timeout: awayAfter}, "tcp", r.Address, config)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrAway, err)
	}
	if r.program == "" {
		r.program = rand.Text()
	}
	r.call = newCall(c)
	hello, err := r.ask(request{Sitting: r.Sitting, Proof: proofOf(r.Chain, r.Sitting), Program: r.program})
	if err == nil {
		err = r.agree(hello)
	}
	if err != nil {
		r.Close()
		return err
	}
	r.sent, r.met = hello.Lines, true
	return nil
}

// again does what needs a connection, and once more over a new one where one was lost meanwhile.
func (r *Remote) again(do func() error) error {
	had := r.call != nil
	err := r.Connect()
	if err == nil {
		err = do()
	}
	if !had || !errors.Is(err, ErrAway) {
		return err
	}
	if err := r.Connect(); err != nil {
		return err
	}
	return do()
}

// agree holds the copy of the answer log there against the log here. What was lost here
// before the sitting goes on comes back from there.
func (r *Remote) agree(there reply) error {
	if r.Log == nil {
		return nil
	}
	text, err := r.Log()
	if err != nil {
		return err
	}
	own := strings.Split(string(text), "\n")
	own = own[:len(own)-1] // what stands behind the last end of a line is none
	if len(own) >= there.Lines && bytes.Equal(sumOfLines(own[:there.Lines]), there.Sum) {
		return nil
	}
	var lines []string
	for i := range there.Lines {
		a, err := r.ask(request{Fetch: i + 1})
		if err != nil {
			return err
		}
		lines = append(lines, a.Line)
	}
	if r.met || len(own) >= len(lines) || !slices.Equal(own, lines[:len(own)]) {
		return ErrOtherLog
	}
	r.back = len(lines) - len(own)
	return r.Restore([]byte(strings.Join(lines, "\n") + "\n"))
}

// ask sends a request and gives the reply to it. The connection is given up where that
// fails.
func (r *Remote) ask(q request) (reply, error) {
	if r.call == nil {
		return reply{}, ErrAway
	}
	a, err := r.call.ask(q, r.Wall().Add(awayAfter))
	if err != nil {
		r.Close()
		return a, fmt.Errorf("%w: %w", ErrAway, err)
	}
	if a.Error == "" || a.Left != nil {
		r.left, r.leftAt = a.Left, r.Wall()
	}
	switch {
	case a.Taken:
		return a, fmt.Errorf("%w, %s", ErrTaken, a.Error)
	case a.Error != "":
		return a, fmt.Errorf("%w: %s", exam.ErrNoAnswer, a.Error)
	}
	return a, nil
}

// Left tells how much time is left, by the instructor's machine; false where it sets no end.
func (r *Remote) Left() (time.Duration, bool) {
	if r.left == nil {
		return 0, false
	}
	return r.left.Duration() - r.Wall().Sub(r.leftAt), true
}

// Close gives the connection up.
func (r *Remote) Close() {
	if r.call != nil {
		r.call.conn.Close()
		r.call = nil
	}
}

// Show has the instructor's machine answer a check. What the log has that is not there yet is
// sent before.
func (r *Remote) Show(c log.Check, worked, nth int) (shown training.Shown, err error) {
	err = r.again(func() error {
		if err := r.send(); err != nil {
			return err
		}
		a, err := r.ask(request{Check: &c, Worked: worked, Nth: nth})
		switch {
		case err != nil:
			return err
		case a.Shown == nil:
			return fmt.Errorf("%w: it sent no reading", ErrAway)
		}
		shown = a.Shown.shown()
		return nil
	})
	return shown, err
}

// Send sends the lines of the answer log that are not there yet.
func (r *Remote) Send() error { return r.again(r.send) }

func (r *Remote) send() error {
	if r.Log == nil {
		return nil
	}
	text, err := r.Log()
	if err != nil {
		return err
	}
	lines := strings.SplitAfter(string(text), "\n")
	for ; r.sent < len(lines) && strings.HasSuffix(lines[r.sent], "\n"); r.sent++ {
		a, err := r.ask(request{Keep: strings.TrimRight(lines[r.sent], "\r\n"), Line: r.sent + 1})
		if err != nil {
			return err
		}
		if a.Lines != r.sent+1 {
			return fmt.Errorf("%w: it has not kept the answer", ErrAway)
		}
	}
	return nil
}

// CameBack tells how many lines of the answer log were lost here and came back from there.
func (r *Remote) CameBack() int { return r.back }
