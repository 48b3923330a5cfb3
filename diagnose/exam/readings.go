package exam

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"hash"
	"math"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// Readings answer the checks of a simulated sitting out of a table that lies in the
// candidate's packet. The table has one record for every question that may be asked, in
// an order that the circuit alone decides, and every record has the length of its kind: a
// table is as long for one fault as for another, and says nowhere which it is. Each
// record is encrypted under a key of its own, made of the packet's key and the question,
// so that nobody sees an answer without asking for it. The packet's key lies beside the
// table: a programmer who asks every question has every reading.
//
//	looks        by step, by device                    1 byte: off, on, unsteady
//	blown        by step                               1 byte: protective devices stand open
//	potentials   by step, by terminal                  20 bytes: island, volts
//	ohms         whole or blown, by way of holding the
//	             operators, by pair of terminals       4 bytes
//	lifted ohms  the same, wires lifted off the first  4 bytes
//	diode tests  whole or blown, by way of holding the
//	             operators, by diode, either way
//	             round, by what is lifted              4 bytes
type Readings struct {
	m      *diagnose.Model
	key    []byte
	mac    hash.Hash // HMAC-SHA-256 under the key
	table  []byte
	layout layout
}

// ErrNoAnswer is the error of a check that a packet has no answer to.
var ErrNoAnswer = errors.New("the packet does not answer this")

// MostReadings bounds a table, in bytes. A panel that needs more is answered by the
// instructor's machine, or on a bench.
const MostReadings = 24 << 20

// Lengths of the records in bytes.
const (
	lookLength   = 1
	blownLength  = 1
	islandLength = 4
	toneLength   = 8
	ohmsLength   = 4
)

// fewestTones are those that a table holds in any case.
const fewestTones = 2

// layout is where in a table the answer to a question lies.
type layout struct {
	steps   int
	visible []work.Sight
	nodes   []network.Node // those that a lead belongs on
	index   map[network.Node]int
	hands   []int // steps that differ by how the operators stand
	lifts   []circuits.Terminal

	blown, potentials, ohms, length int // where each part begins
	potential                       int // length of that of one node
	way                             int // length of the ohms of one way

	diodes    []log.Check // tests of diodes, but for the step
	diodeFrom int         // where they begin
}

// layoutOf works out the layout of a circuit's tables.
func layoutOf(m *diagnose.Model) layout {
	p := m.Panel()
	l := layout{steps: len(p.Circuit.Steps), visible: p.Sights(), index: make(map[network.Node]int)}
	for _, d := range p.Circuit.Devices {
		for _, name := range d.Terminals {
			t := d.Terminal(name)
			n := p.Node(t)
			if _, known := l.index[n]; known || n == 0 || !p.Wired(t) && d.Type.Kind != circuits.GroundKind {
				continue
			}
			l.index[n] = len(l.nodes)
			l.nodes = append(l.nodes, n)
			l.lifts = append(l.lifts, t)
		}
	}
	for s := range l.steps {
		if m.Book().Held(s) == s {
			l.hands = append(l.hands, s)
		}
	}
	n := len(l.nodes)
	l.blown = l.steps * len(l.visible) * lookLength
	l.potentials = l.blown + l.steps*blownLength
	l.potential = islandLength + max(fewestTones, p.Net.Tones())*toneLength
	l.ohms = l.potentials + l.steps*n*l.potential
	l.way = (n*(n-1)/2 + n*(n-1)) * ohmsLength
	for _, c := range p.DiodeConductors() {
		a, k := p.Net.Ends(c)
		if _, ok := l.index[a]; !ok {
			continue
		}
		if _, ok := l.index[k]; !ok {
			continue
		}
		ends := []circuits.Terminal{p.Terminal(a), p.Terminal(k)}
		for _, leads := range [][]circuits.Terminal{ends, {ends[1], ends[0]}} {
			for _, lifted := range [][]circuits.Terminal{nil, ends[:1], ends[1:]} {
				l.diodes = append(l.diodes, log.Check{Diode: leads, Lifted: lifted})
			}
		}
	}
	l.diodeFrom = l.ohms + 2*len(l.hands)*l.way
	l.length = l.diodeFrom + 2*len(l.hands)*len(l.diodes)*ohmsLength
	return l
}

// pair gives the place of the ohms between two terminals in those of one way; lifted
// says that the wires are lifted off the first.
func (l layout) pair(a, b int, lifted bool) int {
	n := len(l.nodes)
	if lifted {
		if b > a {
			b--
		}
		return (n*(n-1)/2 + a*(n-1) + b) * ohmsLength
	}
	if a > b {
		a, b = b, a
	}
	return (a*(2*n-a-1)/2 + b - a - 1) * ohmsLength
}

// diode gives the place of a diode test: protective devices whole or blown, by way of holding the operators.
func (l layout) diode(open, hand, i int) int {
	return l.diodeFrom + ((open*len(l.hands)+hand)*len(l.diodes)+i)*ohmsLength
}

