package joined

import "slices"

// Search finds the shortest ways from some things to all that they lead to, the nearest
// first. Links that add nothing to a way are gone before those that do.
type Search[T comparable, L any] struct {
	// Beside calls lead with each link of a thing: what it leads to, what it is, and how much
	// it adds to the way, which is never less than 0.
	Beside func(at T, lead func(to T, by L, long int))

	ways map[T]step[T, L]
}

// step is how a search came to a thing.
type step[T comparable, L any] struct {
	from  T
	by    L
	first bool // the search began here
	long  int  // of the whole way
}

// From searches on from a thing, to which a way of so much leads already. Where a shorter way
// is known, nothing changes.
func (s *Search[T, L]) From(start T, long int) {
	if s.ways == nil {
		s.ways = make(map[T]step[T, L])
	}
	var at T
	var near, far []T // near is taken from its end, before far from its front
	reach := func(t T, st step[T, L], adds int) {
		if known, ok := s.ways[t]; ok && known.long <= st.long {
			return
		}
		s.ways[t] = st
		if adds == 0 {
			near = append(near, t)
		} else {
			far = append(far, t)
		}
	}
	reach(start, step[T, L]{first: true, long: long}, 0)
	for len(near)+len(far) > 0 {
		if n := len(near) - 1; n >= 0 {
			at, near = near[n], near[:n]
		} else {
			at, far = far[0], far[1:]
		}
		so := s.ways[at].long
		s.Beside(at, func(to T, by L, adds int) {
			reach(to, step[T, L]{from: at, by: by, long: so + adds}, adds)
		})
	}
}

// Long is the length of the shortest way to a thing; false where none leads there.
func (s *Search[T, L]) Long(to T) (int, bool) {
	w, ok := s.ways[to]
	return w.long, ok
}

// Way gives the links of the shortest way to a thing, in the order in which they are gone;
// false where none leads there.
func (s *Search[T, L]) Way(to T) (links []L, ok bool) {
	w, ok := s.ways[to]
	for ; ok && !w.first; w = s.ways[w.from] {
		links = append(links, w.by)
	}
	slices.Reverse(links)
	return links, ok
}
