package split

// Kin are items that lower bounds must not count as told apart: those of one group, those that
// answer every test alike, and, where answers may be left open, those that no test parts, with the
// kin of their kin. At whatever position the work may end, all that is left is kin.

// joinKin finds the kin of an outline by groups and by columns, given as marks. Two marks that are
// equal by chance make a bound weaker, not wrong. On an outline with open answers all items are
// held to be kin.
func (b *board) joinKin(columns []uint64) {
	f := newFamilies(len(b.items))
	byGroup := make(map[int32]int)
	byColumn := make(map[uint64]int)
	for i, g := range b.group {
		if first, ok := byGroup[g]; ok {
			f.join(first, i)
		} else {
			byGroup[g] = i
		}
		if first, ok := byColumn[columns[i]]; ok {
			f.join(first, i)
		} else {
			byColumn[columns[i]] = i
		}
		if b.open {
			f.join(0, i)
		}
	}
	b.kin, b.kins = f.number()
}

// mostCompared is how many answers are compared to find kin among items with open answers. Beyond
// it all stay kin.
const mostCompared = 1 << 25

// joinUnparted finds the kin of a board with open answers.
func (b *board) joinUnparted() {
	n := len(b.items)
	if n*n*len(b.tests) > mostCompared {
		return
	}
	parted := make([]bool, n*n)
	for t := range b.tests {
		row := b.says[t*n : (t+1)*n]
		for i, x := range row {
			if x == int16(Any) {
				continue
			}
			for j, y := range row[:i] {
				if x != y && y != int16(Any) {
					parted[i*n+j] = true
				}
			}
		}
	}
	f := newFamilies(n)
	for i := range n {
		for j := range i {
			if !parted[i*n+j] || b.group[i] == b.group[j] {
				f.join(i, j)
			}
		}
	}
	b.kin, b.kins = f.number()
}

// Families are sets of items that are joined two by two.
type families struct{ parent []int32 }

func newFamilies(n int) families {
	f := families{make([]int32, n)}
	for i := range f.parent {
		f.parent[i] = int32(i)
	}
	return f
}

func (f families) root(i int) int32 {
	for f.parent[i] != int32(i) {
		f.parent[i] = f.parent[f.parent[i]]
		i = int(f.parent[i])
	}
	return int32(i)
}

func (f families) join(i, j int) {
	a, b := f.root(i), f.root(j)
	f.parent[max(a, b)] = min(a, b)
}

// number numbers the families from 0, and says how many there are.
func (f families) number() (of []int32, n int) {
	of = make([]int32, len(f.parent))
	number := make(map[int32]int32)
	for i := range of {
		r := f.root(i)
		if _, ok := number[r]; !ok {
			number[r] = int32(len(number))
		}
		of[i] = number[r]
	}
	return of, len(number)
}
