package network

// Transfer gives the volts between two nodes that one ampere brings which goes in at the first of
// two others and out at the second, with every source at rest; false where they do not hang together
// with these. By reciprocity it follows from the impedances between the four: with Z(x, y) that
// between x and y it is (Z(s,b) - Z(s,a) + Z(t,a) - Z(t,b)) / 2.
func (l *Live) Transfer(in, between [2]Node) (volts complex128, ok bool) {
	s := &l.systems[0]
	for i := range l.systems {
		if l.systems[i].hertz != 0 {
			s = &l.systems[i]
			break
		}
	}
	b := s.blocks
	var x [4]int32
	for i, n := range [4]Node{in[0], in[1], between[0], between[1]} {
		x[i] = l.number[n]
		if i > 0 && b.island(x[i]) != b.island(x[0]) {
			return 0, false
		}
	}
	return (b.between(x[0], x[3]) - b.between(x[0], x[2]) + b.between(x[1], x[2]) - b.between(x[1], x[3])) / 2, true
}
