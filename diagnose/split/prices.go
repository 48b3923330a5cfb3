package split

import "math"

// Prices are the costs of the tests of a board in every mode that the work can come to, asked for
// once and kept.
type prices struct {
	p     *Problem
	tests []Test
	unit  bool      // every test costs 1 and leaves the mode as it is
	known bool      // every mode is in rows
	floor []float64 // by place of the test: what it costs at least, 0 where that is not known
	kind  []int     // by place of the test: equal where cost and mode after are equal in every mode
	rows  map[Mode]priceRow

	standsIn [][]bool // by kind, by kind: no dearer in every mode; nil where there are too many kinds
}

// A priceRow is what each test costs in one mode, and the mode after it.
type priceRow struct {
	cost []float64
	then []Mode
}

// mostPrices is how many prices are kept. Where modes and tests are more, prices are asked for each time.
const mostPrices = 1 << 21

func (p *Problem) prices(tests []Test, from Mode) *prices {
	s := &prices{p: p, tests: tests, floor: make([]float64, len(tests)), kind: make([]int, len(tests))}
	if p.Costs == nil || p.Costs == Costs(UnitCosts{}) {
		s.unit, s.known = true, true
		for i := range s.floor {
			s.floor[i] = 1
		}
		return s
	}
	type likeness struct {
		kind int
		cost float64
		then Mode
	}
	for i := range s.floor {
		s.floor[i] = math.Inf(1)
	}
	s.rows = make(map[Mode]priceRow)
	met := map[Mode]bool{from: true}
	for queue := []Mode{from}; len(queue) > 0; queue = queue[1:] {
		if (len(s.rows)+1)*len(tests) > mostPrices {
			clear(s.floor)
			return s
		}
		row := priceRow{make([]float64, len(tests)), make([]Mode, len(tests))}
		kinds := make(map[likeness]int)
		for i, t := range tests {
			row.cost[i], row.then[i] = p.cost(queue[0], t)
			s.floor[i] = min(s.floor[i], row.cost[i])
			like := likeness{s.kind[i], row.cost[i], row.then[i]}
			if _, ok := kinds[like]; !ok {
				kinds[like] = len(kinds)
			}
			s.kind[i] = kinds[like]
			if !met[row.then[i]] {
				met[row.then[i]] = true
				queue = append(queue, row.then[i])
			}
		}
		s.rows[queue[0]] = row
	}
	s.known = true
	s.compareKinds()
	return s
}

// mostKinds is up to how many kinds of price are held against each other once and for all.
const mostKinds = 256

// compareKinds finds which kinds are no dearer than which.
func (s *prices) compareKinds() {
	first := make([]int32, 0, mostKinds) // by kind: a test of it
	number := make(map[int]int)
	for i, k := range s.kind {
		n, ok := number[k]
		if !ok {
			if n = len(first); n == mostKinds {
				return
			}
			number[k] = n
			first = append(first, int32(i))
		}
		s.kind[i] = n
	}
	s.standsIn = make([][]bool, len(first))
	for a := range first {
		s.standsIn[a] = make([]bool, len(first))
		for b := range first {
			s.standsIn[a][b] = s.everywhere(first[a], first[b])
		}
	}
}

// everywhere says that test a costs no more than test b in every mode, and leads to the same.
func (s *prices) everywhere(a, b int32) bool {
	for _, row := range s.rows {
		if row.cost[a] > row.cost[b] || row.then[a] != row.then[b] {
			return false
		}
	}
	return true
}

// of returns what a test costs in a mode, and the mode after it.
func (s *prices) of(from Mode, row priceRow, test int32) (float64, Mode) {
	switch {
	case s.unit:
		return 1, from
	case row.cost != nil:
		return row.cost[test], row.then[test]
	}
	return s.p.cost(from, s.tests[test])
}

// noDearer says that test a may stand in for test b in every mode: it costs no more and leads to
// the same mode.
func (s *prices) noDearer(a, b int32) bool {
	if s.unit {
		return true
	}
	if !s.known {
		return false
	}
	if s.standsIn != nil {
		return s.standsIn[s.kind[a]][s.kind[b]]
	}
	return s.kind[a] == s.kind[b] || s.everywhere(a, b)
}

// has says that a mode was met when the prices were asked for.
func (s *prices) has(from Mode) bool {
	_, ok := s.rows[from]
	return ok || s.unit || !s.known
}
