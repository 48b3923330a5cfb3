package room

import (
	"encoding/json"
	"net"
	"sync"
	"time"
)

// answersPing is how long a program may take to say that it is there, when another one asks for
// its sitting.
const answersPing = 3 * time.Second

// line is a connection of a candidate's program, as the machine has it.
type line struct {
	net.Conn
	program string    // which one it is of
	since   time.Time // it is answered
	told    bool      // that another one was refused

	writing sync.Mutex
	asking  sync.Mutex
	dead    bool // it did not answer once
	pong    chan struct{}
	gone    chan struct{} // closed when it is
}

func newLine(c net.Conn) *line {
	return &line{Conn: c, pong: make(chan struct{}, 1), gone: make(chan struct{})}
}

// say sends a reply.
func (l *line) say(r reply) error {
	l.writing.Lock()
	defer l.writing.Unlock()
	return json.NewEncoder(l.Conn).Encode(r)
}

// heard takes in that the program is there.
func (l *line) heard() {
	select {
	case l.pong <- struct{}{}:
	default:
	}
}

// lives asks whether the program at the other end is there. A connection may look whole whose
// machine has lost its power or its network.
func (l *line) lives() bool {
	l.asking.Lock()
	defer l.asking.Unlock()
	if l.dead {
		return false
	}
	select {
	case <-l.pong: // of before
	default:
	}
	over := time.NewTimer(answersPing)
	defer over.Stop()
	go func() {
		if l.say(reply{Ping: true}) != nil {
			l.Close()
		}
	}()
	select {
	case <-l.pong:
		return true
	case <-l.gone:
	case <-over.C:
	}
	l.dead = true
	return false
}
