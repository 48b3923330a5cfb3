package faultmodel

import (
	"fmt"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// Of what comes in degrees here one value stands for all. Common practice, no source.
const (
	// turnsLeft is what shorted turns leave of the impedance and of the ohms of a winding:
	// a few of them cannot be told from a good one.
	turnsLeft = 0.4
	// wrongCoil is the impedance of a coil for twice the volts against the right one, at the
	// same volt-amperes. One for half of the volts burns, and is an open coil.
	wrongCoil = 4.0
	// lateBy and earlyBy are what a wrong setting makes of a delay.
	lateBy, earlyBy = 3, 0.3
)

// coils: windings with shorted turns, coils for other volts, armatures that chatter.
func (l *lister) coils() {
	for _, d := range l.p.Visible() {
		if d.Load().Curve != circuits.CoilCurve || d.Type.Armature != circuits.Follows {
			continue
		}
		relay := d.Type.Kind == circuits.RelayKind
		name := d.Called()
		if relay {
			name = "the coil of " + d.Name
		}
		add := func(id, text string, key Key, e Effect, scale float64) *Fault {
			o := work.Overlay{Stuck: []work.Stuck{{Device: d}}}
			if scale != 1 {
				for i := range d.Coils() {
					o.LoadScale = append(o.LoadScale, network.LoadScale{Load: l.p.Coil(d, i), Factor: scale})
				}
			}
			l.add(Fault{
				ID: ID(id + d.Name), Text: text,
				Where: fmt.Sprintf("%s, terminals %s and %s, %s", d.Called(), d.Ends[0], d.Ends[1],
					d.Whereabouts()), Key: key,
				Effect: e, Overlay: o, Devices: []string{d.Name},
			}, l.odds(d))
			return &l.faults[len(l.faults)-1]
		}
		add("turns-", name+" has shorted turns: it gets hot and does not do its work", TurnsShorted,
			Effect{ShortedTurns: d.Name}, turnsLeft)
		if !relay {
			continue
		}
		add("wrong-coil-", name+" is one for higher volts: it does not pull in", WrongCoil,
			Effect{WrongCoil: d.Name}, wrongCoil)
		if !d.Timer() && !l.p.Values(d).DC && l.wiredContact(d) {
			f := add("chatters-", fmt.Sprintf("the armature of %s chatters: dirt or wear on its pole "+
				"faces, a broken shading ring", d.Name),
				ArmatureChatters, Effect{Chatters: d.Name}, 1)
			f.Or, f.Where = &work.Overlay{}, fmt.Sprintf("%s, %s", d.Called(), d.Whereabouts())
		}
	}
}

// stickingLoads: solenoids that do not pull though their coils are good.
func (l *lister) stickingLoads() {
	for _, d := range l.p.Visible() {
		said := d.Type.Faults.Stuck.AtRest
		if d.Type.Kind != circuits.LoadKind || said.Key == "" {
			continue
		}
		released := "released"
		if d.Type.Looks[0].Follows == circuits.TheTorque {
			released = "still"
		}
		l.add(Fault{
			ID: ID(fmt.Sprintf("stuck-%s-%s", d.Name, released)), Text: said.Of(d, released),
			Where: fmt.Sprintf("%s, %s", d.Called(), d.Whereabouts()), Key: said.Key,
			Effect:  Effect{Stuck: d.Name, Position: released},
			Overlay: work.Overlay{Stuck: []work.Stuck{{Device: d}}}, Devices: []string{d.Name},
		}, l.odds(d))
	}
}

// settings: timers that are set to another delay, overload relays to less than the motor's
// current.
func (l *lister) settings() {
	for _, d := range l.p.Relays() {
		if !l.timedWired(d) || d.Flashes() { // nobody sets, or misses, how quickly one flashes
			continue
		}
		for _, t := range []struct {
			position, text string
			factor         float64
		}{
			{"late", "timer %s is set wrong: it times out too late", lateBy},
			{"early", "timer %s is set wrong: it times out too early", earlyBy},
		} {
			l.add(Fault{
				ID: ID(t.position + "-" + d.Name), Text: fmt.Sprintf(t.text, d.Name),
				Where: fmt.Sprintf("%s, its dial, %s", d.Called(), d.Whereabouts()), Key: TimerSetting,
				Effect:  Effect{WrongSetting: d.Name, Position: t.position},
				Overlay: work.Overlay{Timers: []work.Timing{{Device: d, Factor: t.factor}}},
				Devices: []string{d.Name},
			}, l.odds(d))
		}
	}
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Moved != circuits.ByCurrent || !l.wiredContact(d) {
			continue
		}
		l.add(Fault{
			ID:    ID("early-" + d.Name),
			Text:  fmt.Sprintf("overload relay %s is set too low: it trips too early", d.Name),
			Where: fmt.Sprintf("%s, its dial, %s", d.Called(), d.Whereabouts()), Key: OverloadSetting,
			Effect:  Effect{WrongSetting: d.Name, Position: "early"},
			Overlay: work.Overlay{Stuck: []work.Stuck{{Device: d, Position: 1 - d.Rest}}},
			Devices: []string{d.Name},
		}, l.odds(d))
	}
}

// shortedSources: windings of transformers that are shorted.
func (l *lister) shortedSources() {
	for _, d := range l.p.Circuit.Devices {
		if !d.Transformer() {
			continue
		}
		for i, s := range l.p.Sources(d) {
			p, id, which, winding := l.p.Net.Source(s), d.Name, "a winding", ""
			if len(d.Secondaries) > 0 {
				ends := d.Sources(false)[i]
				winding = ends[0] + "-" + ends[1]
				id, which = d.Name+"-"+winding, "the secondary "+winding
			}
			l.add(Fault{
				ID: ID("shorted-" + id), Text: fmt.Sprintf("%s of transformer %s is shorted", which, d.Name),
				Where: fmt.Sprintf("%s, %s", d.Called(), d.Whereabouts()), Key: WindingShorted,
				Effect:  Effect{ShortedSource: d.Name, Winding: winding},
				Overlay: work.Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{{p.Hot, p.Return}}}},
				Devices: []string{d.Name},
			}, l.odds(d))
		}
	}
}
