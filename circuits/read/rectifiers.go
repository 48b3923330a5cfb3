package read

import (
	"math"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/joined"
)

// rectifiers gives each rectifier the volts that it makes of what feeds it, where the file does not,
// and refuses one whose two sides hang together by more than itself: there its diodes short what
// feeds it, or carry what no reading tells.
func (r *reader) rectifiers() {
	if r.mistakes > 0 || !slices.ContainsFunc(r.circuit.Devices, (*circuits.Device).Rectifier) {
		return
	}
	leads, hangs := r.sets(false), r.sets(true)
	for _, d := range r.circuit.Devices {
		if !d.Rectifier() {
			continue
		}
		in := [2]circuits.Terminal{d.Terminal(d.Primary[0]), d.Terminal(d.Primary[1])}
		out := [2]circuits.Terminal{d.Terminal(d.Ends[0]), d.Terminal(d.Ends[1])}
		at := r.drawn[d.Name].at
		if hangs.one(in[0], out[0]) || hangs.one(in[0], out[1]) || hangs.one(in[1], out[0]) || hangs.one(in[1], out[1]) {
			r.wrong(at, "what is fed with dc apart from what is fed with ac, one of them grounded at the most",
				"the two sides of %s hang together by more than its diodes", d.Name)
			continue
		}
		if d.Volts > 0 {
			continue
		}
		ac := d.PrimaryVolts
		if ac == 0 {
			ac = r.feeding(d, in, leads)
		}
		const diodes = 2 // in the way of the current
		if d.Volts = math.Round(10*(circuits.RectifiedMean*ac-diodes*circuits.DiodeDrop)) / 10; d.Volts <= 0 {
			d.Volts = 0
			r.wrong(at, "a source of ac on both of its terminals "+d.Primary[0]+" and "+d.Primary[1]+", or its volts", "nothing feeds %s with ac", d.Name)
		}
	}
}

// feeding are the volts of ac that feed a rectifier: of the source that wires and contacts could
// join to both sides of its input, else to one.
func (r *reader) feeding(of *circuits.Device, in [2]circuits.Terminal, leads terminalSets) (volts float64) {
	most := 0
	number := r.circuit.NumberOf()
	for _, d := range r.circuit.Devices {
		if d.Type.Kind != circuits.SourceKind || d.DC {
			continue
		}
		n := d.Neutral()
		wired := n != "" && number[d.Terminal(n)] != ""
		for i, ends := range d.Sources(wired) {
			hits, v := 0, d.SourceVolts(i)
			for _, end := range ends {
				if leads.one(d.Terminal(end), in[0]) || leads.one(d.Terminal(end), in[1]) {
					hits++
				}
			}
			if wired && (leads.one(d.Terminal(n), in[0]) || leads.one(d.Terminal(n), in[1])) {
				v /= math.Sqrt(3)
			}
			if hits > most {
				most, volts = hits, v
			}
		}
	}
	return volts
}

// terminalSets are terminals that hang together.
type terminalSets struct {
	index map[circuits.Terminal]int32
	sets  *joined.Sets
}

func (t terminalSets) one(a, b circuits.Terminal) bool {
	return t.sets.Of(t.index[a]) == t.sets.Of(t.index[b])
}

// sets are the terminals that wires and all that can conduct join, and with loads also those that
// loads and sources do; but for what lies between the two sides of a rectifier.
func (r *reader) sets(loads bool) terminalSets {
	t := terminalSets{index: make(map[circuits.Terminal]int32)}
	ground := int32(-1)
	number := r.circuit.NumberOf()
	for _, d := range r.circuit.Devices {
		for _, name := range d.Terminals {
			t.index[d.Terminal(name)] = int32(len(t.index))
		}
	}
	t.sets = joined.New(len(t.index))
	join := func(a, b circuits.Terminal) { t.sets.Join(t.index[a], t.index[b]) }
	for _, n := range r.circuit.Numbers {
		for _, w := range n.Wires {
			join(w.From, w.To)
		}
	}
	for _, d := range r.circuit.Devices {
		ends := func(pairs ...[2]string) {
			for _, pair := range pairs {
				join(d.Terminal(pair[0]), d.Terminal(pair[1]))
			}
		}
		for _, c := range d.Contacts {
			ends([2]string{c.A, c.B})
		}
		ends(d.Links()...)
		ends(d.Bridges...)
		for _, pin := range d.Pins {
			ends([2]string{pin + "a", pin + "b"})
		}
		if d.OneWay() || loads {
			ends(d.Coils()...)
		}
		if d.Type.Kind == circuits.GroundKind {
			for _, name := range d.Terminals {
				if at := t.index[d.Terminal(name)]; ground < 0 {
					ground = at
				} else {
					t.sets.Join(ground, at)
				}
			}
		}
		if loads {
			n := d.Neutral()
			ends(d.Sources(n != "" && number[d.Terminal(n)] != "")...)
			if d.HasPrimary() {
				ends(d.Primary)
			}
		}
	}
	return t
}
