package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// The instructor's machine answers the checks of an exam that is served. A candidate's
// program connects by TLS to a machine whose public key stands in its packet, proves with
// its chain's key whose sitting it is, and then sends one JSON object a line:
//
//	{"sitting":"ID/7/1","proof":"…"}            {"lines":12,"sum":"…"}   how much of the log is here
//	{"fetch":3}                                 {"lines":12,"line":"…"}  the third line of it
//	{"check":{…},"worked":3,"nth":4}            {"shown":{…}}    or {"error":"…"}
//	{"keep":"one line of the answer log"}       {"lines":13}
//
// The fault never leaves the machine, which keeps a copy of every answer log and of every
// question, with its own times.

// Bounds of what a candidate's program may ask.
const (
	servedDir       = "served"
	askedEnd        = ".asked"               // the questions of a sitting
	longestRequest  = 64 << 10               // bytes
	mostKept        = 20000                  // lines of one answer log
	mostConnections = 400                    // at a time
	servedPatience  = 4 * time.Hour          // between two requests
	servedPause     = 500 * time.Millisecond // between two questions of one sitting: nobody measures faster
	defaultListen   = "127.0.0.1:4127"
)

type serveOptions struct {
	dir    string
	listen string
	secret secret
	now    func() time.Time
}

func newExamServe(s streams) *cobra.Command {
	o := serveOptions{now: timeNow}
	c := &cobra.Command{
		Use:   "serve DIR",
		Short: "Answer the checks of an exam on the instructor's machine",
		Long: `Serve answers the checks of an exam that was set with --form served, until Ctrl-C. The
packets then hold no readings: nobody can work the fault out of one. A copy of every
answer log, and of every question, is kept in the folder served of the exam.

It listens on this machine alone; --listen :4127 opens it to the network of the room.
Candidates sit with: deadrung exam sit PACKET --server HOST:4127`,
		Args: oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.dir = args[0]
			ctx, stop := talk.Interruptible(cmd.Context())
			defer stop()
			return runExamServe(ctx, o, s)
		},
	}
	c.Flags().StringVar(&o.listen, "listen", defaultListen, "the address to listen on, HOST:PORT")
	o.secret.flags(c.Flags())
	return c
}

func runExamServe(ctx context.Context, o serveOptions, s streams) error {
	f, key, err := openKey(o.dir, o.secret, s)
	if err != nil {
		return err
	}
	if key.Form != exam.Served {
		return usagef("this exam is %s: it needs no machine to answer", key.Form)
	}
	dir := filepath.Join(o.dir, servedDir)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("cannot write the answers: %w", err)
	}
	certificate, err := serverCertificate(key.Server)
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", o.listen)
	if err != nil {
		return fmt.Errorf("cannot listen: %w", err)
	}
	v := &server{folder: f, key: key, dir: dir, now: o.now, err: s.err, seats: make(map[string]*seat), room: make(chan struct{}, mostConnections)}
	context.AfterFunc(ctx, func() { listener.Close() })
	fmt.Fprintf(s.out, "Answering for %s on %s until Ctrl-C. Copies are kept in %s.\n", key.Title, listener.Addr(), dir)
	v.serve(ctx, tls.NewListener(listener, &tls.Config{Certificates: []tls.Certificate{certificate}, MinVersion: tls.VersionTLS13}))
	fmt.Fprintf(s.out, "Stopped. Mark with: deadrung exam mark %s\n", o.dir)
	return nil
}

// serverCertificate makes the certificate of the machine out of the exam's key. Nobody
// looks at anything in it but its public key.
func serverCertificate(seed []byte) (tls.Certificate, error) {
	if len(seed) != ed25519.SeedSize {
		return tls.Certificate{}, errors.New("the key of this exam has none for a server")
	}
	private := ed25519.NewKeyFromSeed(seed)
	template := x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: time.Unix(0, 0), NotAfter: time.Date(9999, 12, 31, 0, 0, 0, 0, time.UTC)}
	raw, err := x509.CreateCertificate(rand.Reader, &template, &template, private.Public(), private)
	return tls.Certificate{Certificate: [][]byte{raw}, PrivateKey: private}, err
}

