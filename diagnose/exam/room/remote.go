package room

import (
	"bufio"
	"bytes"
	"crypto/ed25519"
	"crypto/tls"
	"encoding/json"
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

	conn net.Conn
	in   *bufio.Scanner
	sent int  // lines of the answer log that are there
	met  bool // there was a connection before
	back int  // lines that were lost here and came back from there
}

// ErrOtherLog is an answer log that is not the one of which the instructor's machine has
// the copy.
var ErrOtherLog = errors.New("the answer log here is not the one that the instructor's machine has of this sitting: tell the instructor")

// Connect connects where there is no connection.
func (r *Remote) Connect() error {
	if r.conn != nil {
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
	r.conn, r.in = c, bufio.NewScanner(c)
	r.in.Buffer(nil, longestRequest)
	hello, err := r.ask(request{Sitting: r.Sitting, Proof: proofOf(r.Chain, r.Sitting)})
	if err != nil {
		return err
	}
	if err := r.agree(hello); err != nil {
		r.Close()
		return err
	}
	r.sent, r.met = hello.Lines, true
	return nil
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
	var a reply
	r.conn.SetDeadline(r.Wall().Add(awayAfter))
	err := json.NewEncoder(r.conn).Encode(q)
	if err == nil && !r.in.Scan() {
		if err = r.in.Err(); err == nil {
			err = errors.New("it has closed the connection")
		}
	}
	if err == nil {
		err = json.Unmarshal(r.in.Bytes(), &a)
	}
	if err != nil {
		r.Close()
		return a, fmt.Errorf("%w: %w", ErrAway, err)
	}
	if a.Error != "" {
		return a, fmt.Errorf("%w: %s", exam.ErrNoAnswer, a.Error)
	}
	return a, nil
}

// Close gives the connection up.
func (r *Remote) Close() {
	if r.conn != nil {
		r.conn.Close()
		r.conn = nil
	}
}

// Show has the instructor's machine answer a check.
func (r *Remote) Show(c log.Check, worked, nth int) (training.Shown, error) {
	if err := r.Connect(); err != nil {
		return training.Shown{}, err
	}
	a, err := r.ask(request{Check: &c, Worked: worked, Nth: nth})
	if err != nil {
		return training.Shown{}, err
	}
	if a.Shown == nil {
		return training.Shown{}, fmt.Errorf("%w: it sent no reading", ErrAway)
	}
	return a.Shown.shown(), nil
}

// Send sends the lines of the answer log that are not there yet.
func (r *Remote) Send() error {
	if err := r.Connect(); err != nil {
		return err
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
