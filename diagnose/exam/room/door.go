package room

import (
	"net"
	"sync"
)

// mostStrangers is how many connections of one address may stand at the door at a time, not
// having proved yet of which sitting they are. A class behind one address passes; whoever opens
// connections and says nothing shuts out nobody else. Of those inside there is one a sitting.
const mostStrangers = 60

// door counts the connections that have not proved anything yet, by their addresses.
type door struct {
	mu sync.Mutex
	at map[string]int
}

// enters lets a connection stand at the door. Where it may, leave takes it away again, by
// whoever calls it first: because it has proved its sitting, or because it is closed.
func (d *door) enters(c net.Conn) (leave func(), may bool) {
	address, _, err := net.SplitHostPort(c.RemoteAddr().String())
	if err != nil {
		address = c.RemoteAddr().String()
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.at[address] >= mostStrangers {
		return nil, false
	}
	if d.at == nil {
		d.at = make(map[string]int)
	}
	d.at[address]++
	return sync.OnceFunc(func() {
		d.mu.Lock()
		defer d.mu.Unlock()
		if d.at[address]--; d.at[address] == 0 {
			delete(d.at, address)
		}
	}), true
}
