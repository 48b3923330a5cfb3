package plan

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
)

// Two lines of a motor that are exchanged are told, at the motor, and it turns the wrong way; all
// three moved on by one are right, for its phases come in the same order.
func TestLinesOfAMotor(t *testing.T) {
	const file = "../two-pumps.yaml"
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	c, problems := read.Read(file, text)
	require.NoError(t, problems.Err())
	moved := func(to map[circuits.Terminal]circuits.Terminal) (*Judgement, []Happening) {
		wires := drawnWires(c)
		for i := range wires {
			for _, end := range []*circuits.Terminal{&wires[i].From, &wires[i].To} {
				if t, ok := to[*end]; ok {
					*end = t
				}
			}
		}
		return Judge(c, wires), Energise(c, wires)
	}
	j, happens := moved(map[circuits.Terminal]circuits.Terminal{"MTR1:T2": "MTR1:T3", "MTR1:T3": "MTR1:T2"})
	require.False(t, j.Right())
	for _, m := range j.Mistakes {
		require.Contains(t, []Kind{Joined, Missing, Reversed}, m.Kind)
	}
	require.Len(t, happens, 1)
	require.Equal(t, TurnsBack, happens[0].What)
	require.Equal(t, "MTR1", happens[0].Device.Name)
	j, happens = moved(map[circuits.Terminal]circuits.Terminal{"MTR1:T1": "MTR1:T2", "MTR1:T2": "MTR1:T3", "MTR1:T3": "MTR1:T1"})
	require.True(t, j.Right())
	require.Empty(t, happens)
	j, happens = moved(nil)
	require.True(t, j.Right())
	require.Empty(t, happens)
}
