package training

import (
	"math"
	"math/bits"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestStringOptimum: n equally likely units in line take k + 2(n - 2^k)/n checks in the
// mean, k being floor(log2 n), and ceil(log2 n) at worst (arithmetic; the general case is
// E. N. Gilbert, E. F. Moore, Variable-length binary encodings, Bell System Technical
// Journal 38, 1959). Three of the figures by hand: 5 units 2.4, 9 units 29/9, 10 units 3.4.
func TestStringOptimum(t *testing.T) {
	byHand := map[int]float64{5: 2.4, 9: 29.0 / 9, 10: 3.4, 20: 4.4}
	for _, n := range []int{2, 3, 4, 5, 7, 8, 9, 10, 16, 17, 20, 33} {
		d, err := ContactString(n)
		require.NoError(t, err)
		mean, worst := d.Optimum()
		k := bits.Len(uint(n)) - 1
		assert.InDelta(t, float64(k)+2*(float64(n)-math.Exp2(float64(k)))/float64(n), mean, 1e-9, "%d contacts", n)
		assert.Equal(t, bits.Len(uint(n-1)), worst, "%d contacts", n)
		if want, ok := byHand[n]; ok {
			assert.InDelta(t, want, mean, 1e-9)
		}
	}
	for _, n := range []int{1, 0, -3, MostContacts + 1} {
		_, err := ContactString(n)
		assert.Error(t, err)
	}
}

// TestBestIsOptimal: whoever always takes the best point needs the optimum, whichever
// unit is open; whoever goes from one end needs 44/9 in the mean of nine units (own
// arithmetic).
func TestBestIsOptimal(t *testing.T) {
	nine, err := ContactString(9)
	require.NoError(t, err)
	ten, err := ContactString(10)
	require.NoError(t, err)
	for _, d := range []Drill{nine, ten, TwoWireLine()} {
		mean, worst := d.Optimum()
		sum, most := 0, 0
		for u := range d.Units {
			r := d.Start(1)
			r.hidden = u
			for len(r.Left) > 1 {
				at, _ := r.Best()
				c := r.Check(at)
				assert.Less(t, c.After, c.Before)
			}
			assert.Equal(t, []int{u}, r.Left)
			sum += len(r.Made)
			most = max(most, len(r.Made))
		}
		assert.InDelta(t, mean, float64(sum)/float64(len(d.Units)), 1e-9, d.Name)
		assert.Equal(t, worst, most, d.Name)
	}
	sum := 0
	for u := range nine.Units {
		r := nine.Start(1)
		r.hidden = u
		for i := 0; len(r.Left) > 1; i++ {
			r.Check(i)
		}
		sum += len(r.Made)
	}
	assert.Equal(t, 44, sum)
}

// TestTwoWireLine: the first check of the published case is across the middle (source:
// SOC-TR); no other tells more.
func TestTwoWireLine(t *testing.T) {
	d := TwoWireLine()
	r := d.Start(3)
	_, best := r.Best()
	for i, p := range d.Points {
		if p.Word == "3 3" {
			assert.InDelta(t, best, r.bits(i), 1e-12)
		}
	}
	// 13 units, one bit a check: no fewer than the Huffman mean 3 + 2*5/13.
	mean, worst := d.Optimum()
	assert.InDelta(t, 3+10.0/13, mean, 1e-9)
	assert.Equal(t, 4, worst)
}

// TestDrillBits: by hand, nine units: 3 of 9 behind the point give h(1/3) = 0.9183 bits.
func TestDrillBits(t *testing.T) {
	d, err := ContactString(9)
	require.NoError(t, err)
	r := d.Start(1)
	assert.InDelta(t, 0.9182958, r.bits(5), 1e-6)
	assert.InDelta(t, 0.9910761, r.bits(3), 1e-6) // h(4/9)
}

// A hint and a better point that is asked for have one price; the same point is not paid for twice,
// and nothing is paid where there is none.
func TestDrillHints(t *testing.T) {
	d, err := ContactString(9)
	require.NoError(t, err)
	r := d.Start(1)
	r.hidden = 1
	assert.Equal(t, -1, r.Ask(), "no check yet")
	r.Check(5) // point 6 of 8
	assert.Equal(t, []int{0, 1, 2, 3, 4, 5, 6, 7, 8}, r.Before(0))
	assert.Equal(t, []int{0, 1, 2, 3, 4, 5}, r.Made[0].Left)
	at := r.Ask()
	full, none := d.Parted(at, r.Before(0))
	assert.Equal(t, 9, full+none)
	assert.Equal(t, 4, min(full, none))
	assert.Equal(t, at, r.Ask())
	assert.Equal(t, 1, r.Hints)
	best := r.Hint()
	full, none = d.Parted(best, r.Left)
	assert.Equal(t, []int{3, 3}, []int{full, none})
	r.Check(best)
	assert.Equal(t, -1, r.Ask(), "it was the best")
	assert.Equal(t, 2+2*DrillHint, r.Spent())
	r.Check(0)
	r.Check(1)
	assert.Equal(t, []int{1}, r.Left)
	assert.Equal(t, -1, r.Hint(), "nothing is left to tell")
	assert.Equal(t, 2, r.Hints)
}
