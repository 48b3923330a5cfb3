package checkout

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
)

// The checks of one step are made place by place, and at a place cable by cable; the ends of each
// are those of its leads, with the cores that land there.
func TestChecksAreMadePlaceByPlace(t *testing.T) {
	cabled, err := os.ReadFile("../../circuits/read/testdata/ok/cables.yaml")
	require.NoError(t, err)
	field, _ := circuits.BuiltinText("field-wiring")
	cores := 0
	for name, text := range map[string]string{"cables": string(cabled), "field-wiring": string(field)} {
		p, _ := planted(t, text)
		for _, round := range Of(newBuild(p), Options{}).Rounds {
			assert.LessOrEqual(t, len(round.Checks), round.Tried, name)
			type visit struct {
				step, cable string
				area        int
			}
			left := make(map[visit]bool)
			var at visit
			for _, c := range round.Checks {
				if v := (visit{c.Check.Step, c.Cable(), c.Area}); v != at {
					assert.False(t, left[v], "%s: %s is at a place that was left", name, c.Check)
					left[at], at = true, v
				}
				for i, e := range c.Ends {
					assert.Equal(t, c.Check.Ohms[i], e.Terminal)
					assert.Contains(t, p.Circuit.Places, e.Device.Place)
					cores += len(e.Cores)
				}
				assert.Len(t, c.Lifted, len(c.Check.Lifted))
			}
		}
	}
	assert.Positive(t, cores)
}
