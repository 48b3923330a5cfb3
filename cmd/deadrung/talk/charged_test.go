package talk

import (
	"strings"
	"testing"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestChargesAreCautioned(t *testing.T) {
	for name, says := range map[string]string{
		"drive-fan":   "Drive DRV1 may still be charged: wait as long as the label says",
		"sensor-line": "",
	} {
		text, ok := circuits.BuiltinText(name)
		require.True(t, ok)
		c, problems := read.Read(name, text)
		require.NoError(t, problems.Err())
		n := LockOutOf(work.Assemble(c), BeforeCheck)
		if says == "" {
			assert.Len(t, n.Points, 6, name)
			continue
		}
		require.Len(t, n.Points, 8, name)
		assert.Contains(t, n.Points[3], says)
		assert.Contains(t, n.Points[4], "Test the meter")
		assert.Contains(t, n.Points[6], "Test drive DRV1 dead as well", "with a meter that is proved before and after")
		assert.Contains(t, n.Points[7], "Test the meter again")
		assert.Contains(t, n.Source, chargeSource)
	}
}

func TestFireAlarmsAreCautioned(t *testing.T) {
	for name, alarms := range map[string]bool{"fire-line": true, "cold-store-alarm": false} {
		text, ok := circuits.BuiltinText(name)
		require.True(t, ok)
		c, problems := read.Read(name, text)
		require.NoError(t, problems.Err())
		n := CautionOf(work.Assemble(c))
		for _, point := range lifeSafety().Points {
			assert.Equal(t, alarms, strings.Contains(n.Text, point), "%s: %s", name, point)
		}
	}
}
