package talk

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A long wait is shown in one line, no wider than the screen, that is gone at the end; a
// short one is not shown.
func TestShowingProgress(t *testing.T) {
	var b bytes.Buffer
	shares := []string{"Working through 30330 possible faults: 25 %",
		"Working through 30330 possible faults: 50 %", "Working it out …"}
	told := make(chan bool, 100)
	progress := func() string {
		s := shares[0]
		if len(shares) > 1 {
			shares = shares[1:]
		}
		told <- true
		return s
	}
	showingProgress(&b, 60, time.Millisecond, time.Millisecond, progress, func() {
		for range 3 {
			<-told
		}
	})
	assert.Regexp(t, `^\r  Working through 30330 possible faults: 25 %\r  Working through 30330 possible faults: 50 %\r  Working it out … *(\r  Working it out … *)*\r +\r$`, b.String())

	b.Reset()
	showingProgress(&b, 20, time.Millisecond, time.Millisecond,
		func() string { told <- true; return "Working through 30330 possible faults: 50 %" },
		func() { <-told; <-told })
	assert.Regexp(t, `^(\r  Working through 3){1,}\r +\r$`, b.String())

	b.Reset()
	showingProgress(&b, 60, time.Hour, time.Hour, progress, func() {})
	assert.Empty(t, b.String())
}
