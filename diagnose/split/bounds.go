package split

import (
	"math"
	"slices"
)

// Entropy returns the entropy in bits of weights, which need not add up to one. No sequence of tests with two
// outcomes needs fewer tests on average.
func Entropy(weights []float64) float64 {
	total, bits := 0.0, 0.0
	for _, w := range weights {
		total += w
	}
	for _, w := range weights {
		if w > 0 {
			bits -= w / total * math.Log2(w/total)
		}
	}
	return bits
}

// Huffman returns the least mean number of tests that tells hypotheses of these weights apart when
// every test has so many outcomes and every split is to be had: the mean length of a Huffman code
// (D. A. Huffman, A method for the construction of minimum-redundancy codes, Proceedings of the IRE
// 40, 1952). No choice of tests has a lower mean. Weights need not add up to one; those that are 0
// are left out.
func Huffman(weights []float64, outcomes int) float64 {
	total := 0.0
	sorted := make([]float64, 0, len(weights))
	for _, w := range weights {
		if w > 0 {
			sorted = append(sorted, w)
			total += w
		}
	}
	if len(sorted) < 2 {
		return 0
	}
	slices.Sort(sorted)
	return huffman(sorted, outcomes, nil) / total
}

// huffman is Huffman for positive weights in rising order, times their total. It uses the room after merged.
func huffman(rising []float64, outcomes int, merged []float64) float64 {
	if len(rising) < 2 {
		return 0
	}
	if outcomes < 2 {
		return math.Inf(1)
	}
	// Two queues, both in rising order: what came in, and what was merged. The first merge takes as
	// few as makes all later ones full.
	cost, single, from := 0.0, 0, len(merged)
	take := (len(rising)-2)%(outcomes-1) + 2
	for {
		sum := 0.0
		for range take {
			if from == len(merged) || single < len(rising) && rising[single] <= merged[from] {
				sum += rising[single]
				single++
			} else {
				sum += merged[from]
				from++
			}
		}
		cost += sum
		if single == len(rising) && from == len(merged) {
			return cost
		}
		merged = append(merged, sum)
		take = outcomes
	}
}

// doubt is the entropy in bits of the groups left.
func (p *Problem) doubt(left []Weighted) float64 {
	if p.Group == nil {
		weights := make([]float64, 0, len(left))
		for _, l := range left {
			weights = append(weights, max(0, l.Weight))
		}
		return Entropy(weights)
	}
	weights := make([]float64, p.Table.Hypotheses())
	for _, l := range left {
		weights[p.group(l.Hypothesis)] += max(0, l.Weight)
	}
	return Entropy(weights)
}
