package network

import (
	"math"
	"math/cmplx"
	"slices"
)

// equations are nodal equations: admittances times voltages are currents. A few of them
// are held in full and solved by elimination with pivoting. Many come from a long rail
// with rungs, each tied to few others, so the rows with the fewest others are eliminated
// first (minimum degree: Tinney and Walker 1967, scheme 2; from memory) until what is left
// is small or dense.
type equations struct {
	rhs   []complex128
	dense [][]complex128
	rows  [][]entry // in place of dense: by row, in rising order of columns
}

// entry is an admittance in a row.
type entry struct {
	column int32
	y      complex128
}

// denseRows is the number of equations up to which they are held in full, and mostTied the
// number of others that a row is tied to above which elimination goes on in full.
const (
	denseRows = 24
	mostTied  = 6
)

func newEquations(n int) *equations {
	if n > denseRows {
		return &equations{rhs: make([]complex128, n), rows: make([][]entry, n)}
	}
	cells := make([]complex128, n*(n+1))
	e := &equations{rhs: cells[n*n:], dense: make([][]complex128, n)}
	for i := range e.dense {
		e.dense[i] = cells[i*n : (i+1)*n]
	}
	return e
}

// add adds an admittance.
func (e *equations) add(row, column int32, y complex128) {
	if e.rows != nil {
		at, found := e.find(row, column)
		if !found {
			e.rows[row] = slices.Insert(e.rows[row], at, entry{column: column})
		}
		e.rows[row][at].y += y
		return
	}
	e.dense[row][column] += y
}

// find gives the place of an admittance in its row.
func (e *equations) find(row, column int32) (at int, found bool) {
	return slices.BinarySearchFunc(e.rows[row], column,
		func(x entry, c int32) int { return int(x.column - c) })
}

// solve gives the voltages. The equations are used up.
func (e *equations) solve() []complex128 {
	if e.rows == nil {
		solved, _ := Eliminate(e.dense, e.rhs)
		return solved
	}
	n := len(e.rhs)
	done := make([]bool, n)
	var order []int32
	queue := newBuckets(mostTied+2, n, func(i int) int32 { return int32(min(len(e.rows[i])-1, mostTied+1)) })
	ready := make([][]int32, mostTied+1) // by number of others
	for d := range ready {
		ready[d] = append(ready[d], queue.of(int32(d))...)
	}
	for {
		d := 0
		for d <= mostTied && len(ready[d]) == 0 {
			d++
		}
		if d > mostTied {
			break
		}
		i := ready[d][len(ready[d])-1]
		ready[d] = ready[d][:len(ready[d])-1]
		if done[i] || len(e.rows[i])-1 != d {
			continue // an old entry
		}
		at, found := e.find(i, i)
		if !found || e.rows[i][at].y == 0 {
			continue // left to pivoting
		}
		pivot := e.rows[i][at].y
		done[i] = true
		order = append(order, i)
		for _, x := range e.rows[i] {
			j := x.column
			if j == i {
				continue
			}
			at, _ := e.find(j, i)
			f := e.rows[j][at].y / pivot
			e.rows[j] = slices.Delete(e.rows[j], at, at+1)
			for _, z := range e.rows[i] {
				if z.column != i {
					e.add(j, z.column, -f*z.y)
				}
			}
			e.rhs[j] -= f * e.rhs[i]
			if tied := len(e.rows[j]) - 1; tied <= mostTied {
				ready[tied] = append(ready[tied], j)
			}
		}
	}
	e.rest(done)
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		v, pivot := e.rhs[i], complex128(1)
		for _, x := range e.rows[i] {
			if x.column == i {
				pivot = x.y
			} else {
				v -= x.y * e.rhs[x.column]
			}
		}
		e.rhs[i] = v / pivot
	}
	return e.rhs
}

// rest solves the rows that are not done, in full, and puts their voltages into rhs.
func (e *equations) rest(done []bool) {
	at := make([]int32, len(done))
	var left []int32
	for i, d := range done {
		if !d {
			at[i] = int32(len(left))
			left = append(left, int32(i))
		}
	}
	m := make([][]complex128, len(left))
	rhs := make([]complex128, len(left))
	for r, i := range left {
		m[r] = make([]complex128, len(left))
		for _, x := range e.rows[i] {
			m[r][at[x.column]] = x.y
		}
		rhs[r] = e.rhs[i]
	}
	if len(left) == 0 {
		return
	}
	solved, _ := Eliminate(m, rhs)
	for r, v := range solved {
		e.rhs[left[r]] = v
	}
}

// Eliminate solves m x = rhs by Gaussian elimination with partial pivoting. Both are
// overwritten; the solution is returned in rhs, with the size of the least pivot: near zero
// there is no one solution. A singular column gives zero for its unknown: it cannot occur for
// a block that loads tie to its reference.
func Eliminate(m [][]complex128, rhs []complex128) (x []complex128, least float64) {
	n := len(rhs)
	if n == 1 {
		if m[0][0] != 0 {
			rhs[0] /= m[0][0]
		}
		return rhs, cmplx.Abs(m[0][0])
	}
	least = math.Inf(1)
	for c := range n {
		p := c
		for r := c + 1; r < n; r++ {
			if cmplx.Abs(m[r][c]) > cmplx.Abs(m[p][c]) {
				p = r
			}
		}
		least = math.Min(least, cmplx.Abs(m[p][c]))
		if m[p][c] == 0 {
			continue
		}
		m[c], m[p] = m[p], m[c]
		rhs[c], rhs[p] = rhs[p], rhs[c]
		for r := c + 1; r < n; r++ {
			if m[r][c] == 0 {
				continue
			}
			f := m[r][c] / m[c][c]
			for k := c; k < n; k++ {
				m[r][k] -= f * m[c][k]
			}
			rhs[r] -= f * rhs[c]
		}
	}
	for r := n - 1; r >= 0; r-- {
		for k := r + 1; k < n; k++ {
			rhs[r] -= m[r][k] * rhs[k]
		}
		if m[r][r] == 0 {
			rhs[r] = 0
			continue
		}
		rhs[r] /= m[r][r]
	}
	return rhs, least
}
