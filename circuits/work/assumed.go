package work

import (
	"math"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// What a circuit file does not give of a part is taken from the table of device types, and a
// real part differs from that: half to twice is usual. Such a figure solves the network, and
// decides nothing. A resistance that is assumed tells near zero, open and in between apart; a
// voltage that loads divide lies anywhere that such loads can bring it; and where a coil pulls
// in or not by such a voltage, what hangs on the coil is not known.

// MarkOhms stands for a part of which nobody can say whether an ohmmeter reads it open: an
// LED, an electronic part, a lamp that may be one. From MarkFrom on a computed resistance is
// that of such parts, side by side or in series: no coil comes near it, and an open is beyond.
const (
	MarkOhms = 5e6
	MarkFrom = 1e5
)

// GivenTolerance is how far a real part may be from ohms or volt-amperes that the file gives,
// as a factor. Source: relay data sheets, ±15 %.
const GivenTolerance = 1.15

// leakSpan is how far what leaks through an open contact may be from what is told. Common
// practice, no source: data sheets give the most.
const leakSpan = 2.0

// Given tells whether the file gives the ohms or the volt-amperes of a load.
func Given(d *circuits.Device) bool { return d.Ohms > 0 || d.VA > 0 }

// unlike is a factor near one for the impedance of the nth load of a panel with several phases, so
// that no two are taken for exactly alike: lamps of one type do not balance each other to nothing,
// as real ones do not, and what happens to have the voltage of a source is told from what is
// joined to it.
func unlike(n int) complex128 {
	const most, golden = 3e-4, 0.618033988749895 // fractions of whole numbers times it keep apart
	_, part := math.Modf(float64(n) * golden)
	return complex(1+most*part, 0)
}

// maybeDark tells whether an ohmmeter may read open across a good load.
func maybeDark(d *circuits.Device) bool {
	if d.Load().Dark() {
		return true
	}
	return d.LoadKind == "" && d.Ohms == 0 && slices.ContainsFunc(d.Type.Loads, circuits.Load.Dark)
}

// span is the factor by which the impedance of a load may differ from what it is taken for,
// up or down.
func span(d *circuits.Device) float64 {
	if Given(d) {
		return GivenTolerance
	}
	most := 1.0
	for _, l := range d.Type.Loads {
		if l.Low > 0 && (d.LoadKind == "" || l.Kind == d.LoadKind) { // what has no span has no current either
			most = math.Max(most, math.Max(l.High, 1/l.Low))
		}
	}
	return most
}

// assume works out, once the loads are there, what of the panel is assumed.
func (p *Panel) assume() {
	var spans []float64
	assumed := make([]bool, p.Net.Loads()+1)
	for i := 1; i < len(assumed); i++ {
		d := p.loads[i]
		if d.Type.Kind == circuits.SourceKind {
			assumed[i] = d.Ohms == 0 // a primary's follow from the secondary's
			continue
		}
		if p.leaks[network.Load(i)] { // no ohmmeter sees it, and a small load hangs on it alone
			spans = append(spans, leakSpan)
			continue
		}
		assumed[i] = !Given(d) || maybeDark(d) // volt-amperes do not say whether a meter lights it
		if !d.Load().Exact {
			spans = append(spans, span(d))
		}
	}
	slices.Sort(spans)
	slices.Reverse(spans)
	p.bend = 1
	for i, s := range spans {
		if i == 2 {
			break
		}
		p.bend *= s
	}
	load := func(l network.Load) bool { return assumed[l] }
	winding := func(s network.Source) bool { return p.sources[s].Ohms == 0 }
	p.judged = p.Net.Judged(load, winding, 1)
	if slices.Contains(assumed[1:], false) {
		const otherwise = 1.7 // any factor that is not one
		p.otherwise = p.Net.Judged(load, winding, otherwise)
	}
}

// Judged is the net by which an ohms reading is believed: parts that may read open stand there
// with MarkOhms.
func (p *Panel) Judged() *network.Net { return p.judged }

// Otherwise is the judged net with all that is assumed otherwise: what reads the same there is
// known. It is nil where everything is assumed.
func (p *Panel) Otherwise() *network.Net { return p.otherwise }

// Bend is the factor by which the odds f/(1-f) of a share f of the supply may differ from
// what the network gives, where loads divide it: two loads in series, each as far off as any
// two of the panel may be.
func (p *Panel) Bend() float64 { return p.bend }

// Drops are the volts that diodes may keep of what a source gives, two of them in series, and sensors of
// two wires; none where the panel has neither. No load divides them.
func (p *Panel) Drops() float64 {
	drops := p.Kept()
	if len(p.diodes) > 0 {
		drops += 2 * circuits.DiodeDrop
	}
	return drops
}

// Bent is a share of the supply, from 0 to 1, with its odds times a factor. All and nothing
// stay what they are, whatever the loads.
func Bent(share, factor float64) float64 {
	if share < wholly || share > 1-wholly {
		return share
	}
	odds := share / (1 - share) * factor
	return odds / (1 + odds)
}

// wholly is the share of the supply up to which nothing is divided.
const wholly = 1e-3

// Temper is what the parts of a panel are like, where that decides what the circuit does.
type Temper int

const (
	AsTable   Temper = iota // as the table and the file have them
	Eager                   // coils get more of a divided voltage, pull in early and hold long; fuses open early
	Reluctant               // the other way round
)

// Volts of a coil, as shares of its rating, between which some coils are in and others are
// not.
const (
	// Source: IEC 60947-4-1, must operate at 85 %, must not release above 75 %.
	surelyIn   = circuits.PullInFraction
	surelyHeld = 0.75
	// Common practice, no source: small relays pull in at 60 % and more.
	maybeIn = 0.60
	// Source: IEC 60947-4-1, must have released at 20 % on ac, 10 % on dc; between the two.
	maybeHeld = 0.15
)

// with tells whether a coil of such a temper is in at a voltage.
func (e Electrical) with(temper Temper, bend, volts float64, in bool) bool {
	if e.Exact {
		return e.holds(volts, in)
	}
	share := e.share(volts)
	switch temper {
	case Eager:
		share = Bent(share, bend)
		return share >= math.Min(maybeIn, e.PullIn/e.Volts) || in && share >= math.Min(maybeHeld, e.DropOut/e.Volts)
	case Reluctant:
		share = Bent(share, 1/bend)
		return share >= math.Max(surelyIn, e.PullIn/e.Volts)-1e-6 ||
			in && share >= math.Max(surelyHeld, e.DropOut/e.Volts)
	case AsTable:
	}
	return e.holds(volts, in)
}

// depends tells whether a coil at a voltage may be in or not, by what it is like.
func (e Electrical) depends(bend, volts float64) bool {
	if e.Exact {
		return false
	}
	share := e.share(volts)
	return Bent(share, bend) >= maybeHeld && Bent(share, 1/bend) < surelyIn
}

// currentSpan is the factor by which the current through a protective device may differ from
// the computed one. Common practice, no source: the span of most loads.
const currentSpan = 2.0
