package generate

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
)

// board is a panel while it is drawn.
type board struct {
	r       *rand.Rand
	devices []*device
	nodes   []*node // each becomes a wire number, in this order
	counts  map[string]int

	volts     float64 // of the control supply
	hot, ret  *node
	branch    *node // behind a fuse of its own; nil until it is needed
	behind    *node // behind the common stop; nil until it is needed
	signalHot *node // of a second supply for lamps; nil until it is needed
	signalRet *node
	bond      map[*node]*device // the ground device that a node is bonded to
	bonded    bool              // the return of every source goes to ground
	metalwork bool              // there is metalwork that nothing of the circuit is bonded to
	mainFuse  *device
	fuses     []*device // to be rated once all loads are drawn
	primary   *device   // the fuse before a transformer, rated at primaryVolts
	va        float64   // of all loads
	outside   string    // the place beyond panel and door
	across    map[string]crossing
	perRun    int // points of a wire number on one chain, where it is spread; 0 for any number

	relays []*device     // coils drawn so far, in the order of their rungs
	rungs  [][]*switched // by rung: its operators
}

// device is one device and what the file says of it.
type device struct {
	name, kind, place string
	keys              []string // own keys before the contacts, as written
	contacts          []string // as written
	poles             int      // of a relay, button or switch
	changeover        bool     // a relay whose poles are all changeover contacts
	seconds           float64  // of a timer
}

// point is a terminal of a device.
type point struct {
	d        *device
	terminal string
}

func (p point) String() string { return p.d.name + ":" + p.terminal }

// node is what becomes one wire number, or one on each side of a plug.
type node struct{ points []point }

func (n *node) add(p point) { n.points = append(n.points, p) }

// contact is a pair of terminals that a device opens and closes.
type contact struct{ a, b point }

// stage is contacts in parallel branches, each branch contacts in series.
type stage [][]contact

// switched is an operator and how it is worked.
type switched struct {
	d         *device
	positions []string // the first is the one at rest
	momentary bool     // springs back when let go
	breaks    bool     // moving it stops what it is in
}

func newBoard(r *rand.Rand) *board {
	b := &board{r: r, counts: make(map[string]int), bond: make(map[*node]*device)}
	b.outside = pick(b, "field", "field", "yard")
	b.across = map[string]crossing{
		"door":    pick(b, straight, straight, straight, throughPlug),
		b.outside: pick(b, straight, throughBlock, throughBlock, throughPlug),
	}
	return b
}

// pick draws one of several things with equal odds; naming one twice doubles its odds.
func pick[T any](b *board, from ...T) T { return from[b.r.IntN(len(from))] }

// chance is true so many times in a hundred.
func (b *board) chance(percent int) bool { return b.r.IntN(100) < percent }

// add adds a device with the next free designation of its letters.
func (b *board) add(letters, kind, place string, keys ...string) *device {
	b.counts[letters]++
	d := &device{name: fmt.Sprintf("%s%d", letters, b.counts[letters]), kind: kind, place: place, keys: keys}
	b.devices = append(b.devices, d)
	return d
}

func (b *board) node() *node {
	n := &node{}
	b.nodes = append(b.nodes, n)
	return n
}

// lay wires stages of contacts in series from a node on and gives the node behind them.
func (b *board) lay(from *node, stages ...stage) *node {
	for _, s := range stages {
		to := b.node()
		for _, branch := range s {
			at := from
			for i, c := range branch {
				at.add(c.a)
				if i == len(branch)-1 {
					at = to
				} else {
					at = b.node()
				}
				at.add(c.b)
			}
		}
		from = to
	}
	return from
}

// one is a stage of a single contact.
func one(c contact) stage { return stage{{c}} }

// contact adds a contact to a device that is no relay.
func (d *device) contact(nc bool) contact {
	d.poles++
	form, first, second := "no", d.poles*10+3, d.poles*10+4
	if nc {
		form, first, second = "nc", d.poles*10+1, d.poles*10+2
	}
	d.contacts = append(d.contacts, fmt.Sprintf("{%s: [%d, %d]}", form, first, second))
	return d.pair(first, second)
}

// closedIn adds a contact to a selector switch that is closed in one position.
func (d *device) closedIn(position string) contact {
	d.poles++
	first, second := d.poles*10+3, d.poles*10+4
	d.contacts = append(d.contacts, fmt.Sprintf("{terminals: [%d, %d], closed: [%s]}", first, second,
		position))
	return d.pair(first, second)
}

// pole adds a contact to a relay, contactor or timer, as half of a changeover contact
// where the device has such.
func (d *device) pole(nc, timed bool) contact {
	if !d.changeover {
		c := d.contact(nc)
		d.follow(timed)
		return c
	}
	halves := d.change(timed)
	if nc {
		return halves[0]
	}
	return halves[1]
}

// change adds a changeover contact; its NC half comes first.
func (d *device) change(timed bool) [2]contact {
	d.poles++
	common, nc, no := d.poles*10+1, d.poles*10+2, d.poles*10+4
	d.contacts = append(d.contacts, fmt.Sprintf("{common: %d, nc: %d, no: %d}", common, nc, no))
	d.follow(timed)
	return [2]contact{d.pair(common, nc), d.pair(common, no)}
}

// follow makes the last contact follow the delay of a timer.
func (d *device) follow(timed bool) {
	if last := &d.contacts[len(d.contacts)-1]; timed {
		*last = strings.TrimSuffix(*last, "}") + ", timed: true}"
	}
}

func (d *device) pair(first, second int) contact {
	return contact{point{d, fmt.Sprint(first)}, point{d, fmt.Sprint(second)}}
}

func (d *device) at(terminal string) point { return point{d, terminal} }

// text writes the devices, the places and the wires.
func (b *board) text() string {
	wires := b.wires() // may add terminal blocks and plugs
	var s strings.Builder
	if b.outside == "yard" {
		s.WriteString("places: {yard: 6}\n")
	}
	s.WriteString("devices:\n")
	for _, d := range b.devices {
		keys := []string{"type: " + d.kind}
		if d.place != "panel" {
			keys = append(keys, "place: "+d.place)
		}
		keys = slices.Concat(keys, d.keys)
		if len(d.contacts) > 0 {
			keys = append(keys, "contacts: ["+strings.Join(d.contacts, ", ")+"]")
		}
		fmt.Fprintf(&s, "  %s: {%s}\n", d.name, strings.Join(keys, ", "))
	}
	s.WriteString("wires:\n" + wires)
	return s.String()
}
