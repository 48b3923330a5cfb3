package split

import "math"

// This file says what a reading is worth that may be wrong.

// Repeated is a reading with two answers that is taken again and again until one answer leads the other by Lead
// readings.
type Repeated struct {
	// Wrong is the probability that one reading is wrong, each independent of the others; less than one half.
	Wrong float64
	// Lead is 1 or more.
	Lead int
}

// Error is the probability that the answer that leads in the end is wrong: p^k / (p^k + (1-p)^k). This is the
// gambler's ruin, as in the sequential probability ratio test (A. Wald, Sequential Analysis, 1947; from memory).
func (r Repeated) Error() float64 {
	return 1 / (1 + math.Pow((1-r.Wrong)/r.Wrong, float64(r.Lead)))
}

// Mean is the mean number of readings: k/(1-2p) ((1-p)^k - p^k) / ((1-p)^k + p^k), of the same source.
func (r Repeated) Mean() float64 {
	k := float64(r.Lead)
	right, wrong := math.Pow(1-r.Wrong, k), math.Pow(r.Wrong, k)
	return k / (1 - 2*r.Wrong) * (right - wrong) / (right + wrong)
}

// LieLimit is how many hypotheses can be told apart in so many tests with two outcomes, every split being to be had,
// when one answer, or none, may be wrong: the largest n with n(q+1) <= 2^q, or for odd n, n(q+1) + q - 1 <= 2^q. It
// is no more than 2^q/(q+1) because, for each hypothesis, the answers may be right throughout or wrong at one of q
// places (A. Pelc, Solution of Ulam's problem on searching with a lie, Journal of Combinatorial Theory A 44, 1987;
// the numbers are OEIS A286496). For up to 60 tests.
func LieLimit(tests int) int {
	q := tests
	n := (1 << q) / (q + 1)
	if n%2 == 1 && n*(q+1)+q-1 > 1<<q {
		n--
	}
	return max(n, 1)
}