// server answers all candidates of an exam.
type server struct {
	folder *examFolder
	key    *exam.Key
	dir    string
	now    func() time.Time
	err    io.Writer
	room   chan struct{}

	mu    sync.Mutex
	seats map[string]*seat
}

// seat is one sitting on the server.
type seat struct {
	mu    sync.Mutex
	panel *exam.Readings
	log   *os.File // the copy of the answer log
	asked *os.File // every question
	kept  []string // its lines
	ended bool     // a fault was named
	last  time.Time
}

// serve takes connections until the listener is closed.
func (v *server) serve(ctx context.Context, l net.Listener) {
	var all sync.WaitGroup
	defer all.Wait()
	for {
		c, err := l.Accept()
		if err != nil {
			if ctx.Err() != nil || errors.Is(err, net.ErrClosed) {
				return
			}
			time.Sleep(50 * time.Millisecond)
			continue
		}
		select {
		case v.room <- struct{}{}:
		default:
			c.Close() // more than a class
			continue
		}
		all.Go(func() {
			defer func() { <-v.room }()
			stop := context.AfterFunc(ctx, func() { c.Close() })
			defer stop()
			defer c.Close()
			v.talk(c)
		})
	}
}

// request is a line from a candidate's program, reply one to it.
type request struct {
	Sitting string     `json:"sitting,omitempty"`
	Proof   []byte     `json:"proof,omitempty"`
	Check   *log.Check `json:"check,omitempty"`
	Worked  int        `json:"worked"`
	Nth     int        `json:"nth"`
	Keep    string     `json:"keep,omitempty"`
	Fetch   int        `json:"fetch,omitempty"` // a line of the log, from one
}

type reply struct {
	Lines int     `json:"lines"`
	Sum   []byte  `json:"sum,omitempty"` // of the lines, see sumOfLines
	Line  string  `json:"line,omitempty"`
	Shown *onLine `json:"shown,omitempty"`
	Error string  `json:"error,omitempty"`
}

