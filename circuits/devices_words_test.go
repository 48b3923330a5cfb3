package circuits

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// An operator is put away from its rest in other words than back, and its note stands beside it.
func TestPut(t *testing.T) {
	h := Hands{Away: "press {name} to {position}", Back: "let go of {device}{note}"}
	d := &Device{Name: "PB1", Positions: []string{"released", "pressed"}, Rest: 0}
	assert.Equal(t, "press PB1 to pressed", h.Put(d, 1))
	assert.Equal(t, "let go of PB1", h.Put(d, 0))
	d.Note = "start"
	assert.Equal(t, "press PB1 (start) to pressed", h.Put(d, 1))
	assert.Equal(t, "let go of PB1 (start)", h.Put(d, 0))
	d.Rest = 1
	assert.Equal(t, "press PB1 (start) to released", h.Put(d, 0))
}
