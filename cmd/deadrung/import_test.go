package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Whoever interrupts the questions gets the answers back as flags.
func TestImportInterrupted(t *testing.T) {
	assert.EqualError(t, interrupted(nil), "interrupted; no circuit file was written")
	assert.EqualError(t, interrupted(map[string]string{"T1.volts": "24", "H1.type": "horn"}),
		"interrupted; no circuit file was written; answered so far: --answer H1.type=horn --answer T1.volts=24")
}
