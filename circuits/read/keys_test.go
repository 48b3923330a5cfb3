package read

import (
	"testing"

	"deadrung/circuits"

	"github.com/stretchr/testify/assert"
)

// Each key of every type has its reader.
func TestKeysAreRead(t *testing.T) {
	readers := make(map[string]bool)
	for _, k := range keyOrder {
		assert.False(t, readers[k.key], "%s is read twice", k.key)
		readers[k.key] = true
	}
	for _, row := range circuits.Types {
		for _, key := range row.Keys {
			assert.True(t, readers[key], "%s: nothing reads %s", row.Name, key)
		}
	}
}
