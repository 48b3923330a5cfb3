package room

import (
	"net"
	"slices"
	"sync"
)

// mostStrangers is how many connections may stand at the door at a time that have not proved
// yet of which sitting they are. Of those inside there is one a sitting.
const mostStrangers = 120

// door holds the connections that have not proved anything yet, oldest first. Where they are
// too many, the oldest of the address that has the most is sent away: whoever opens connections
// and says nothing shuts out nobody who comes to sit, not even from the same address.
type door struct {
	mu sync.Mutex
	at []stranger
}

type stranger struct {
	conn    net.Conn
	address string
}

// enters lets a connection stand at the door. Leave takes it away again, by whoever calls it
// first: because it has proved its sitting, or because it is closed.
func (d *door) enters(c net.Conn) (leave func()) {
	address, _, err := net.SplitHostPort(c.RemoteAddr().String())
	if err != nil {
		address = c.RemoteAddr().String()
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.at = append(d.at, stranger{c, address})
	if len(d.at) > mostStrangers {
		d.sendAway()
	}
	return sync.OnceFunc(func() {
		d.mu.Lock()
		defer d.mu.Unlock()
		d.at = slices.DeleteFunc(d.at, func(s stranger) bool { return s.conn == c })
	})
}

// sendAway closes the oldest connection of the address that has the most.
func (d *door) sendAway() {
	count, most := make(map[string]int), 0
	for _, s := range d.at {
		count[s.address]++
		most = max(most, count[s.address])
	}
	i := slices.IndexFunc(d.at, func(s stranger) bool { return count[s.address] == most })
	d.at[i].conn.Close()
	d.at = slices.Delete(d.at, i, i+1)
}
