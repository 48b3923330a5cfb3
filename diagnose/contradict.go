package diagnose

import (
	"cmp"
	"slices"

	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Contradicting is two readings of a log that no single fault gives, nor the good
// circuit, though each of them is one that some fault gives.
type Contradicting struct {
	Lines [2]int `json:"lines"`
	// Indices are into Log.Entries.
	Indices [2]int `json:"-"`
}

// MostContradicting is how many pairs of readings are named. Common practice, no source.
const MostContradicting = 3

// contradicting finds the readings that contradict each other, those first that most of
// what is left disagrees with.
func (b *belief) contradicting(conflicts []Conflict) []Contradicting {
	share := make(map[int]float64)
	for _, c := range conflicts {
		share[c.Index] = c.Share
	}
	var out []Contradicting
	for x := range b.against {
		for y := x + 1; y < len(b.against); y++ {
			if share[x]+share[y] > 0 && b.apart(b.against[x], b.against[y]) {
				out = append(out, Contradicting{[2]int{b.history.Entries[x].Line, b.history.Entries[y].Line}, [2]int{x, y}})
			}
		}
	}
	doubt := func(c Contradicting) float64 { return share[c.Indices[0]] + share[c.Indices[1]] }
	slices.SortStableFunc(out, func(c, d Contradicting) int { return cmp.Compare(doubt(d), doubt(c)) })
	return out[:min(len(out), MostContradicting)]
}

// apart tells whether no hypothesis fits two readings, by what disagrees with each, while
// some fit one.
func (b *belief) apart(one, other []bool) bool {
	if !slices.Contains(one, false) || !slices.Contains(other, false) {
		return false
	}
	for h := range one {
		if !one[h] && !other[h] {
			return false
		}
	}
	return true
}

// without gives the faults that fit all readings that count but one, the likeliest
// first; none if there are no such faults.
func (b *belief) without(entry int) []faultmodel.ID {
	var fit []int
	for h := range b.m.faults {
		if b.disagree[h] == 1 && b.against[entry][h] {
			fit = append(fit, h)
		}
	}
	return b.m.likeliest(fit)
}

// likeliest gives the identities of faults, the likeliest first.
func (m *Model) likeliest(faults []int) []faultmodel.ID {
	slices.SortStableFunc(faults, func(x, y int) int { return cmp.Compare(m.faults[y].Prior, m.faults[x].Prior) })
	ids := make([]faultmodel.ID, len(faults))
	for i, f := range faults {
		ids[i] = m.faults[f].ID
	}
	return ids
}

// Intermittent is a check that was made more than once with answers that are not of one
// condition: a connection or contact comes and goes, or one of the readings was wrong.
type Intermittent struct {
	Check log.Check `json:"check"`
	Lines []int     `json:"lines"`
	// IDs are the faults that give every reading of the log if they come and go, the
	// likeliest first.
	IDs []faultmodel.ID `json:"ids"`
	// Indices are into Log.Entries.
	Indices []int `json:"-"`
}

// intermittent finds the checks whose answers changed from one time to the next, in the
// order of the log.
func (b *belief) intermittent() []Intermittent {
	var out []Intermittent
	times := make(map[log.Key][]int)
	var keys []log.Key
	for i, e := range b.history.Entries {
		if e.Answer == nil || i < b.history.Since() {
			continue
		}
		k := b.m.book.Key(e.Located())
		if times[k] == nil {
			keys = append(keys, k)
		}
		times[k] = append(times[k], i)
	}
	for _, k := range keys {
		if made := times[k]; len(made) > 1 && b.changed(made) {
			found := Intermittent{Check: b.history.Entries[made[0]].Check, IDs: b.comeAndGo(made), Indices: made}
			for _, i := range made {
				found.Lines = append(found.Lines, b.history.Entries[i].Line)
			}
			out = append(out, found)
		}
	}
	return out
}

// changed tells whether two answers to one check cannot both be true: neither is within
// what agrees with the other, and nothing that fits the log as well as any leaves the
// reading open.
func (b *belief) changed(made []int) bool {
	m := b.m
	for n, i := range made {
		for _, k := range made[n+1:] {
			e, x, y := b.history.Entries[i], *b.history.Entries[i].Answer, *b.history.Entries[k].Answer
			x.Known, y.Known = true, true // the same part read twice
			if m.bandOf(e.Located(), x).holds(y.Number()) || m.bandOf(e.Located(), y).holds(x.Number()) {
				continue
			}
			one, other := m.disagreeing(e), m.disagreeing(b.history.Entries[k])
			open := false
			for h := range one {
				open = open || b.disagree[h] <= b.least && !one[h] && !other[h]
			}
			if !open {
				return true
			}
		}
	}
	return false
}

// comeAndGo gives the faults that give every reading if they come and go, so that each
// reading is theirs or the good circuit's, and at the check that changed once the one and
// once the other. Of these it takes those that have to come and go the fewest times.
func (b *belief) comeAndGo(made []int) []faultmodel.ID {
	m := b.m
	good := len(m.faults)
	const there, gone, impossible = 0, 1, 1 << 20
	times := make([][2]int, good) // by fault: how often it came or went, if it is there now and if it is not
	shown := make([][2]bool, good)
	for i, e := range b.history.Entries {
		if e.Answer == nil || i < b.history.Since() {
			continue
		}
		against := b.against[i]
		if against == nil {
			against = m.disagreeing(e) // made again since
		}
		for f := range times {
			was := times[f]
			times[f] = [2]int{min(was[there], was[gone]+1), min(was[gone], was[there]+1)}
			for state, no := range [2]bool{against[f], against[good]} {
				if no {
					times[f][state] = impossible
				}
			}
			if slices.Contains(made, i) && against[f] != against[good] {
				shown[f][there] = shown[f][there] || against[good]
				shown[f][gone] = shown[f][gone] || against[f]
			}
		}
	}
	var fit []int
	fewest := impossible
	for f, t := range times {
		if n := min(t[there], t[gone]); n <= fewest && n < impossible && shown[f] == [2]bool{true, true} {
			if n < fewest {
				fewest, fit = n, nil
			}
			fit = append(fit, f)
		}
	}
	return m.likeliest(fit)
}
