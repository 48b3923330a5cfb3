package network

import "slices"

// cut finds the pieces that a supernode falls into. All but the last to be found get
// labels of their own; that one keeps the supernode's.
func (l *Local) cut(s int32, opened []Conductor) {
	type search struct {
		nodes []Node
		next  int
	}
	var searches []search
	first := int32(len(l.pieces))
	// The searches number their finds provisionally behind the pieces found so far.
	start := func(n Node) {
		if l.base.live.super[n] != s || l.seen[n] == l.epoch {
			return
		}
		l.seen[n] = l.epoch
		l.piece[n] = first + int32(len(searches))
		searches = append(searches, search{nodes: []Node{n}})
	}
	for _, o := range opened {
		p := l.net.conductors[o]
		if l.base.live.super[p.a] == s {
			start(p.a)
			start(p.b)
		}
	}
	into := make([]int, len(searches)) // union-find over searches
	for i := range into {
		into[i] = i
	}
	find := func(i int) int {
		for into[i] != i {
			i = into[i]
		}
		return i
	}
	active := len(searches)
	for active > 1 {
		for i := range searches {
			if find(i) != i || searches[i].next >= len(searches[i].nodes) {
				continue
			}
			n := searches[i].nodes[searches[i].next]
			searches[i].next++
			visit := func(other Node) {
				if l.seen[other] != l.epoch {
					l.seen[other] = l.epoch
					l.piece[other] = first + int32(i)
					searches[i].nodes = append(searches[i].nodes, other)
					return
				}
				if k := find(int(l.piece[other] - first)); k != i {
					// The two meet: k goes on as part of i.
					into[k] = i
					rest := searches[k]
					done := searches[i].nodes[:searches[i].next]
					todo := searches[i].nodes[searches[i].next:]
					joined := slices.Concat(rest.nodes[:rest.next], done, rest.nodes[rest.next:], todo)
					searches[i] = search{joined, rest.next + len(done)}
					active--
				}
			}
			for _, c := range l.net.conductorsAt[n] {
				if l.base.closed[c] && !l.opened[c] {
					visit(l.net.other(c, n))
				}
			}
			for _, j := range l.base.joins {
				switch n {
				case j[0]:
					visit(j[1])
				case j[1]:
					visit(j[0])
				}
			}
			if searches[i].next >= len(searches[i].nodes) {
				active--
			}
			if active <= 1 {
				break
			}
		}
	}
	// One search may still be under way: what it has not seen keeps the supernode's
	// label, and so must what it has seen. If all came to an end, the one that holds a
	// source's node keeps it, else the largest.
	keep := -1
	for i := range searches {
		if find(i) != i {
			continue
		}
		if searches[i].next < len(searches[i].nodes) {
			keep = i
			break
		}
		if keep < 0 || len(searches[i].nodes) > len(searches[keep].nodes) {
			keep = i
		}
	}
	if searches[keep].next >= len(searches[keep].nodes) {
		for _, p := range l.net.sources[1:] {
			for _, n := range [2]Node{p.Hot, p.Return} {
				if l.base.live.super[n] == s && l.seen[n] == l.epoch {
					keep = find(int(l.piece[n] - first))
				}
			}
		}
	}
	for i := range searches {
		if find(i) != i {
			continue
		}
		if i == keep {
			for _, n := range searches[i].nodes {
				l.seen[n] = 0
			}
			continue
		}
		index := int32(len(l.pieces))
		l.pieces = append(l.pieces, piece{searches[i].nodes})
		for _, n := range searches[i].nodes {
			l.piece[n] = index
			l.seen[n] = l.epoch
		}
	}
}
