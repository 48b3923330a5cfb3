package work

import (
	"math"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// Sight is something to look at: a device, and which of its type's looks.
type Sight struct {
	Device *circuits.Device
	Look   int
}

// At gives the look.
func (s Sight) At() circuits.Look { return s.Device.Type.Looks[s.Look] }

// Sights gives all that can be looked at, the devices in file order.
func (p *Panel) Sights() []Sight {
	var all []Sight
	for _, d := range p.visible {
		for i := range d.Type.Looks {
			all = append(all, Sight{d, i})
		}
	}
	return all
}

// Look is the first look at a device, see [Panel.See].
func (p *Panel) Look(o *Overlay, e *End, d *circuits.Device) (on, firm bool) {
	return p.See(o, e, Sight{Device: d})
}

// See tells whether a device is on at the end of a step (lit, sounding, running,
// pulled in), and whether a person would be sure of it. A relay that chatters or races and
// a lamp that glimmers leave doubt; what a collapsed supply feeds is plainly off.
func (p *Panel) See(o *Overlay, e *End, s Sight) (on, firm bool) {
	d := s.Device
	if d.Type.Kind == circuits.RelayKind && s.At().Follows != circuits.TheInput {
		i := slices.Index(p.relays, d)
		switch s.At().Follows {
		case circuits.TheDevice:
			on, firm = e.In[i], true
		case circuits.TheCoil:
			on, firm = e.Pulled[i], !o.still(d) // nobody can tell what a stuck armature keeps from moving
		case circuits.TheTrip:
			on, firm = e.Pulled[i] && !e.Timed[i], !o.still(d)
		case circuits.TheInput, circuits.TheTorque, circuits.TheHum, circuits.TheFast:
		}
		return on, firm && !slices.Contains(e.Chatter, d) && !slices.Contains(e.Racing, d) && !slices.Contains(e.Flashing, d)
	}
	across := acrossIn(o, p, e.Live)
	if e.driven != nil {
		inNet := across
		across = func(l network.Load) float64 {
			if volts, ok := e.driven[l]; ok && !o.opens(l) {
				return volts
			}
			return inNet(l)
		}
	}
	on, firm = p.seeLoad(o, s, across, atLive(e.Live))
	for _, c := range p.coils[d] {
		l := p.Net.Load(c.load)
		if volts, known := e.Live.Between(l.A, l.B); volts > 0 && !known {
			firm = o.still(d) // it lies between sources of unknown phase
		}
	}
	for _, other := range e.Phases {
		on2, firm2 := p.seeLoad(o, s, acrossIn(o, p, other), atLive(other))
		firm = firm && firm2 && on2 == on
	}
	return on, firm
}

// Flashes tells whether a device is seen to be on and off by turns at the end of a step.
func (p *Panel) Flashes(o *Overlay, e *End, s Sight) bool {
	d := s.Device
	if len(e.Flashing) == 0 {
		return false
	}
	if d.Type.Kind == circuits.RelayKind {
		return slices.Contains(e.Flashing, d) && !slices.Contains(e.Chatter, d)
	}
	var on, off bool
	for _, live := range e.Phases {
		is, _ := p.seeLoad(o, s, acrossIn(o, p, live), atLive(live))
		on, off = on || is, off || !is
	}
	return on && off
}

// seeLoad tells what is seen of a load by the volts across loads, and the voltages of nodes.
func (p *Panel) seeLoad(o *Overlay, s Sight, across func(network.Load) float64, at atNode) (on, firm bool) {
	look, d := s.At(), s.Device
	if look.Follows == circuits.TheInput {
		return p.seeInput(d, look.Coil, across)
	}
	if look.Follows == circuits.TheDevice {
		if o.still(d) {
			return false, true
		}
		return p.judge(d, p.values[d], across(p.load[d]))
	}
	f := p.windings(o, d, at)
	if o.still(d) {
		f.torque, f.fast, f.slow = 0, 0, 0
	}
	runs := d.Type.Looks[0]
	fights := min(f.slow, f.fast) >= runs.Dark // nobody knows what a motor does with both windings fed
	switch look.Follows {
	case circuits.TheTorque:
		on, firm = sureOf(runs, f.torque, p.bend)
		return on, firm && !fights
	case circuits.TheFast:
		on, firm = sureOf(look, f.fast, p.bend)
		return on, firm && !fights
	case circuits.TheDevice, circuits.TheCoil, circuits.TheInput, circuits.TheTrip, circuits.TheHum:
	}
	starts, surely := sureOf(runs, f.torque, p.bend)
	fed, known := sureOf(look, f.most, p.bend)
	return fed && !starts, known && (surely || !fed)
}

// seeInput tells what is seen of the light of an input, which burns while the input is made and the
// device has its supply.
func (p *Panel) seeInput(d *circuits.Device, input int, across func(network.Load) float64) (on, firm bool) {
	lit := func(input int) (on, firm bool) {
		c := p.coils[d][input]
		if c.spare {
			return true, true
		}
		return p.judgeCoil(c.values, across(c.load))
	}
	on, firm = lit(input)
	fed, sure := lit(supplyInput)
	return on && fed, firm && sure || firm && !on || sure && !fed
}

// sureOf tells whether a share of its rating is enough for what is looked for, and whether that
// holds however the loads of the panel divide the supply.
func sureOf(look circuits.Look, share, bend float64) (on, firm bool) {
	const rounding = 1e-9
	low, high := Bent(share, 1/bend), Bent(share, bend)
	return share >= look.From-rounding, low >= look.Sure-rounding || high < look.Dark-rounding
}

// opens tells whether an overlay opens a load.
func (o *Overlay) opens(l network.Load) bool { return slices.Contains(o.OpenLoads, l) }

// still tells whether a device is stuck: a load that does nothing, whatever its volts.
func (o *Overlay) still(d *circuits.Device) bool {
	return d.Type.Kind != circuits.OperatorKind &&
		slices.ContainsFunc(o.Stuck, func(s Stuck) bool { return s.Device == d })
}

// judge tells from the voltage across a load whether it is on, and whether that holds however
// the loads of the panel divide the supply.
func (p *Panel) judge(d *circuits.Device, values Electrical, volts float64) (on, firm bool) {
	v := values.share(volts)
	s := d.Type.Looks[0]
	if s.Pulls() { // a solenoid
		return p.judgeCoil(values, volts)
	}
	return sureOf(s, v, p.bendOf(values))
}

// bendOf is the bend that counts for a part.
func (p *Panel) bendOf(e Electrical) float64 {
	if e.Exact {
		return 1
	}
	return p.bend
}

// judgeCoil tells from the voltage across a coil that is pulled by it alone whether it is in.
func (p *Panel) judgeCoil(values Electrical, volts float64) (on, firm bool) {
	low, high := Bent(volts/values.Volts, 1/p.bendOf(values)), Bent(volts/values.Volts, p.bendOf(values))
	return volts >= values.PullIn-1e-6,
		low*values.Volts >= values.PullIn-1e-6 || high*values.Volts < values.DropOut
}

// acrossIn gives the voltage across a load; none through a broken one.
func acrossIn(o *Overlay, p *Panel, live *network.Live) func(network.Load) float64 {
	return func(l network.Load) float64 {
		if o.opens(l) {
			return 0
		}
		parts := p.Net.Load(l)
		v, _ := live.Between(parts.A, parts.B)
		return v
	}
}

// ReadVolts gives what a meter of the given input resistance reads between two nodes
// at the end of a step, in volts, and whether the reading is firm.
//
// In low-impedance mode a meter drains what stray coupling brings, so a floating
// conductor reads 0 V, and firmly.
func (e *End) ReadVolts(a, b network.Node, meterOhms float64) (volts float64, firm bool) {
	if meterOhms <= network.LowImpedanceOhms && e.Live.Island(a) != e.Live.Island(b) {
		down := slices.Contains(e.down, e.Live.Island(a)) || slices.Contains(e.down, e.Live.Island(b))
		return 0, len(e.Phases) == 0 && !down
	}
	volts, firm = e.Live.Meter(a, b, meterOhms)
	for _, other := range e.Phases {
		v, ok := other.Meter(a, b, meterOhms)
		firm = firm && ok && math.Abs(v-volts) < 0.1+0.005*volts // a meter shows no difference
	}
	return volts, firm && (a == b || !e.Down(a) && !e.Down(b))
}

// Down reports whether a node hangs on a collapsed supply that shares its conductors with one
// that stands: its voltage then is nothing that a meter reads firmly. Between two points on a
// collapsed supply alone a meter reads 0 V, or some volts below a tenth of nominal, and firmly:
// common practice, no source. Between it and anything else nothing is firm, as it floats.
func (e *End) Down(n network.Node) bool {
	return slices.Contains(e.mixed, e.Live.Island(n))
}
