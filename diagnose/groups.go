package diagnose

import (
	"encoding/binary"

	"deadrung/diagnose/split"
)

// groups numbers the hypotheses so that two that no test tells apart share a number.
// A test tells two apart where both decide it and give different outcomes. That is
// not transitive where one of them leaves a test undecided; whatever such a chain
// joins is one group.
func groups(t *split.Table) []int32 {
	n := t.Hypotheses()
	class := make([]int32, n)
	index := make(map[string]int32)
	var first []split.Hypothesis // of each class of equal columns
	for h := range n {
		var key []byte
		for test, o := range t.Unusual(split.Hypothesis(h)) {
			key = binary.AppendUvarint(key, uint64(test))
			key = binary.AppendUvarint(key, uint64(o+1))
		}
		k, ok := index[string(key)]
		if !ok {
			k = int32(len(first))
			index[string(key)] = k
			first = append(first, split.Hypothesis(h))
		}
		class[h] = k
	}
	root := make([]int32, len(first))
	for i := range root {
		root[i] = int32(i)
	}
	find := func(x int32) int32 {
		for root[x] != x {
			x = root[x]
		}
		return x
	}
	join := func(i, k int32) {
		if a, b := find(i), find(k); a != b && !apart(t, first[i], first[k]) {
			root[max(a, b)] = min(a, b)
		}
	}
	// Two classes differ somewhere. They are joined if they differ only by what one of
	// them leaves undecided. Where a class decides a test otherwise than is usual, any
	// class joined to it decides it alike or leaves it undecided, so it stands in that
	// test's row: the shortest such row has all that need comparing. Those that decide
	// nothing otherwise than is usual are compared with each other.
	var vague []int32
	for i, h := range first {
		best, shortest := split.Test(-1), 0
		for test, o := range t.Unusual(h) {
			if o == split.Any || t.Usual(test) == split.Any {
				continue
			}
			if size := t.RowLength(test); best < 0 || size < shortest {
				best, shortest = test, size
			}
		}
		if best < 0 {
			vague = append(vague, int32(i))
			continue
		}
		own := t.Outcome(best, h)
		for other, o := range t.Exceptions(best) {
			if o == own || o == split.Any {
				join(int32(i), class[other])
			}
		}
	}
	for x, i := range vague {
		for _, k := range vague[x+1:] {
			join(i, k)
		}
	}
	group := class
	// Numbers in the order of first appearance, from zero.
	number := make(map[int32]int32)
	for h := range group {
		r := find(group[h])
		if _, ok := number[r]; !ok {
			number[r] = int32(len(number))
		}
		group[h] = number[r]
	}
	return group
}

// apart tells whether a test tells two hypotheses apart. It walks both columns side by
// side.
func apart(t *split.Table, a, b split.Hypothesis) bool {
	ta, oa := t.Column(a)
	tb, ob := t.Column(b)
	i, k := 0, 0
	for i < len(ta) || k < len(tb) {
		var x, y split.Outcome
		switch {
		case k == len(tb) || i < len(ta) && ta[i] < tb[k]:
			x, y = oa[i], t.Usual(ta[i])
			i++
		case i == len(ta) || tb[k] < ta[i]:
			x, y = t.Usual(tb[k]), ob[k]
			k++
		default:
			x, y = oa[i], ob[k]
			i++
			k++
		}
		if x != split.Any && y != split.Any && x != y {
			return true
		}
	}
	return false
}
