// Package joined tells what hangs together where things are joined two by two, and by which
// way.
//
// [Sets] over small integers and [Named] over anything that has a name are a union-find.
// Source: R. Sedgewick and K. Wayne, Algorithms, chapter 1.5, from memory; ways are halved as
// they are gone. [Search] is a breadth-first search (chapter 4.1 there) that also knows links
// of no length.
package joined

// Sets are sets of small integers. Each is named by the least of its members.
type Sets struct{ up []int32 }

// New gives n integers from 0, each alone.
func New(n int) *Sets {
	s := &Sets{make([]int32, n)}
	for i := range s.up {
		s.up[i] = int32(i)
	}
	return s
}

// Len is how many integers there are.
func (s *Sets) Len() int { return len(s.up) }

// Add adds the next integer, alone, and gives it.
func (s *Sets) Add() int32 {
	s.up = append(s.up, int32(len(s.up)))
	return int32(len(s.up) - 1)
}

// Of gives the least member of the set that x is in.
func (s *Sets) Of(x int32) int32 {
	for s.up[x] != x {
		s.up[x] = s.up[s.up[x]]
		x = s.up[x]
	}
	return x
}

// Read is Of for several goroutines at once: it changes nothing.
func (s *Sets) Read(x int32) int32 {
	for s.up[x] != x {
		x = s.up[x]
	}
	return x
}

// Join makes the sets of a and b one.
func (s *Sets) Join(a, b int32) {
	a, b = s.Of(a), s.Of(b)
	s.up[max(a, b)] = min(a, b)
}

// Named are sets of things by their names. Each is named by the member of it that was joined
// first; what was never joined is alone. The zero value is ready.
type Named[T comparable] struct {
	index map[T]int32
	names []T
	sets  Sets
}

// Of gives the name of the set that a thing is in.
func (n *Named[T]) Of(t T) T {
	if i, ok := n.index[t]; ok {
		return n.names[n.sets.Of(i)]
	}
	return t
}

// Join makes the sets of a and b one.
func (n *Named[T]) Join(a, b T) { n.sets.Join(n.add(a), n.add(b)) }

// Has tells whether a thing was ever joined to anything.
func (n *Named[T]) Has(t T) bool {
	_, ok := n.index[t]
	return ok
}

func (n *Named[T]) add(t T) int32 {
	if i, ok := n.index[t]; ok {
		return i
	}
	if n.index == nil {
		n.index = make(map[T]int32)
	}
	n.names = append(n.names, t)
	n.index[t] = n.sets.Add()
	return n.index[t]
}
