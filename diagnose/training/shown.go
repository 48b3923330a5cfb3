package training

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// What the simulated meter shows. Common practice, no source, where none is named:
// handheld meters of 6000 counts.
const (
	// Counts is the largest figure of a range, without its point.
	Counts = 6000
	// GainShare is the part of the meter's tolerance that stays the same through a
	// sitting; the rest changes from reading to reading.
	GainShare = 0.7
	// LeastLead and MostLead are what the leads add to every ohms reading, in ohms; what
	// belief allows for is diagnose.LeadOhms.
	LeastLead = 0.1
	MostLead  = 0.4
	// GhostShare is up to which share of the supply a floating conductor reads.
	// Source: meter makers' notes on ghost voltage.
	GhostShare = 0.5
	// GhostWander is how far the figures of a floating conductor wander, as a share of
	// the middle.
	GhostWander = 0.2
	// GhostOhms is up to what an ohms reading that nobody can foretell may be.
	GhostOhms = 100e3
	// MostOhms is the largest resistance that is not shown as OL.
	MostOhms = 60e6
)

// ranges are the greatest values of the meter's ranges, in volts and ohms, and what one
// count is worth.
var ranges = map[log.Kind][]struct{ most, count float64 }{
	log.Volts: {{6, 0.001}, {60, 0.01}, {600, 0.1}, {1000, 1}},
	log.Diode: {{diagnose.DiodeMost, 0.001}},
	log.Ohms:  {{600, 0.1}, {6e3, 1}, {60e3, 10}, {600e3, 100}, {6e6, 1e3}, {MostOhms, 10e3}},
}

// Count is what the last figure of the meter is worth at a value, in volts or ohms.
func Count(kind log.Kind, value float64) float64 {
	rows := ranges[kind]
	for _, r := range rows {
		if value < r.most {
			return r.count
		}
	}
	return rows[len(rows)-1].count
}

// Shown is what the meter or the eye shows.
type Shown struct {
	// Reading is what is taken down; its Firm is always set, for a person cannot know.
	Reading log.Reading
	// Wanders is set where the figures do not stand still, between Low and High; on a
	// look, where the thing chatters or glimmers.
	Wanders   bool
	Low, High float64
}

// Display makes what a meter shows of what there is to read.
type Display struct {
	Model *diagnose.Model
	Seed  uint64
}

// random is the stream of chances for one purpose: the same for the same words and
// numbers, and the same seed.
func (w Display) random(words string, numbers ...int) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(words))
	for _, n := range numbers {
		h.Write([]byte{0, byte(n), byte(n >> 8), byte(n >> 16)})
	}
	return rand.New(rand.NewPCG(w.Seed, h.Sum64()))
}

// Show gives what is shown at the nth reading of a sitting, where a reading of a meter
// without error would be r. Fits tells whether what is shown still speaks for the panel's
// fault.
func (w Display) Show(c log.Check, r log.Reading, fits func(log.Entry) bool, nth int) Shown {
	chance := w.random(c.String(), nth+1)
	s := Shown{Reading: log.Reading{Kind: r.Kind, On: r.On, Seems: r.Seems, Value: r.Value, Firm: true}}
	switch {
	case !r.Firm && r.Kind == log.Look:
		s.Wanders, s.Reading.On = true, chance.IntN(2) == 1
	case !r.Firm:
		s.wander(w.ghost(c), chance)
	case r.Kind != log.Look:
		s.Reading.Value = w.blurred(c, r, fits, chance)
	}
	return s
}

// ghost is the middle of what is read where nothing can be foretold: it hangs on the
// wire numbers, the kind of reading and the step, and not on when it is read or at which
// screw.
func (w Display) ghost(c log.Check) float64 {
	p := w.Model.Panel()
	words := fmt.Sprintf("ghost %s %s %v", c.Kind(), c.Step, c.LowImpedance)
	for _, t := range c.Leads() {
		if n := p.Number(p.Node(t)); n >= 0 {
			t = circuits.Terminal(p.Circuit.Numbers[n].Name)
		}
		words += " " + string(t)
	}
	x := w.random(words).Float64()
	if c.Kind() == log.Volts {
		return x * GhostShare / (1 + GhostWander) * w.Model.Nominal(c)
	}
	if c.Kind() == log.Diode {
		return x * diagnose.DiodeMost / (1 + GhostWander)
	}
	return x * GhostOhms / (1 + GhostWander)
}

// wander lets the figures wander around a middle.
func (s *Shown) wander(middle float64, chance *rand.Rand) {
	kind := s.Reading.Kind
	at := func(x float64) float64 { return rounded(kind, middle*(1+GhostWander*x)) }
	s.Wanders = true
	s.Low, s.High = at(-1), at(1)
	s.Reading.Value = at(2*chance.Float64() - 1)
}

// blurred is a reading with the error of the meter, within its tolerance, and in its
// figures. At the very edge of what agrees with the fault, where the error alone would
// make the reading speak against it, the error is less.
func (w Display) blurred(c log.Check, r log.Reading, fits func(log.Entry) bool, chance *rand.Rand) float64 {
	if math.IsInf(r.Value, 1) {
		return r.Value
	}
	gain := GainShare * (2*w.random("gain "+c.Kind().String()).Float64() - 1)
	share := gain + (1-GainShare)*(2*chance.Float64()-1)
	counts := float64(chance.IntN(7) - 3)
	lead := 0.0
	if r.Kind == log.Ohms {
		lead = LeastLead + (MostLead-LeastLead)*w.random("lead").Float64()
	}
	for _, part := range []float64{1, 0.5, 0.25, 0} {
		x := rounded(r.Kind,
			r.Value+part*(share*diagnose.MeterTolerance*r.Value+lead)+part*counts*Count(r.Kind, r.Value))
		e, err := w.Model.Book().NewEntry(c, &log.Reading{Kind: r.Kind, Value: x, Firm: true})
		if err != nil || fits(e) {
			return x
		}
	}
	return r.Value
}

// rounded puts a value into the figures of the meter.
func rounded(kind log.Kind, x float64) float64 {
	if kind == log.Ohms && x >= MostOhms || kind == log.Diode && x >= diagnose.DiodeMost {
		return log.OL
	}
	count := Count(kind, math.Abs(x))
	return math.Abs(math.Round(x/count) * count)
}
