package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/diagnose/split"
)

// What is foreseen and was told to end is not remembered, though somebody waits for it by the
// time that it does end.
func TestHalfForeseen(t *testing.T) {
	m := &Model{looked: make(map[string]split.Test)}
	foreseen := Choosing{Foresee: func() bool { return true }}
	_, ok := m.remembered("key", foreseen, func(ended func() bool) (split.Test, bool) {
		assert.True(t, ended(), "nobody waits for this one")
		key := "key"
		m.wanted.Store(&key)
		assert.True(t, ended(), "ended is ended")
		return 5, true
	})
	assert.False(t, ok)
	test, ok := m.remembered("key", Choosing{}, func(func() bool) (split.Test, bool) { return 7, true })
	assert.True(t, ok)
	assert.Equal(t, split.Test(7), test)
}
