package room

import (
	"net"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/exam"
)

// from is a connection from an address.
type from struct {
	net.Conn
	address string
}

func (f from) RemoteAddr() net.Addr {
	return &net.TCPAddr{IP: net.ParseIP(f.address), Port: 1}
}

// Who stands at the door and proves nothing is counted by address, until it leaves.
func TestDoor(t *testing.T) {
	var d door
	var leave []func()
	for range mostStrangers {
		l, may := d.enters(from{address: "192.0.2.1"})
		require.True(t, may)
		leave = append(leave, l)
	}
	_, may := d.enters(from{address: "192.0.2.1"})
	assert.False(t, may)
	other, may := d.enters(from{address: "192.0.2.2"})
	assert.True(t, may, "another address")
	other()
	leave[0]()
	leave[0]() // counts once
	_, may = d.enters(from{address: "192.0.2.1"})
	assert.True(t, may)
	_, may = d.enters(from{address: "192.0.2.1"})
	assert.False(t, may)
	for _, l := range leave {
		l()
	}
	assert.Equal(t, map[string]int{"192.0.2.1": 1}, d.at)
}

// Connections that say nothing are closed when they are too many, and do not hold up a
// candidate who was let in; once they are gone the next one is.
func TestIdleConnections(t *testing.T) {
	r := opened(t, "7")
	own := r.at(t, r, 1, exam.SittingID(r.set.Key.Exam, 1, 1))
	require.NoError(t, own.Connect())
	var idle []net.Conn
	for range 3 * mostStrangers {
		c, err := net.Dial("tcp", r.address)
		require.NoError(t, err)
		idle = append(idle, c)
	}
	text := "{\"line\":1}\n"
	own.Log = func() ([]byte, error) { return []byte(text), nil }
	require.NoError(t, own.Send())
	for _, c := range idle {
		c.Close()
	}
	again := r.at(t, r, 1, exam.SittingID(r.set.Key.Exam, 1, 1))
	assert.Eventually(t, func() bool { return again.Connect() == nil }, 10*time.Second, 20*time.Millisecond)
}
