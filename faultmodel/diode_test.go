package faultmodel_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// A diode across a coil that is put in the wrong way round blows the fuse when the coil is called,
// as a shorted one does; an open one changes nothing.
func TestADiodeAcrossACoil(t *testing.T) {
	text, err := os.ReadFile("../testdata/published/own-shorted-diode.yaml")
	require.NoError(t, err)
	p := assembled(t, "diode.yaml", string(text))
	faults := faultmodel.List(p, faultmodel.Options{WiringErrors: true})
	for id, blows := range map[string]bool{"exchanged-D1:A-K": true, "shorted-D1": true, "open-D1": false} {
		i, err := faultmodel.Find(faults, id)
		require.NoError(t, err)
		var blown []int // by step
		p.Work(&faults[i].Overlay, func(_ int, e *work.End) bool {
			blown = append(blown, len(e.Blown))
			return true
		})
		want := []int{0, 0, 0}
		if blows {
			want = []int{0, 1, 1}
		}
		assert.Equal(t, want, blown, id)
	}
	i, _ := faultmodel.Find(faults, "exchanged-D1:A-K")
	assert.Equal(t, "diode D1 is in the wrong way round", faults[i].Text)
}
