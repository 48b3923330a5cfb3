package room

import (
	"bufio"
	"encoding/json"
	"errors"
	"net"
	"sync"
	"time"
)

// call is a connection to the instructor's machine. It answers a ping of its own accord, so
// that the machine knows this program to be there while nobody types.
type call struct {
	conn    net.Conn
	writing sync.Mutex
	replies chan reply // closed when the connection is gone
}

// errHungUp is a connection that the machine, or the network, has ended.
var errHungUp = errors.New("it has closed the connection")

func newCall(c net.Conn) *call {
	k := &call{conn: c, replies: make(chan reply, 1)}
	go k.listen()
	return k
}

// listen takes in replies until the connection is gone.
func (k *call) listen() {
	defer close(k.replies)
	in := bufio.NewScanner(k.conn)
	in.Buffer(nil, longestRequest)
	for in.Scan() {
		var a reply
		switch {
		case json.Unmarshal(in.Bytes(), &a) != nil:
			k.conn.Close()
			return
		case a.Ping:
			if k.send(request{Pong: true}) != nil {
				return
			}
			continue
		}
		select {
		case k.replies <- a:
		default: // nobody asked
			k.conn.Close()
			return
		}
	}
}

func (k *call) send(q request) error {
	k.writing.Lock()
	defer k.writing.Unlock()
	return json.NewEncoder(k.conn).Encode(q)
}

// ask sends a request and waits for its reply until a time.
func (k *call) ask(q request, until time.Time) (reply, error) {
	k.conn.SetWriteDeadline(until)
	if err := k.send(q); err != nil {
		return reply{}, err
	}
	over := time.NewTimer(awayAfter)
	defer over.Stop()
	select {
	case a, there := <-k.replies:
		if !there {
			return a, errHungUp
		}
		return a, nil
	case <-over.C:
		return reply{}, errors.New("it takes too long")
	}
}
