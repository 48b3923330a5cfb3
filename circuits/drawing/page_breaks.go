package drawing

import (
	"cmp"
	"math"
	"slices"
)

// What a bad end of a sheet counts against how full the sheets are, of which a sheet that is left
// empty counts one. No source: as the built-in circuits look well.
const (
	brokenGroup     = 0.1  // a group of rungs goes on upon the next sheet
	brokenConductor = 0.15 // so does a conductor
)

// paging lays a drawing out on sheets of paper.
type paging struct {
	d     *Drawing
	o     Options
	high  float64   // of a page, for rungs and notes
	room  float64   // for rungs, side by side or one below the other
	needs []float64 // of each rung
	least float64   // length of paths that run down
	notes []string
	noted float64 // height of the notes
}

func (d *Drawing) paging(o Options) *paging {
	p := &paging{d: d, o: o, high: o.Page.Height - pageHead - d.legendHeight(o), notes: d.pageNotes(o)}
	p.room = p.high
	if o.Upright {
		p.room = o.Page.Width - 2*pathMargin
		_, p.least = d.columns(o, 0, 0)
	}
	for i := range d.Rungs {
		before, after := d.reach(&d.Rungs[i], o)
		p.needs = append(p.needs, before+after)
	}
	p.noted = o.Page.high(p.notes)
	return p
}

// sheets lays the drawing out on as few sheets as there can be, where few conductors go on upon
// another and none is nearly empty. The notes stand below the last rungs, first of them on which sheet
// each rung is; where there is no room, on sheets of their own.
func (p *paging) sheets() []pageSheet {
	ends := p.ends()
	var sheets []pageSheet
	start := 0
	for _, end := range ends {
		sheets = append(sheets, pageSheet{rungs: p.d.Rungs[start:end], before: p.d.crossings(start, start, end),
			after: p.d.crossings(end, start, end)})
		start = end
	}
	left := p.high
	if n := len(sheets); n > 0 {
		left -= p.height(len(p.d.Rungs)-len(sheets[n-1].rungs), len(p.d.Rungs))
	} else {
		sheets = []pageSheet{{}}
	}
	for _, note := range append([]string{index(sheets, p.o)}, p.notes...) {
		lines := p.o.Page.wrapped(note)
		whole := footStep * float64(len(lines))
		for i, line := range lines {
			if left < footStep || i == 0 && left < whole && whole < p.high {
				sheets = append(sheets, pageSheet{})
				left = p.high
			}
			left -= footStep
			last := &sheets[len(sheets)-1]
			last.notes = append(last.notes, line)
		}
	}
	return sheets
}

// plan is how rungs up to one of them go on sheets.
type plan struct {
	sheets int
	bad    float64
	before int // the rung before which the last of the sheets begins
}

func (a plan) compare(b plan) int { return cmp.Or(a.sheets-b.sheets, cmp.Compare(a.bad, b.bad)) }

// ends gives before which rung each sheet ends: the best of all ways, sheet by sheet.
func (p *paging) ends() []int {
	n := len(p.d.Rungs)
	if n == 0 {
		return nil
	}
	best := make([]plan, n+1)
	for end := 1; end <= n; end++ {
		best[end] = plan{sheets: math.MaxInt}
		for start := end - 1; start >= 0; start-- {
			length := p.length(start, end)
			if start < end-1 && length > p.room {
				break
			}
			next := plan{best[start].sheets + 1, best[start].bad + p.bad(start, end, length), start}
			if end == n {
				further := p.further(start, next.sheets)
				next.sheets += further
				next.bad += float64(further)
			}
			if next.compare(best[end]) < 0 {
				best[end] = next
			}
		}
	}
	var ends []int
	for end := n; end > 0; end = best[end].before {
		ends = append(ends, end)
	}
	slices.Reverse(ends)
	return ends
}

// bad is what is bad about a sheet: how empty it is, and what is broken off at its end.
func (p *paging) bad(start, end int, length float64) float64 {
	rungs := p.d.Rungs
	if end == len(rungs) && !p.o.Upright {
		length += p.noted
	}
	empty := max(p.room-length, 0) / p.room
	bad := empty * empty
	if end < len(rungs) && rungs[end].group == rungs[end-1].group {
		bad += brokenGroup + brokenConductor*float64(len(p.d.crossings(end, start, end)))
	}
	return bad
}

// further is how many sheets the notes take behind the last rungs.
func (p *paging) further(start, sheets int) int {
	notes := p.noted
	if sheets > 1 {
		notes += footStep * math.Ceil(float64(sheets*len("100–110 on sheet 10, "))*noteWidth*p.o.Page.Least/(p.o.Page.Width-2*leftMargin))
	}
	end := len(p.d.Rungs)
	height := p.length(start, end)
	if p.o.Upright {
		height = pathHead + p.least + p.d.below(p.d.Rungs[start:end], p.o)
	}
	if notes == 0 || height+notes <= p.high {
		return 0
	}
	return int(math.Ceil(notes / p.high))
}

// height is how far down a page rungs go.
func (p *paging) height(start, end int) float64 {
	if !p.o.Upright {
		return p.length(start, end)
	}
	return pathHead + p.pathLength(start, end) + p.d.below(p.d.Rungs[start:end], p.o)
}

// pathLength is from rail to rail on a sheet of paths that run down: longer than they need where
// that leaves room for the notes.
func (p *paging) pathLength(start, end int) float64 {
	room := p.high - pathHead - p.d.below(p.d.Rungs[start:end], p.o) - footStep - p.noted
	return math.Max(p.least, math.Min(room, mostStretch*p.least))
}

// length is the room that rungs take on a page, one after the other, with the references to
// other sheets.
func (p *paging) length(start, end int) float64 {
	d, o := p.d, p.o
	y := d.joinRoom(start, start, end, o) + d.joinRoom(end, start, end, o)
	for i := start; i < end; i++ {
		other := i > start && d.Rungs[i].section != d.Rungs[i-1].section
		if other {
			y += sectionGap
		}
		if other || i == start {
			y += d.railRoom(d.Rungs[i].section, o)
		}
		y += p.needs[i]
	}
	return y
}
