package faultmodel_test

import (
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// BenchmarkSimulator times how the voltages of a whole fault table come about, that of a
// panel of ten rungs: every terminal in every step, good and under every fault. Ours
// includes working the relays through all steps, from the panel on: the good circuit first,
// then what each fault changes. The simulator is given the contacts as they then stand,
// every different network once, and is timed from the contacts to the voltages: decks, one
// process after the other, and what they leave read back. The ratio is reported.
func BenchmarkSimulator(b *testing.B) {
	sim := needSimulator(b)
	c := newBench(b, "ten rungs", []byte(generate.Rungs(10)), faultmodel.Options{})
	var all []standing
	for f := good; f < len(c.faults); f++ {
		all = append(all, c.stand(f)...)
	}
	start := time.Now()
	solved, networks, err := c.solve(sim, b.TempDir(), all, c.hertz[0])
	require.NoError(b, err)
	theirs := time.Since(start)
	require.Len(b, solved, len(all))

	for b.Loop() {
		followAll(c)
	}
	ours := b.Elapsed() / time.Duration(b.N)
	b.ReportMetric(float64(networks), "networks")
	b.ReportMetric(theirs.Seconds()*1e3, "simulator-ms")
	b.ReportMetric(float64(theirs)/float64(ours), "simulator/ours")
}

// followAll works out the voltages of every fault, on all cores.
func followAll(c *bench) {
	course := c.panel.Course()
	var next atomic.Int64
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			follower := course.Follower()
			volts := make([]complex128, c.panel.Net.Nodes()+1)
			for f := int(next.Add(1)) - 1; f < len(c.faults); f = int(next.Add(1)) - 1 {
				follower.Work(&c.faults[f].Overlay, func(_ int, d *work.Departure) {
					for _, n := range d.Nodes() {
						_, v := d.At(n)
						volts[n] = v[0]
					}
				}, func(_ int, e, _ *work.End) {
					for n := range volts {
						volts[n] = e.Live.Potential(network.Node(n), 0)
					}
				})
			}
		})
	}
	wait.Wait()
}
