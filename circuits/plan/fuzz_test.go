package plan

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
)

// Whatever is planned is judged, and what it would do is worked.
func FuzzJudge(f *testing.F) {
	text, _ := circuits.BuiltinText("cold-store-alarm")
	c, problems := read.Read("cold-store-alarm", text)
	require.NoError(f, problems.Err())
	terminals := append(hardwareOf(c).terminals, "CR9:1", "CR1:99", "")
	f.Add([]byte{0, 1, 1, 1, 2, 2, 1, 3, 3})
	f.Add([]byte{200, 200, 0, 5, 5, 1})
	f.Fuzz(func(t *testing.T, b []byte) {
		var wires []Wire
		for ; len(b) >= 3 && len(wires) < 60; b = b[3:] {
			wires = append(wires, Wire{Number: fmt.Sprint(b[2] % 8), From: terminals[int(b[0])%len(terminals)],
				To: terminals[int(b[1])%len(terminals)]})
		}
		j := Judge(c, wires)
		require.Len(t, j.Whole, len(c.Numbers))
		require.Equal(t, j.Done() == len(c.Numbers) && !j.Right(), j.Done() == len(c.Numbers) && len(j.Mistakes) > 0)
		Energise(c, wires)
	})
}