// liftable tells whether the wires of a terminal may be lifted in a simulated sitting.
func (l layout) liftable(m *diagnose.Model, i int) bool {
	name, _ := l.lifts[i].Split()
	return m.Panel().Circuit.Device(name).Type.Kind != circuits.GroundKind
}

// TableLength gives the length of a circuit's tables of readings in bytes. It is the same
// for every fault.
func TableLength(m *diagnose.Model) int { return layoutOf(m).length }

// MakeReadings makes the table of a panel with a fault, encrypted under a packet's key.
func MakeReadings(m *diagnose.Model, fault int, key []byte) (*Readings, error) {
	l := layoutOf(m)
	if l.length > MostReadings {
		return nil, fmt.Errorf("%s is too large for a packet: a table of %d MB; have the instructor's machine answer, or use a bench",
			m.Panel().Circuit.Title, l.length>>20)
	}
	r := &Readings{m: m, key: key, mac: hmac.New(sha256.New, key), layout: l, table: make([]byte, l.length)}
	meter := m.Meter(fault)
	for s := range l.steps {
		for i, v := range l.visible {
			look, err := meter.Read(log.Check{Look: v.Device.Name, Part: v.At().At, Step: m.Panel().Circuit.Steps[s].Name})
			if err != nil {
				return nil, err
			}
			b := byte(0)
			switch {
			case !look.Firm:
				b = 2
			case look.On:
				b = 1
			}
			r.put((s*len(l.visible)+i)*lookLength, []byte{b})
		}
		b := byte(0)
		if meter.BlownAfter(s) {
			b = 1
		}
		r.put(l.blown+s*blownLength, []byte{b})
		for i, n := range l.nodes {
			r.put(l.potentials+(s*len(l.nodes)+i)*l.potential, packPotential(meter.Potential(s, n))[:l.potential])
		}
	}
	for open := range 2 {
		for h, step := range l.hands {
			at := l.ohms + (open*len(l.hands)+h)*l.way
			for a := range l.nodes {
				plain := meter.OhmsFrom(step, nil, open == 1, l.nodes[a], l.nodes[a+1:])
				for k, reading := range plain {
					r.put(at+l.pair(a, a+1+k, false), packOhms(reading))
				}
				others := slices.Delete(slices.Clone(l.nodes), a, a+1)
				lifted := make([]log.Reading, len(others))
				if l.liftable(m, a) {
					lifted = meter.OhmsFrom(step, l.lifts[a:a+1], open == 1, l.nodes[a], others)
				}
				for k, reading := range lifted {
					b := k
					if k >= a {
						b++
					}
					r.put(at+l.pair(a, b, true), packOhms(reading))
				}
			}
			for i, c := range l.diodes {
				c.Step = m.Panel().Circuit.Steps[step].Name
				reading, err := meter.DiodeTest(c, open == 1)
				if err != nil {
					return nil, err
				}
				r.put(l.diode(open, h, i), packOhms(reading))
			}
		}
	}
	return r, nil
}

// OpenReadings gives the answers of a table from a packet. The error says that it is not
// one of this circuit.
func OpenReadings(m *diagnose.Model, table, key []byte) (*Readings, error) {
	l := layoutOf(m)
	if len(table) != l.length {
		return nil, errors.New("the table of readings does not belong to this circuit")
	}
	return &Readings{m: m, key: key, mac: hmac.New(sha256.New, key), table: table, layout: l}, nil
}

// Table is the encrypted table.
func (r *Readings) Table() []byte { return r.table }

// put encrypts a record into its place, get decrypts it.
func (r *Readings) put(at int, record []byte) {
	copy(r.table[at:], r.masked(at, record))
}

func (r *Readings) get(at, length int) []byte { return r.masked(at, r.table[at:at+length]) }

// masked adds the key of a record, which is as long as any is.
func (r *Readings) masked(at int, record []byte) []byte {
	var room [8 + sha256.Size]byte
	r.mac.Reset()
	r.mac.Write(binary.BigEndian.AppendUint64(room[:0], uint64(at)))
	mask := r.mac.Sum(room[8:8])
	out := make([]byte, len(record))
	for i, b := range record {
		out[i] = b ^ mask[i]
	}
	return out
}

func packPotential(p diagnose.Potential) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(p.Island))
	for _, v := range p.Volts {
		b = binary.BigEndian.AppendUint32(b, math.Float32bits(real(v)))
		b = binary.BigEndian.AppendUint32(b, math.Float32bits(imag(v)))
	}
	return b
}

func unpackPotential(b []byte) diagnose.Potential {
	word := func(i int) uint32 { return binary.BigEndian.Uint32(b[4*i:]) }
	p := diagnose.Potential{Island: int32(word(0))}
	for i := range (len(b) - islandLength) / toneLength {
		p.Volts[i] = complex(math.Float32frombits(word(1+2*i)), math.Float32frombits(word(2+2*i)))
	}
	return p
}

