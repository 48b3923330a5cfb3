package diagnose

import (
	"fmt"
	"slices"
	"sort"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/diagnose/log"
)

// Group is several faults of which no check tells two apart.
type Group struct {
	Faults []int
	Prior  float64
	Why    string
}

// Alike lists the groups of more than one fault, likeliest first, and why nothing tells
// them apart.
func (m *Model) Alike() []Group {
	by := make(map[int32]*Group)
	var order []int32
	for i, f := range m.faults {
		g := m.table.group[i]
		if by[g] == nil {
			by[g] = &Group{}
			order = append(order, g)
		}
		by[g].Faults = append(by[g].Faults, i)
		by[g].Prior += f.Prior
	}
	var out []Group
	hidden := m.table.group[len(m.faults)]
	for _, g := range order {
		if len(by[g].Faults) < 2 && g != hidden {
			continue
		}
		by[g].Why = m.whyAlike(by[g].Faults, g == hidden)
		out = append(out, *by[g])
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Prior > out[k].Prior })
	return out
}

func (m *Model) whyAlike(faults []int, hidden bool) string {
	if hidden {
		return "no check shows it: all readings are those of a good circuit"
	}
	same := true
	blown := true
	for _, f := range faults {
		same = same && slices.Equal(m.faults[f].Devices, m.faults[faults[0]].Devices)
		blown = blown && len(m.blown[f]) > 0
	}
	switch {
	case same:
		return "it is one part to the wires: the repair is the same"
	case blown:
		return fmt.Sprintf("each joins the same two nodes and opens %s: part the wires to tell which", names(m.blown[faults[0]]))
	}
	return "every check reads alike with each of them, or may read anything: nothing on the terminals tells which"
}

func names(devices []*circuits.Device) string {
	s := ""
	for i, d := range devices {
		if i > 0 {
			s += ", "
		}
		s += d.Name
	}
	return s
}

// Complaint is something that a person can be told is wrong.
type Complaint struct {
	Entry log.Entry
	Share float64 // of the prior
}

// Complaints are the looks that the likeliest faults make go wrong, each fault counted
// at the first of them that shows it; the likeliest first, at most so many.
func (m *Model) Complaints(most int) []Complaint {
	var out []Complaint
	told := make([]bool, len(m.faults))
	for len(out) < most {
		best, share := -1, 0.0
		for i, l := range m.checks {
			if l.Kind != log.Look || l.Look > 0 || !m.usual[i].Firm {
				continue
			}
			var s float64
			m.seenOtherwise(int32(i), func(fault int) {
				if !told[fault] {
					s += m.faults[fault].Prior
				}
			})
			if s > share+1e-12 {
				best, share = i, s
			}
		}
		if best < 0 {
			break
		}
		answer := log.Reading{Kind: log.Look, On: !m.usual[best].On, Firm: true}
		e, err := m.book.NewEntry(m.book.Check(m.checks[best]), &answer)
		if err != nil {
			break
		}
		out = append(out, Complaint{e, share})
		m.seenOtherwise(int32(best), func(fault int) { told[fault] = true })
	}
	return out
}

// seenOtherwise visits the faults with which a look plainly shows the opposite of what the
// good circuit shows.
func (m *Model) seenOtherwise(check int32, visit func(fault int)) {
	differs := func(r log.Reading) bool { return r.Firm && r.On != m.usual[check].On }
	course := make([]bool, len(m.beside))
	for q := range course {
		course[q] = differs(m.along(int32(q), check))
	}
	cells := m.cells[check] // by rising fault
	for f, q := range m.follows {
		is := course[q]
		if len(cells) > 0 && int(cells[0].fault) == f {
			is = differs(cells[0].reading)
			cells = cells[1:]
		}
		if is {
			visit(f)
		}
	}
}

// Reading gives an answer in the middle of an outcome.
func (a Answered) Reading(kind log.Kind) log.Reading {
	r := log.Reading{Kind: kind, On: a.Saw == "on", Firm: true}
	switch {
	case a.Saw == string(log.Flashing):
		r.Seems = log.Flashing
	case a.Read != "": // from Low up, too
		r.Value = log.OL
	case a.Low != nil:
		r.Value = (*a.Low + *a.High) / 2
	}
	return r
}

// Improvement is something that would tell more faults apart.
type Improvement struct {
	What string
	Gain float64 // share of the prior that is parted from likelier faults of its group
}

// Improvements are the disconnect terminals that would help most: at each terminal in
// turn its wires are thought off, and what an ohmmeter then reads from the wires to the
// source's return, with every operator at rest, is worked out for the faults that
// nothing tells apart so far. The most helpful come first, three at most.
func (m *Model) Improvements() []Improvement {
	groups := m.Alike()
	var out []Improvement
	for n := 1; n <= m.panel.Net.Nodes(); n++ {
		at := network.Node(n)
		t := m.panel.Terminal(at)
		if !m.reachable(at) {
			continue
		}
		l := log.Located{Kind: log.Ohms, A: at, B: m.panel.Net.Source(m.own[at]).Return}
		if l.B == at {
			continue
		}
		var gain float64
		for _, g := range groups {
			gain += m.parted(g, t, l)
		}
		if gain > 0 {
			out = append(out, Improvement{fmt.Sprintf("a disconnect terminal at %s, to measure wire %s by itself",
				t, m.panel.Circuit.Numbers[m.panel.Number(at)].Name), gain})
		}
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Gain > out[k].Gain })
	return out[:min(3, len(out))]
}

// parted is the prior of a group that is parted from its likeliest part by an ohms check
// on the wires lifted off a terminal.
func (m *Model) parted(g Group, t circuits.Terminal, l log.Located) float64 {
	values := make([]log.Reading, len(g.Faults))
	for i, f := range g.Faults {
		o := m.panel.Dead(m.faults[f].Overlay)
		st := m.panel.LockedOut(&o, 0)
		lifted, err := m.panel.Lift(o, []circuits.Terminal{t})
		if err != nil {
			return 0
		}
		wires := network.Node(m.panel.Net.Nodes() + lifted.Extra)
		ohms := func(conduct bool) (float64, bool) {
			return m.panel.Judged().Off(m.panel.Semiconductors(st, conduct), &lifted.Overlay).Ohms(wires, l.B)
		}
		v, firm := ohms(false)
		through, sure := ohms(true)
		r := log.Reading{Kind: log.Ohms, Value: v, Firm: firm && sure && network.SameOhms(v, through)}
		if !m.decides(l, r) {
			return 0
		}
		values[i] = r
	}
	var all, most float64
	for _, p := range m.part(l, slices.Clone(values)) {
		var share float64
		for i, v := range values {
			if v.Value >= p.least && v.Value <= p.most {
				share += m.faults[g.Faults[i]].Prior
			}
		}
		all += share
		most = max(most, share)
	}
	return all - most
}
