package connections

import (
	"cmp"
	"math"
	"slices"
)

// Measures of channels and ducts.
const (
	edge      = 12.0 // around the diagram
	sleeve    = 22.0 // from a box to where the wires of a screw part
	track     = 6.0  // from one wire to the next
	exitTrack = 12.5 // the same where wires leave the sheet, with a text each
	exitRoom  = 190.0
	apart     = 3.0 // of two wires on a screw from its middle
	frameHead = 20.0
	frameGap  = 16.0
)

// channel is the room for wires above or below a row.
type channel struct {
	above, below *row // the rows whose lower and upper screws lead to it
	tracks       [][][2]float64
	step         float64
	y            float64 // of its first track
}

// take gives a track that is free from one place to another.
func take(tracks *[][][2]float64, from, to float64) int {
	if from > to {
		from, to = to, from
	}
	for i, list := range *tracks {
		if !slices.ContainsFunc(list, func(v [2]float64) bool { return from < v[1]+2 && v[0] < to+2 }) {
			(*tracks)[i] = append(list, [2]float64{from, to})
			return i
		}
	}
	*tracks = append(*tracks, [][2]float64{{from, to}})
	return len(*tracks) - 1
}

// route is how a wire runs on a sheet.
type route struct {
	wire   *wire
	screws [2]*screw // the second is nil where it leaves the sheet
	xs     [2]float64
	at     [2]int // channels
	track  [2]int
	duct   int // -1: none
	left   bool
	exit   *screw // where it goes beyond the sheet; nil: nowhere
	right  bool   // it leaves there
	tag    *tag   // it ends at its screw; nil: at the edge
}

// scene is a sheet of the diagram with every place worked out.
type scene struct {
	d             *Diagram
	rows          []*row
	only          map[*box]bool // nil: all
	channels      []*channel
	routes        []*route
	ducts         [2][][][2]float64 // right, left
	left, right   float64           // edges of the rows
	exits         [2]float64        // room for what leaves the sheet, at the left and at the right
	sheetOf       map[*row]int      // on pages
	strips        map[*row][2]int   // levels of tags below and above a row
	width, height float64
}

// has tells whether a screw is on the sheet.
func (s *scene) has(sc *screw) bool {
	if len(s.rows) == 0 {
		return false
	}
	at := sc.box.row.index - s.rows[0].index
	return at >= 0 && at < len(s.rows) && (s.only == nil || s.only[sc.box])
}

// channelOf gives the channel that a screw leads to.
func (s *scene) channelOf(sc *screw) int {
	return slices.IndexFunc(s.channels, func(c *channel) bool {
		return sc.top && c.below == sc.box.row || !sc.top && c.above == sc.box.row
	})
}

// scene works out where rows and wires are on a sheet.
func (d *Diagram) scene(rows []*row, only map[*box]bool) *scene {
	s := &scene{d: d, rows: rows, only: only}
	for i, r := range rows {
		if i == 0 || rows[i-1].place != r.place {
			s.channels = append(s.channels, &channel{below: r, step: track})
		}
		c := &channel{above: r, step: track}
		if i+1 < len(rows) && rows[i+1].place == r.place {
			c.below = rows[i+1]
		}
		s.channels = append(s.channels, c)
		for _, b := range r.boxes {
			s.right = max(s.right, b.x+b.w)
		}
	}
	s.findRoutes()
	s.tagExits()
	s.takeExits()
	s.takeTracks()
	s.measure()
	return s
}

// findRoutes finds the wires that are on the sheet, whole or with one end.
func (s *scene) findRoutes() {
	for _, w := range s.wires() {
		here := [2]bool{s.has(w.ends[0]), s.has(w.ends[1])}
		if !here[0] && !here[1] {
			continue
		}
		r := &route{wire: w, screws: w.ends, duct: -1}
		if !here[0] {
			r.screws = [2]*screw{w.ends[1], w.ends[0]}
		}
		if !here[0] || !here[1] {
			r.exit, r.screws[1] = r.screws[1], nil
			r.right = s.d.both && r.screws[0].x > s.right/2
		}
		for i, sc := range r.screws {
			if sc == nil {
				continue
			}
			r.xs[i] = sc.x
			if len(sc.wires) > 1 {
				r.xs[i] += apart * float64(2*slices.Index(sc.wires, w)-1)
				if sc.wires[0] == w && w.ends[0] == w.ends[1] {
					r.xs[i] -= apart
				}
			}
			r.at[i] = s.channelOf(sc)
		}
		s.routes = append(s.routes, r)
	}
}

