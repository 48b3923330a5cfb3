package diagnose

import (
	"encoding/binary"
	"fmt"
	"sync/atomic"

	"deadrung/diagnose/split"
)

// This file remembers what was chosen by looking ahead, so that a turn can be worked out before
// anybody waits for it.

// choiceKey names a choice: what is left, from where, and among which tests.
func choiceKey(how string, by By, from split.Mode, left []split.Weighted, among []byte) string {
	key := fmt.Appendf(nil, "%s %d %d", how, by, from)
	for _, w := range left {
		key = binary.AppendUvarint(key, uint64(w.Hypothesis))
	}
	return string(append(append(key, 0), among...))
}

// allowedKey is which tests of the table are allowed, a bit each.
func (m *Model) allowedKey(allowed func(split.Test) bool) []byte {
	key := make([]byte, (len(m.table.checks)+7)/8)
	for t := range m.table.checks {
		if allowed(split.Test(t)) {
			key[t/8] |= 1 << (t % 8)
		}
	}
	return key
}

// remembered gives the choice that has a key, worked out where it is not known yet. Somebody who
// waits for it ends what is foreseen of anything else, and waits for the rest of what is foreseen
// of this.
func (m *Model) remembered(key string, c Choosing, work func(ended func() bool) (split.Test, bool)) (split.Test, bool) {
	if c.Foresee == nil {
		m.wanted.Store(&key)
		defer m.wanted.Store(nil)
	}
	m.looking.Lock()
	defer m.looking.Unlock()
	if seen, ok := m.looked[key]; ok {
		return seen, seen >= 0
	}
	var ended func() bool
	var cut atomic.Bool // once it was told to end, what comes out is half the work, whoever waits by then
	if c.Foresee != nil {
		ended = func() bool {
			if !cut.Load() && c.Foresee() {
				if wanted := m.wanted.Load(); wanted == nil || *wanted != key {
					cut.Store(true)
				}
			}
			return cut.Load()
		}
	}
	test, ok := work(ended)
	if cut.Load() {
		return -1, false
	}
	if !ok {
		test = -1
	}
	m.looked[key] = test
	return test, ok
}
