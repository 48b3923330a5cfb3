package split

import (
	"testing"
)

func BenchmarkEvaluateLarge(b *testing.B) {
	p := panel(15_000, 200_000, 30)
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
func BenchmarkRolloutLarge(b *testing.B) {
	p := panel(15_000, 200_000, 30)
	b.ReportAllocs()
	for b.Loop() {
		c := p.Next(p.All(), 0, Options{Strategy: Rollout, Budget: -1, Width: 4})
		b.ReportMetric(c[0].Expected, "tests/fault")
	}
}
