package room

import (
	"bufio"
	"context"
	"crypto/ed25519"
	"crypto/hmac"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"io"
	"maps"
	"math/big"
	"net"
	"sync"
	"time"

	"deadrung/diagnose"
	"deadrung/diagnose/exam"
)

// Bounds of what a candidate's program may ask.
const (
	mostKept = 20000            // lines of one answer log
	mostSize = 8 << 20          // bytes of it
	patience = 4 * time.Hour    // between two requests
	greeting = 10 * time.Second // until the first one

	// Pause is the time between two questions of one sitting: nobody measures faster.
	Pause = 500 * time.Millisecond
)

// Copy is an open file of lines that is added to. A line that Append has failed to add is not
// in the file.
type Copy interface {
	Text() []byte
	Cut(size int) error
	Append(lines []byte) error
	// PutBack writes the file anew, as it is known here, where something else has touched it.
	PutBack(lines []byte) (aside string, err error)
	Close() error
}

// Server answers all candidates of an exam.
type Server struct {
	Key    *exam.Key
	Models []*diagnose.Model // of the exam's circuits
	Clock  Clock
	Hours  Hours
	// Open opens the copy of a sitting's answer log, and its record.
	Open func(candidate, task int) (log, record Copy, err error)
	// Failed is told of a sitting that cannot be answered or kept, and why.
	Failed func(sitting string, err error)

	mu    sync.Mutex
	since time.Time // it serves
	seats map[string]*seat

	telling sync.Mutex
}

// Certificate makes the certificate of the machine out of the exam's key. Nobody looks at
// anything in it but its public key.
func Certificate(seed []byte, random io.Reader) (tls.Certificate, error) {
	if len(seed) != ed25519.SeedSize {
		return tls.Certificate{}, errors.New("the key of this exam has none for a server")
	}
	private := ed25519.NewKeyFromSeed(seed)
	template := x509.Certificate{
		SerialNumber: big.NewInt(1),
		NotBefore:    time.Unix(0, 0),
		NotAfter:     time.Date(9999, 12, 31, 0, 0, 0, 0, time.UTC),
	}
	raw, err := x509.CreateCertificate(random, &template, &template, private.Public(), private)
	return tls.Certificate{Certificate: [][]byte{raw}, PrivateKey: private}, err
}

// Serve takes connections until the listener is closed, which the end of the context does.
func (v *Server) Serve(ctx context.Context, l net.Listener, c tls.Certificate) {
	stop := context.AfterFunc(ctx, func() { l.Close() })
	defer stop()
	defer v.close()
	v.begins()
	config := &tls.Config{Certificates: []tls.Certificate{c}, MinVersion: tls.VersionTLS13}
	var outside door
	var all sync.WaitGroup
	defer all.Wait()
	for {
		plain, err := l.Accept()
		if err != nil {
			if ctx.Err() != nil || errors.Is(err, net.ErrClosed) {
				return
			}
			v.Clock.Sleep(50 * time.Millisecond)
			continue
		}
		leave := outside.enters(plain)
		all.Go(func() {
			defer leave()
			stop := context.AfterFunc(ctx, func() { plain.Close() })
			defer stop()
			defer plain.Close()
			v.answer(tls.Server(plain, config), leave)
		})
	}
}

// begins takes down since when it serves.
func (v *Server) begins() {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.since.IsZero() {
		v.since = v.Clock.Now()
	}
}

// answer answers one connection. Known is called once it has proved its sitting.
func (v *Server) answer(c net.Conn, known func()) {
	in := bufio.NewScanner(c)
	in.Buffer(nil, longestRequest)
	l := newLine(c)
	defer close(l.gone)
	var at *seat
	for {
		wait := patience
		if at == nil {
			wait = greeting
		}
		c.SetDeadline(v.Clock.Wall().Add(wait))
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
			seat, err := v.seat(r)
			if err != nil {
				l.say(reply{Error: err.Error()})
				return
			}
			known()
			l.program, l.since = r.Program, v.Clock.Now()
			if refused := seat.take(l); refused != "" {
				l.say(reply{Taken: true, Error: refused})
				return
			}
			at = seat
			defer at.leave(l)
			answer = at.count()
		case r.Pong:
			l.heard()
			continue
		case r.Check != nil:
			answer = at.answer(r)
		case r.Keep != "":
			answer = at.keep(r.Keep, r.Line)
		case r.Fetch != 0:
			answer = at.fetch(r.Fetch)
		}
		answer.Left = at.left()
		if l.say(answer) != nil {
			return
		}
	}
}

// seat finds the sitting that a program proves to be of.
func (v *Server) seat(r request) (*seat, error) {
	refused := errors.New("this packet does not belong to the exam that is served here")
	for _, c := range v.Key.Keys {
		for i := range c.Tasks {
			id := exam.SittingID(v.Key.Exam, c.Number, i+1)
			if id != r.Sitting {
				continue
			}
			if !hmac.Equal(r.Proof, proofOf(c.Chain, id)) {
				return nil, refused
			}
			return v.open(id, c, i)
		}
	}
	return nil, refused
}

// open opens the copies of a sitting, once.
func (v *Server) open(id string, c exam.CandidateKey, task int) (*seat, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if s := v.seats[id]; s != nil {
		return s, nil
	}
	if v.since.IsZero() {
		v.since = v.Clock.Now()
	}
	t := c.Tasks[task]
	s := &seat{candidate: c.Number, clock: v.Clock, hours: v.Hours, chain: v.Key.RecordChain(id),
		failed: func(err error) { v.tell(id, err) }}
	err := s.open(v.Models[t.Circuit], t, v.since, func() (Copy, Copy, error) { return v.Open(c.Number, task+1) })
	if err != nil {
		v.tell(id, err)
		return nil, errors.New("the instructor's machine cannot answer: tell the instructor")
	}
	if v.seats == nil {
		v.seats = make(map[string]*seat)
	}
	v.seats[id] = s
	return s, nil
}

// Seated is a sitting as the machine has it at the moment.
type Seated struct {
	Here bool  // its candidate's program is connected
	Left *Left // of its time; nil where there is no end, and once a fault was named
}

// Seated gives the sittings that were begun or gone on with since the machine serves.
func (v *Server) Seated() map[string]Seated {
	v.mu.Lock()
	seats := maps.Clone(v.seats)
	v.mu.Unlock()
	all := make(map[string]Seated, len(seats))
	for id, s := range seats {
		s.mu.Lock() // which waits for an answer on its way
		all[id] = Seated{s.at != nil, s.remains()}
		s.mu.Unlock()
	}
	return all
}

// tell tells the instructor, one thing at a time.
func (v *Server) tell(sitting string, err error) {
	v.telling.Lock()
	defer v.telling.Unlock()
	v.Failed(sitting, err)
}

// close closes all copies.
func (v *Server) close() {
	v.mu.Lock()
	defer v.mu.Unlock()
	for _, s := range v.seats {
		s.log.Close()
		s.record.Close()
	}
	v.seats = nil
}
