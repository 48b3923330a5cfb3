package network

import "deadrung/circuits/joined"

// cut finds the pieces that a supernode falls into. All but the last to be found get
// labels of their own; that one keeps the supernode's.
func (l *Local) cut(s int32, opened []Conductor) {
	f := &l.searches
	*f = searches{l: l, first: int32(len(l.pieces)), all: f.all[:0], into: f.into[:0]}
	for _, o := range opened {
		p := l.net.conductors[o]
		if l.base.live.super[p.a] == s {
			f.start(s, p.a)
			f.start(s, p.b)
		}
	}
	f.run()
	keep := f.keeper()
	for i, found := range f.all {
		l.keepList(found.nodes)
		switch {
		case f.find(i) != i:
		case i == keep:
			for _, n := range found.nodes {
				l.seen[n] = 0
			}
		default:
			index := int32(len(l.pieces))
			l.pieces = append(l.pieces, piece{found.nodes})
			for _, n := range found.nodes {
				l.piece[n] = index
				l.seen[n] = l.epoch
			}
		}
	}
}

// searches go through a supernode from the ends of all conductors that opened in it, one
// node each in turn. They number their finds provisionally, behind the pieces that were
// found before.
type searches struct {
	l      *Local
	first  int32
	all    []search
	into   []int // union-find over searches: those that met are one
	active int   // searches that have not come to an end
}

// search is what one of them has found: nodes before next it has been at.
type search struct {
	nodes []Node
	next  int
}

func (s *search) ended() bool { return s.next >= len(s.nodes) }

// start sets out from a node of a supernode, if no other search has.
func (f *searches) start(super int32, n Node) {
	l := f.l
	if l.base.live.super[n] != super || l.seen[n] == l.epoch {
		return
	}
	l.seen[n] = l.epoch
	l.piece[n] = f.first + int32(len(f.all))
	f.into = append(f.into, len(f.all))
	f.all = append(f.all, search{nodes: append(l.list(), n)})
}

func (f *searches) find(i int) int {
	for f.into[i] != i {
		i = f.into[i]
	}
	return i
}

// run goes on until all searches but one have come to an end.
func (f *searches) run() {
	for f.active = len(f.all); f.active > 1; {
		for i := range f.all {
			if f.find(i) != i || f.all[i].ended() {
				continue
			}
			f.step(i)
			if f.all[i].ended() {
				f.active--
			}
			if f.active <= 1 {
				return
			}
		}
	}
}

// step goes from one node to those that conductors and joins lead to.
func (f *searches) step(i int) {
	l := f.l
	n := f.all[i].nodes[f.all[i].next]
	f.all[i].next++
	for _, c := range l.net.conductorsAt[n] {
		if l.base.closed[c] && !l.isOpened(c) {
			f.visit(i, l.net.Other(c, n))
		}
	}
	for _, j := range l.base.joins {
		switch n {
		case j[0]:
			f.visit(i, j[1])
		case j[1]:
			f.visit(i, j[0])
		}
	}
}

// visit comes to a node. Where another search was there before, that one goes on as part
// of this.
func (f *searches) visit(i int, n Node) {
	l, found := f.l, &f.all[i]
	if l.seen[n] != l.epoch {
		l.seen[n] = l.epoch
		l.piece[n] = f.first + int32(i)
		found.nodes = append(found.nodes, n)
		return
	}
	k := f.find(int(l.piece[n] - f.first))
	if k == i {
		return
	}
	f.into[k] = i
	rest := f.all[k]
	done, todo := found.nodes[:found.next], found.nodes[found.next:]
	all := append(append(l.list(), rest.nodes[:rest.next]...), done...)
	all = append(append(all, rest.nodes[rest.next:]...), todo...)
	l.keepList(rest.nodes)
	l.keepList(found.nodes)
	f.all[k].nodes = nil
	*found = search{all, rest.next + len(done)}
	f.active--
}

// keeper is the search whose finds keep the label of the supernode: the one that is still
// under way. What it has not seen keeps the label, and so must what it has seen.
func (f *searches) keeper() int {
	for i := range f.all {
		if f.find(i) == i && !f.all[i].ended() {
			return i
		}
	}
	return -1
}

// Rings visits the supernodes, by their least nodes, from which what the last change opened leads
// back to them: over one conductor, or over pieces that were cut off. Where another conductor of
// such a supernode opens as well, it may part what it would not part without the change.
func (l *Local) Rings(c *Change, visit func(super Node)) {
	pieces := joined.New(len(l.pieces))
	for _, o := range c.Opened {
		if a, b := l.ends(o); a < 0 && b < 0 {
			pieces.Join(-1-a, -1-b)
		}
	}
	led := make(map[int32]bool) // pieces from which a conductor leads to what is left
	for _, o := range c.Opened {
		a, b := l.ends(o)
		if a >= 0 {
			a, b = b, a
		}
		switch {
		case b < 0:
			continue
		case a >= 0 || led[pieces.Of(-1-a)]:
			visit(Node(b))
		default:
			led[pieces.Of(-1-a)] = true
		}
	}
}

// ends gives the labels of both ends of a conductor.
func (l *Local) ends(c Conductor) (a, b int32) {
	p := l.net.conductors[c]
	return l.label(p.a), l.label(p.b)
}
