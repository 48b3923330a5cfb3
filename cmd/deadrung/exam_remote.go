package main

import (
	"bufio"
	"bytes"
	"crypto/ed25519"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"slices"
	"strings"
	"time"

	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// remotePatience is how long the instructor's machine may take for one answer.
const remotePatience = 20 * time.Second

// errRemote is a check that the instructor's machine did not answer.
var errRemote = errors.New("the instructor's machine does not answer")

// remote is a panel on the instructor's machine. It also sends the lines of the answer
// log there; what could not be sent is sent later.
type remote struct {
	address string
	public  []byte // the machine's public key
	chain   []byte
	sitting string
	file    string // the answer log

	conn net.Conn
	in   *bufio.Scanner
	sent int  // lines of the answer log that are there
	met  bool // there was a connection before
	back int  // lines that were lost here and came back from there
}

// errOtherLog is an answer log that is not the one of which the instructor's machine has
// the copy.
var errOtherLog = errors.New("the answer log here is not the one that the instructor's machine has of this sitting: tell the instructor")

// connect connects where there is no connection.
func (r *remote) connect() error {
	if r.conn != nil {
		return nil
	}
	config := &tls.Config{MinVersion: tls.VersionTLS13, InsecureSkipVerify: true, // the key is looked at instead of a name
		VerifyConnection: func(s tls.ConnectionState) error {
			if len(s.PeerCertificates) == 1 {
				if key, ok := s.PeerCertificates[0].PublicKey.(ed25519.PublicKey); ok && bytes.Equal(key, r.public) {
					return nil
				}
			}
			return errors.New("another machine answers there: its key is not the one of your packet")
		}}
	c, err := tls.DialWithDialer(&net.Dialer{Timeout: remotePatience}, "tcp", r.address, config)
	if err != nil {
		return fmt.Errorf("%w: %w", errRemote, err)
	}
	r.conn, r.in = c, bufio.NewScanner(c)
	r.in.Buffer(nil, longestRequest)
	hello, err := r.ask(request{Sitting: r.sitting, Proof: proofOf(r.chain, r.sitting)})
	if err != nil {
		return err
	}
	if err := r.agree(hello); err != nil {
		r.close()
		return err
	}
	r.sent, r.met = hello.Lines, true
	return nil
}

// agree holds the copy of the answer log there against the log here. What was lost here
// before the sitting goes on comes back from there.
func (r *remote) agree(there reply) error {
	if r.file == "" {
		return nil
	}
	text, err := os.ReadFile(r.file)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
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
		return errOtherLog
	}
	r.back = len(lines) - len(own)
	return os.WriteFile(r.file, []byte(strings.Join(lines, "\n")+"\n"), 0o644)
}

// ask sends a request and gives the reply to it. The connection is given up where that
// fails.
func (r *remote) ask(q request) (reply, error) {
	var a reply
	r.conn.SetDeadline(time.Now().Add(remotePatience))
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
		r.close()
		return a, fmt.Errorf("%w: %w", errRemote, err)
	}
	if a.Error != "" {
		return a, fmt.Errorf("%w: %s", exam.ErrNoAnswer, a.Error)
	}
	return a, nil
}

func (r *remote) close() {
	if r.conn != nil {
		r.conn.Close()
		r.conn = nil
	}
}

// Show has the instructor's machine answer a check.
func (r *remote) Show(c log.Check, worked, nth int) (training.Shown, error) {
	if err := r.connect(); err != nil {
		return training.Shown{}, err
	}
	a, err := r.ask(request{Check: &c, Worked: worked, Nth: nth})
	if err != nil {
		return training.Shown{}, err
	}
	if a.Shown == nil {
		return training.Shown{}, fmt.Errorf("%w: it sent no reading", errRemote)
	}
	return a.Shown.shown(), nil
}

// send sends the lines of the answer log that are not there yet.
func (r *remote) send() error {
	if err := r.connect(); err != nil {
		return err
	}
	text, err := os.ReadFile(r.file)
	if err != nil {
		return err
	}
	lines := strings.SplitAfter(string(text), "\n")
	for ; r.sent < len(lines) && strings.HasSuffix(lines[r.sent], "\n"); r.sent++ {
		a, err := r.ask(request{Keep: strings.TrimRight(lines[r.sent], "\r\n")})
		if err != nil {
			return err
		}
		if a.Lines != r.sent+1 {
			return fmt.Errorf("%w: it has not kept the answer", errRemote)
		}
	}
	return nil
}

// toLine writes what is shown for the line, shown reads it.
func toLine(s training.Shown) *onLine {
	l := &onLine{s.Reading.Kind, s.Reading.On, s.Reading.Value, s.Wanders, s.Low, s.High}
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
	return training.Shown{Reading: log.Reading{Kind: l.Kind, On: l.On, Value: back(l.Value), Firm: true}, Wanders: l.Wanders, Low: back(l.Low), High: back(l.High)}
}