// onLine is what is shown, as it goes over the line; OL is a value below zero.
type onLine struct {
	Kind    log.Kind `json:"kind"`
	On      bool     `json:"on"`
	Value   float64  `json:"value"`
	Wanders bool     `json:"wanders"`
	Low     float64  `json:"low"`
	High    float64  `json:"high"`
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

// talk answers one connection.
func (v *server) talk(c net.Conn) {
	in := bufio.NewScanner(c)
	in.Buffer(nil, longestRequest)
	out := json.NewEncoder(c)
	var at *seat
	for {
		patience := servedPatience
		if at == nil {
			patience = 10 * time.Second
		}
		c.SetDeadline(time.Now().Add(patience))
		if !in.Scan() {
			return
		}
		var r request
		if json.Unmarshal(in.Bytes(), &r) != nil {
			return
		}
		var answer reply
		switch {
		case at == nil:
			var err error
			if at, err = v.seat(r); err != nil {
				out.Encode(reply{Error: err.Error()})
				return
			}
			answer = at.count()
		case r.Check != nil:
			answer = at.answer(r, v.now)
		case r.Keep != "":
			answer = at.keep(r.Keep)
		case r.Fetch != 0:
			answer = at.fetch(r.Fetch)
		}
		if out.Encode(answer) != nil {
			return
		}
	}
}

// seat finds the sitting that a program proves to be of.
func (v *server) seat(r request) (*seat, error) {
	refused := errors.New("this packet does not belong to the exam that is served here")
	for _, c := range v.key.Keys {
		for i, t := range c.Tasks {
			id := exam.SittingID(v.key.Exam, c.Number, i+1)
			if id != r.Sitting {
				continue
			}
			if !hmac.Equal(r.Proof, proofOf(c.Chain, id)) {
				return nil, refused
			}
			return v.open(id, answersName(v.key.Exam, c.Number, i+1), v.folder.models[t.Circuit], t)
		}
	}
	return nil, refused
}

// open opens the copies of a sitting, once.
func (v *server) open(id, name string, m *diagnose.Model, t exam.TaskKey) (*seat, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if s := v.seats[id]; s != nil {
		return s, nil
	}
	failed := func(err error) (*seat, error) {
		fmt.Fprintf(v.err, "deadrung: %s: %v\n", id, err)
		return nil, errors.New("the instructor's machine cannot answer: tell the instructor")
	}
	fault, err := faultmodel.Find(m.Faults(), string(t.Fault))
	if err != nil {
		return failed(err)
	}
	s := &seat{}
	if s.panel, err = exam.MakeReadings(m, fault, t.Table); err != nil {
		return failed(err)
	}
	path := filepath.Join(v.dir, name)
	if s.log, err = os.OpenFile(path, os.O_RDWR|os.O_APPEND|os.O_CREATE, 0o644); err != nil {
		return failed(err)
	}
	text, err := io.ReadAll(s.log)
	if err != nil {
		return failed(err)
	}
	whole := string(text[:bytes.LastIndexByte(text, '\n')+1]) // a line that was cut short is sent again
	if err := s.log.Truncate(int64(len(whole))); err != nil {
		return failed(err)
	}
	for line := range strings.Lines(whole) {
		s.note(strings.TrimSuffix(line, "\n"))
	}
	if s.asked, err = os.OpenFile(strings.TrimSuffix(path, ".jsonl")+askedEnd, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o644); err != nil {
		return failed(err)
	}
	v.seats[id] = s
	return s, nil
}

func (s *seat) count() reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	return reply{Lines: len(s.kept), Sum: sumOfLines(s.kept)}
}

// note counts a line that the copy has.
func (s *seat) note(line string) {
	s.kept = append(s.kept, line)
	var act struct {
		Act log.ActKind `json:"act"`
	}
	s.ended = s.ended || json.Unmarshal([]byte(line), &act) == nil && act.Act == log.StateAct
}

// fetch gives a line of the copy.
func (s *seat) fetch(n int) reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := reply{Lines: len(s.kept)}
	if n >= 1 && n <= len(s.kept) {
		r.Line = s.kept[n-1]
	}
	return r
}

// answer answers a check, and keeps that it was asked.
func (s *seat) answer(r request, now func() time.Time) reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.ended {
		return reply{Lines: len(s.kept), Error: "a fault was named: this sitting is over"}
	}
	time.Sleep(time.Until(s.last.Add(servedPause)))
	s.last = time.Now()
	asked, _ := json.Marshal(struct {
		At    string    `json:"at"`
		Check log.Check `json:"asked"`
	}{now().Format(time.RFC3339), *r.Check})
	if _, err := s.asked.Write(append(asked, '\n')); err != nil {
		return reply{Lines: len(s.kept), Error: "the instructor's machine cannot write: tell the instructor"}
	}
	steps := s.panel.Steps()
	shown, err := s.panel.Show(*r.Check, max(-1, min(r.Worked, steps-1)), max(0, r.Nth))
	if err != nil {
		return reply{Lines: len(s.kept), Error: err.Error()}
	}
	return reply{Lines: len(s.kept), Shown: toLine(shown)}
}

// keep writes a line of the answer log.
func (s *seat) keep(line string) reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.kept) < mostKept && !strings.ContainsAny(line, "\r\n") && json.Valid([]byte(line)) {
		if _, err := s.log.WriteString(line + "\n"); err == nil && s.log.Sync() == nil {
			s.note(line)
		}
	}
	return reply{Lines: len(s.kept)}
}
