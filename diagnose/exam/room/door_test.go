package room

import (
	"net"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/exam"
)

// from is a connection from an address.
type from struct {
	net.Conn
	address string
	closed  *bool
}

func (f from) RemoteAddr() net.Addr {
	return &net.TCPAddr{IP: net.ParseIP(f.address), Port: 1}
}

func (f from) Close() error {
	*f.closed = true
	return nil
}

// Who stands at the door and proves nothing makes room for those who come after, the oldest of
// the address that has the most first.
func TestDoor(t *testing.T) {
	var d door
	come := func(address string) (gone *bool, leave func()) {
		gone = new(bool)
		return gone, d.enters(from{address: address, closed: gone})
	}
	other, leaveOther := come("192.0.2.2")
	var first []*bool
	for range mostStrangers {
		gone, _ := come("192.0.2.1")
		first = append(first, gone)
	}
	assert.False(t, *other, "another address")
	assert.True(t, *first[0])
	assert.False(t, *first[1])
	late, leave := come("192.0.2.1")
	assert.True(t, *first[1])
	leave()
	leave() // counts once
	leaveOther()
	come("192.0.2.3")
	come("192.0.2.4")
	assert.False(t, *late)
	assert.False(t, *first[2], "there was room for two")
	assert.Len(t, d.at, mostStrangers)
}

// Four hundred connections that say nothing, from the very address that all come from, hold up
// neither a candidate who was let in nor one who comes meanwhile.
func TestIdleConnections(t *testing.T) {
	r := opened(t, "7")
	own := r.at(t, r, 1, exam.SittingID(r.set.Key.Exam, 1, 1))
	require.NoError(t, own.Connect())
	for range 400 {
		c, err := net.Dial("tcp", r.address)
		require.NoError(t, err)
		defer c.Close()
	}
	text := "{\"line\":1}\n"
	own.Log = func() ([]byte, error) { return []byte(text), nil }
	require.NoError(t, own.Send())
	own.Close()
	again := r.at(t, r, 1, exam.SittingID(r.set.Key.Exam, 1, 1))
	require.NoError(t, again.Connect())
}
