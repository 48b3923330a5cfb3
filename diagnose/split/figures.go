package split

import "math"

// spread returns the entropy in bits of shares that add up to one, and sorts them: shares that
// differ only by their order give exactly the same figure.
func spread(shares []float64) float64 {
	for i := range shares {
		for j := i; j > 0 && shares[j] > shares[j-1]; j-- {
			shares[j], shares[j-1] = shares[j-1], shares[j]
		}
	}
	nats := 0.0
	for _, q := range shares {
		if q > 0 {
			nats -= q * math.Log(q)
		}
	}
	return nats / math.Ln2
}

// snap rounds to 33 binary digits, so that figures that differ only by the order of adding up are equal.
func snap(x float64) float64 {
	const low = 1 << 20
	return math.Float64frombits((math.Float64bits(x) + low/2) &^ (low - 1))
}

// mark is a number for a hypothesis, the same in every run, such that sums of marks over different
// sets are, for all practical purposes, different.
func mark(h Hypothesis) uint64 { return stir(uint64(h) + 1) }

// stir mixes the bits of a number (the finisher of the SplitMix64 generator: G. Steele, D. Lea, C.
// Flood, Fast splittable pseudorandom number generators, 2014; constants from memory).
func stir(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
