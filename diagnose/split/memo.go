package split

import (
	"math"
	"slices"
	"sync"
)

// A memo keeps what is known of positions: an open hash table, whose keys are all of one length and
// lie one after the other.
type memo struct {
	width int      // words in a key
	keys  []uint64 // width words for each entry
	known []worth
	slots []int32 // one more than the place of an entry; 0 is free
}

// A worth is what a search knows of a position: costs times weight.
type worth struct {
	low  float64 // no choice of tests costs less
	high float64 // the best choice found costs this
	test int32   // with which it begins: a place on the board, or -1
}

func newMemo(width int) *memo {
	return &memo{width: width, slots: make([]int32, 1<<8)}
}

// find returns the place of a key among the entries, or -1.
func (m *memo) find(key []uint64) int {
	slot := m.slot(key)
	return int(m.slots[slot]) - 1
}

// add makes an entry for a key that is not there.
func (m *memo) add(key []uint64, w worth) int {
	if 2*(len(m.known)+1) > len(m.slots) {
		m.grow()
	}
	slot := m.slot(key)
	m.keys = append(m.keys, key...)
	m.known = append(m.known, w)
	m.slots[slot] = int32(len(m.known))
	return len(m.known) - 1
}

// slot returns where a key is, or where it would go.
func (m *memo) slot(key []uint64) int {
	h := uint64(0)
	for _, k := range key {
		h = stir(h ^ k)
	}
	slot := int(h & uint64(len(m.slots)-1))
	for m.slots[slot] != 0 && !slices.Equal(m.entry(int(m.slots[slot])-1), key) {
		slot = (slot + 1) & (len(m.slots) - 1)
	}
	return slot
}

func (m *memo) entry(place int) []uint64 {
	return m.keys[place*m.width : (place+1)*m.width]
}

func (m *memo) grow() {
	m.slots = make([]int32, 4*len(m.slots))
	for i := range m.known {
		m.slots[m.slot(m.entry(i))] = int32(i + 1)
	}
}

// keyWidth is how many words a key of positions on the board has.
func (b *board) keyWidth() int { return (len(b.items)+63)/64 + 2 }

// key writes the key of a position in a mode, with a further number: which items are left, and,
// where tests that leave items undecided have made weights depend on the way that led there, what
// they weigh.
func (m *memo) key(room []uint64, b *board, at *position, from Mode, more int32) []uint64 {
	room = slices.Grow(room[:0], m.width)[:m.width]
	clear(room)
	own := true
	for i, item := range at.items {
		room[item/64] |= 1 << (item % 64)
		own = own && snap(at.weight[i]) == b.snapped[item]
	}
	room[m.width-2] = uint64(uint32(from)) | uint64(uint32(more))<<32
	if !own {
		room[m.width-1] = b.ways.number(at.weight)
	}
	return room
}

// take adds the entries of another memo of the same width that are not there.
func (m *memo) take(other *memo) {
	for i, w := range other.known {
		if key := other.entry(i); m.find(key) < 0 {
			m.add(key, w)
		}
	}
}

// Ways numbers the weights that what is left can have by the way that led there, from 1.
type ways struct {
	lock    sync.Mutex
	numbers map[string]uint64
	room    []byte
}

func (w *ways) number(weights []float64) uint64 {
	w.lock.Lock()
	defer w.lock.Unlock()
	w.room = w.room[:0]
	for _, x := range weights {
		w.room = appendWord(w.room, math.Float64bits(snap(x)))
	}
	number, ok := w.numbers[string(w.room)]
	if !ok {
		if w.numbers == nil {
			w.numbers = make(map[string]uint64)
		}
		number = uint64(len(w.numbers) + 1)
		w.numbers[string(w.room)] = number
	}
	return number
}
