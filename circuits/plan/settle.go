package plan

import "slices"

// mostSettling bounds how often a pairing is judged to better it.
const mostSettling = 5000

// settle turns and exchanges elements of the pairing while that leaves fewer mistakes to tell:
// where a wire makes one conductor of two, what lies between the two looks alike either way round.
func (m *matching) settle() {
	hw := m.drawn.hw
	left := mostSettling
	mistakes := func() int {
		left--
		j := &Judgement{}
		m.tell(j)
		return len(j.Mistakes)
	}
	least := mistakes()
	for better := true; better && least > 1 && left > 0; {
		better = false
		for _, e := range m.doubtful() {
			was := slices.Clone(m.pairs)
			try := func(change func()) bool {
				change()
				if n := mistakes(); n < least {
					least, better = n, true
					return true
				}
				copy(m.pairs, was)
				return false
			}
			if left <= 0 || least <= 1 || try(func() { m.pairs[e].flip = !m.pairs[e].flip }) {
				continue
			}
			for f, p := range m.pairs {
				if f != e && p.of >= 0 && hw.elements[f].label == hw.elements[e].label && left > 0 &&
					try(func() { m.pairs[e], m.pairs[f] = m.pairs[f], m.pairs[e] }) {
					break
				}
			}
		}
	}
}

// doubtful are the paired elements at conductors of the plan that hold what belongs to several.
func (m *matching) doubtful() []int {
	hw := m.drawn.hw
	one := unset(m.planned.nodes) // by conductor of the plan: the drawing's; several
	const several = -2
	ends := func(e int, do func(drawn, planned int)) {
		for i, t := range hw.elements[e].ends {
			if n := m.planned.node[m.pairs[e].end(hw, i)]; n >= 0 {
				do(m.drawn.node[t], n)
			}
		}
	}
	for e, p := range m.pairs {
		if p.of >= 0 {
			ends(e, func(drawn, planned int) {
				if was := one[planned]; was != -1 && was != drawn {
					drawn = several
				}
				one[planned] = drawn
			})
		}
	}
	var doubtful []int
	for e, p := range m.pairs {
		if p.of < 0 || hw.elements[e].directed {
			continue
		}
		found := false
		ends(e, func(_, planned int) { found = found || one[planned] == several })
		if found {
			doubtful = append(doubtful, e)
		}
	}
	return doubtful
}
