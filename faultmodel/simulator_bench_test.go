package faultmodel_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/faultmodel"
)

// BenchmarkSimulator times how the voltages of a whole fault table come about: every
// terminal in every step, good and under every fault. Ours includes working the relays
// through all steps. The simulator is given the contacts as they then stand, every
// different network once, and is timed from the contacts to the voltages: decks, one
// process after the other, and what they leave read back. The ratio is reported.
func BenchmarkSimulator(b *testing.B) {
	sim := needSimulator(b)
	text, ok := circuits.BuiltinText("hand-off-auto")
	require.True(b, ok)
	c := newBench(b, "hand-off-auto", text, faultmodel.Options{})
	nodes := c.panel.Net.Nodes()

	var all []standing
	for f := good; f < len(c.faults); f++ {
		all = append(all, c.stand(f)...)
	}
	start := time.Now()
	solved, networks, err := c.solve(sim, b.TempDir(), all, c.hertz[0])
	require.NoError(b, err)
	theirs := time.Since(start)
	require.Len(b, solved, len(all))

	volts := make([]complex128, nodes+1)
	for b.Loop() {
		for f := good; f < len(c.faults); f++ {
			for _, s := range c.stand(f) {
				for n := 1; n <= nodes; n++ {
					volts[n] = s.end.Live.Potential(network.Node(n), 0)
				}
			}
		}
	}
	ours := b.Elapsed() / time.Duration(b.N)
	b.ReportMetric(float64(networks), "networks")
	b.ReportMetric(theirs.Seconds()*1e3, "simulator-ms")
	b.ReportMetric(float64(theirs)/float64(ours), "simulator/ours")
}
