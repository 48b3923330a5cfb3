package exam

import (
	"bytes"
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
)

func TestNeed(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	f := faultOf(t, m, "open-CR1:22-B1:1")
	n, err := m.Needed(diagnose.ByMinutes)
	require.NoError(t, err)
	t.Log(n[f])
	g, err := Guide(m, f, diagnose.Log{}, diagnose.ByMinutes)
	require.NoError(t, err)
	for _, c := range g.Checks {
		t.Log(c)
	}
	_ = bytes.Equal
	_ = io.Discard
	_ = time.Now
	_ = assert.Equal
}
