package split

import (
	"testing"
)

func BenchmarkEvaluate(b *testing.B) {
	p := panel(1500, 20_000, 30)
	b.ReportAllocs()
	for b.Loop() {
		tree, err := p.Evaluate(0, p.Policy(Options{}))
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(tree.Tests.Mean, "tests/fault")
		b.ReportMetric(Entropy(p.Prior), "bits")
	}
}