// packOhms writes a reading in ohms; one that is not firm is no number.
func packOhms(r log.Reading) []byte {
	v := float32(r.Value)
	if !r.Firm {
		v = float32(math.NaN())
	}
	return binary.BigEndian.AppendUint32(nil, math.Float32bits(v))
}

// Found gives the reading of a check on the panel in the packet, where the circuit was
// worked to the end of a step before the power went off; -1 for none. The error says
// that the check is none of this circuit's, or that the packet has no answer to it.
func (r *Readings) Found(c log.Check, worked int) (log.Reading, error) {
	if _, err := r.m.Book().NewEntry(c, nil); err != nil {
		return log.Reading{}, err
	}
	l, step := r.layout, max(0, r.m.Panel().Circuit.Step(c.Step))
	if c.Kind() == log.Look {
		i := slices.IndexFunc(l.visible, func(v work.Sight) bool { return v.Device.Name == c.Look && v.At().At == c.Part })
		b := r.get((step*len(l.visible)+i)*lookLength, lookLength)[0]
		return log.Reading{Kind: log.Look, On: b == 1, Firm: b < 2}, nil
	}
	a, b, err := r.leads(c)
	if err != nil {
		return log.Reading{}, err
	}
	if c.Kind() == log.Volts {
		if c.LowImpedance {
			return log.Reading{}, fmt.Errorf("%w: its meter has no low-impedance mode", ErrNoAnswer)
		}
		if a == b {
			return log.Reading{Kind: log.Volts, Firm: true}, nil
		}
		at := func(i int) diagnose.Potential {
			return unpackPotential(r.get(l.potentials+(step*len(l.nodes)+i)*l.potential, l.potential))
		}
		return diagnose.VoltsBetween(at(a), at(b)), nil
	}
	open := 0
	if worked >= 0 && r.get(l.blown+worked*blownLength, blownLength)[0] == 1 {
		open = 1
	}
	if c.Kind() == log.Diode {
		i := slices.IndexFunc(l.diodes, func(d log.Check) bool {
			return slices.Equal(d.Diode, c.Diode) && slices.Equal(d.Lifted, c.Lifted)
		})
		if i < 0 {
			return log.Reading{}, fmt.Errorf("%w: diode tests are made across a diode, wires lifted off one of its terminals at the most", ErrNoAnswer)
		}
		hand := slices.Index(l.hands, r.m.Book().Held(step))
		return unpackOff(log.Diode, r.get(l.diode(open, hand, i), ohmsLength)), nil
	}
	if a == b {
		return log.Reading{Kind: log.Ohms, Firm: true}, nil
	}
	if len(c.Lifted) > 0 {
		switch t := c.Lifted[0]; {
		case len(c.Lifted) > 1:
			return log.Reading{}, fmt.Errorf("%w: wires are lifted off one terminal at a time", ErrNoAnswer)
		case t == c.Leads()[0]:
		case t == c.Leads()[1]:
			a, b = b, a
		default:
			return log.Reading{}, fmt.Errorf("%w: wires are lifted off a terminal that a lead is on, and none is on %s", ErrNoAnswer, t)
		}
		if !l.liftable(r.m, a) {
			return log.Reading{}, fmt.Errorf("%w: bonding wires stay where they are", ErrNoAnswer)
		}
	}
	hand := slices.Index(l.hands, r.m.Book().Held(step))
	at := l.ohms + (open*len(l.hands)+hand)*l.way + l.pair(a, b, len(c.Lifted) > 0)
	return unpackOff(log.Ohms, r.get(at, ohmsLength)), nil
}

// unpackOff reads what packOhms wrote.
func unpackOff(kind log.Kind, b []byte) log.Reading {
	v := float64(math.Float32frombits(binary.BigEndian.Uint32(b)))
	if math.IsNaN(v) {
		return log.Reading{Kind: kind}
	}
	return log.Reading{Kind: kind, Value: v, Firm: true}
}

// leads finds the two terminals of a check among those of the table.
func (r *Readings) leads(c log.Check) (a, b int, err error) {
	var at [2]int
	for i, t := range c.Leads() {
		k, ok := r.layout.index[r.m.Panel().Node(t)]
		if !ok {
			return 0, 0, fmt.Errorf("%w: no wire lands on %s", ErrNoAnswer, t)
		}
		at[i] = k
	}
	return at[0], at[1], nil
}

// Show gives what a meter shows of the panel in the packet: the error of the meter and
// what wanders come from the packet's key.
func (r *Readings) Show(c log.Check, worked, nth int) (training.Shown, error) {
	reading, err := r.Found(c, worked)
	if err != nil {
		return training.Shown{}, err
	}
	return shownBy(r.m, meterSeed(r.key), c, reading, nth), nil
}
