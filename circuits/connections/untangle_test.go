package connections

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/circuits/drawing"
)

// crossings counts where the wires of a figure cross, by the lines alone.
func crossings(f drawing.Figure, wires int) int {
	n := 0
	lines := f.Lines[len(f.Lines)-wires:]
	for i, l := range lines {
		for k, m := range lines {
			if i == k {
				continue
			}
			for a := 1; a < len(l.Points); a++ {
				for b := 1; b < len(m.Points); b++ {
					p, q, v, w := l.Points[a-1], l.Points[a], m.Points[b-1], m.Points[b]
					flat, upright := math.Abs(p.Y-q.Y) < 1e-9, math.Abs(v.X-w.X) < 1e-9
					if flat && upright && min(p.X, q.X) < v.X && v.X < max(p.X, q.X) && min(v.Y, w.Y) < p.Y && p.Y < max(v.Y, w.Y) {
						n++
					}
				}
			}
		}
	}
	return n
}

// No exchange of two tracks side by side, of two ducts side by side, or of the two wires on a screw
// leaves fewer crossings than there are, counted on the finished drawing.
func TestNoCrossingIsInVain(t *testing.T) {
	before, after := 0, 0
	for _, c := range every(t) {
		if len(c.Devices) > 40 {
			continue // counting takes long
		}
		d := New(c)
		s := d.tangled(Options{})
		count := func() int { return crossings(s.figure(Options{}), len(s.routes)) }
		before += count()
		s.untangle()
		least := count()
		after += least
		// try makes an exchange, counts, and makes it again, which undoes it.
		try := func(what string, exchange func()) {
			exchange()
			assert.GreaterOrEqual(t, count(), least, "%s: %s", c.File, what)
			exchange()
		}
		other := func(at *int, a int) {
			switch *at {
			case a:
				*at = a + 1
			case a + 1:
				*at = a
			}
		}
		for ch, channel := range s.channels {
			for a := range len(channel.tracks) - 1 {
				try("tracks", func() {
					for _, r := range s.routes {
						for i := range r.track {
							if r.at[i] == ch && (i == 0 || r.exit == nil && r.duct >= 0) {
								other(&r.track[i], a)
							}
						}
					}
				})
			}
		}
		for side, ducts := range s.ducts {
			for a := range max(len(ducts)-1, 0) {
				try("ducts", func() {
					for _, r := range s.routes {
						if r.duct >= 0 && b2i(r.left) == side {
							other(&r.duct, a)
						}
					}
				})
			}
		}
	}
	t.Logf("%d crossings, %d when untangled", before, after)
	assert.Less(t, after, before*3/4)
}
