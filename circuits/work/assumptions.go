package work

import (
	"fmt"
	"math"
	"math/cmplx"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// Assumption is a value that the circuit is computed with, and where it comes from.
type Assumption struct {
	Device string `json:"device,omitempty"` // empty: holds for all
	What   string `json:"what"`
	Value  string `json:"value"`
	Source string `json:"source"` // the circuit file, a published source, or that there is none
}

const fromFile = "the circuit file"

// Sources of the defaults that more than one device shares.
const (
	fromRating  = "the source that feeds it"
	fromPullIn  = "IEC 60947-4-1: must operate at 85 to 110 %"
	fromDropOut = "common practice; IEC 60947-4-1: must not release above 75 %, must have at 20 % ac, 10 % dc"
)

// Assumptions lists what the circuit is computed with beyond its wiring: the defaults of
// electrical values, device by device, with the source of each, so that they can be
// disputed. A value in the circuit file takes the place of a default.
func (p *Panel) Assumptions() []Assumption {
	var list []Assumption
	add := func(d *circuits.Device, given bool, what, value, source string) {
		a := Assumption{What: what, Value: value, Source: source}
		if d != nil {
			a.Device = d.Name
		}
		if given {
			a.Source = fromFile
		}
		list = append(list, a)
	}
	for _, d := range p.sources[1:] {
		add(d, true, "volts", fmt.Sprintf("%g V", d.Volts), fromFile)
		if d.Transformer() {
			add(d, d.Ohms > 0, "winding, power off", ohmsText(p.Net.Source(p.source[d]).WindingOhms),
				circuits.NoSource)
		}
	}
	for c, part := range p.parts {
		if _, keeps := p.keepers[network.Conductor(c)]; keeps {
			add(part.Device, false, "keeps while it conducts", fmt.Sprintf("%g V, and up to %g V", circuits.SensorDrop, circuits.SensorDropMost),
				"common practice, no source; the most: IEC 60947-5-2, from memory")
		}
	}
	for i := 1; i <= p.Net.Loads(); i++ {
		d := p.loads[i]
		if l := network.Load(i); p.leaks[l] {
			add(d, d.Leakage > 0, "leaks while it is off", ohmsText(cmplx.Abs(p.Net.Load(l).Running)), circuits.NoSource)
			continue
		}
		e := p.values[d]
		if d.Load().Curve == circuits.CurrentCurve {
			add(d, true, "pulls in at", fmt.Sprintf("%g A", d.Amps), fromFile)
			add(d, d.Ohms > 0, "ohmmeter", ohmsText(e.Ohms), d.Load().Source)
			continue
		}
		if d.Rectifier() {
			add(d, d.PrimaryVolts > 0, "fed with", fmt.Sprintf("%g V ac", e.Volts), fromRating)
			add(d, false, "gives of what it is fed, the mean of it", fmt.Sprintf("%.3g times", d.Volts/e.Volts),
				"0.9 times the RMS value, less the drop of two diodes; see the sources beside these")
			continue
		}
		if d.Type.Kind == circuits.SourceKind {
			add(d, d.PrimaryVolts > 0, "primary volts", fmt.Sprintf("%g V", e.Volts), fromRating)
			add(d, false, "primary, unloaded", fmt.Sprintf("%g VA", PrimaryVA), circuits.NoSource)
			add(d, false, "primary winding, power off", ohmsText(e.Ohms),
				"as the secondary, by the square of the ratio")
			continue
		}
		source := d.Load().Source
		va := e.Volts * e.Volts / math.Hypot(real(e.Running), imag(e.Running))
		add(d, d.Volts > 0, "rated", fmt.Sprintf("%g V", e.Volts), fromRating)
		add(d, d.VA > 0, "running",
			fmt.Sprintf("%.3g VA, %s", va, ohmsText(math.Hypot(real(e.Running), imag(e.Running)))), source)
		if d.Load().Dark() {
			source = circuits.NoSource + ": a meter does not light it"
		}
		add(d, d.Ohms > 0, "ohmmeter", ohmsText(e.Ohms), source)
		if d.Type.Looks[0].Pulls() {
			add(d, d.PullIn > 0, "pulls in at", fmt.Sprintf("%.3g V", e.PullIn), fromPullIn)
			add(d, d.DropOut > 0, "lets go below", fmt.Sprintf("%.3g V", e.DropOut), fromDropOut)
		}
		if d.Timer() {
			add(d, true, "times out after",
				fmt.Sprintf("%g s, give it %g s more", d.Seconds, d.Seconds*TimerTolerance), fromFile)
		}
	}
	add(nil, false, "meter", "10 Mohm, ±1 % + 3 counts", "handheld meter manuals")
	add(nil, false, "timer tolerance", fmt.Sprintf("±%g %%", 100*TimerTolerance),
		circuits.NoSource+"; not part of the computed times")
	return list
}

func ohmsText(ohms float64) string {
	if math.IsInf(ohms, 1) {
		return "OL"
	}
	return fmt.Sprintf("%.4g ohm", ohms)
}