// takeExits makes room for the wires that leave the sheet at its edges.
func (s *scene) takeExits() {
	for _, r := range s.routes {
		if r.exit != nil && r.tag == nil {
			side := b2i(r.right)
			s.exits[side] = max(s.exits[side], s.exitFor(r))
			s.channels[r.at[0]].step = exitTrack
		}
	}
}

// wires are those on the screws of the rows, in the order of the diagram.
func (s *scene) wires() []*wire {
	var list []*wire
	for _, r := range s.rows {
		for _, b := range r.boxes {
			for _, sc := range b.screws {
				list = append(list, sc.wires...)
			}
		}
	}
	slices.SortFunc(list, func(a, b *wire) int { return a.index - b.index })
	return slices.Compact(list)
}

// exitFor is the room that a wire takes where it leaves the sheet; on pages that is the most there is,
// for the sheets are yet to be counted.
func (s *scene) exitFor(r *route) float64 {
	if s.only == nil {
		return exitRoom
	}
	return width(s.exitText(r)) + 2*edge
}

// takeTracks gives every wire its tracks: short ones first, so that they stay near the screws.
func (s *scene) takeTracks() {
	length := func(r *route) float64 {
		if r.exit != nil || r.at[0] != r.at[1] {
			return math.Inf(1)
		}
		return math.Abs(r.xs[0] - r.xs[1])
	}
	order := slices.Clone(s.routes)
	slices.SortStableFunc(order, func(a, b *route) int { return cmp.Compare(length(a), length(b)) })
	for _, r := range order {
		switch {
		case r.tag != nil:
		case r.exit != nil:
			end := -edge
			if r.right {
				end = s.right + edge
			}
			r.track[0] = take(&s.channels[r.at[0]].tracks, r.xs[0], end)
		case r.at[0] == r.at[1]:
			r.track[0] = take(&s.channels[r.at[0]].tracks, r.xs[0], r.xs[1])
		default:
			r.left = r.screws[0].box.row.place != r.screws[1].box.row.place
			end := s.right + edge
			if r.left {
				end = -edge
			}
			for i := range r.track {
				r.track[i] = take(&s.channels[r.at[i]].tracks, r.xs[i], end)
			}
			r.duct = take(&s.ducts[b2i(r.left)], float64(10*min(r.at[0], r.at[1])),
				float64(10*max(r.at[0], r.at[1])))
		}
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// measure places rows and channels from the top down.
func (s *scene) measure() {
	s.left = edge + frameGap + s.exits[0]
	if n := len(s.ducts[1]); n > 0 {
		s.left += edge + track*float64(n)
	}
	s.width = s.left + s.right + edge + frameGap + s.exits[1]
	if n := len(s.ducts[0]); n > 0 {
		s.width += edge + track*float64(n)
	}
	y := edge
	for _, c := range s.channels {
		if c.above == nil {
			y += frameHead
		} else {
			c.above.y = y
			y += boxHeight + sleeve + s.strip(c.above, false)
		}
		c.y = y + track
		y += track + c.step*float64(len(c.tracks))
		if c.below == nil {
			y += frameGap
		} else {
			y += s.strip(c.below, true) + sleeve
		}
	}
	s.height = y + edge
}

// trackY is where a track of a channel is.
func (s *scene) trackY(channel, t int) float64 {
	c := s.channels[channel]
	return c.y + c.step*(float64(t)+0.5)
}

// ductX is where a track of a duct is.
func (s *scene) ductX(left bool, t int) float64 {
	if left {
		return s.left - edge - track*float64(t) - 2
	}
	return s.left + s.right + edge + frameGap/2 + track*float64(t)
}
