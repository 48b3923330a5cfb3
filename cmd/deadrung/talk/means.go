package talk

import (
	"fmt"
	"math"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// Means tells what an answer says of the wiring, in the terms of a circuit: "120 V here:
// everything before it is good". It is empty where the answer says no one thing.
func (s *Speaker) Means(c log.Check, a diagnose.Answered) string {
	switch c.Kind() {
	case log.Look:
		if c.Part != "" {
			return "" // its feed is not all that it depends on
		}
		if a.Saw != "off" {
			return fmt.Sprintf("all that feeds %s is good", c.Look)
		}
		return fmt.Sprintf("%s, or something that feeds it", c.Look)
	case log.Ohms:
		return ohmsMean(c, a)
	case log.Diode:
		return diodeMeans(c, a)
	}
	return s.voltsMean(c, a)
}

// Says tells what a reading that was taken says of the wiring, as Means does of one that may be.
// It is empty where a good circuit shows nothing there: then neither answer says so much.
func (s *Speaker) Says(c log.Check, r log.Reading) string {
	usual, err := s.Model.Usual(c)
	if err != nil || !usual.Firm || !r.Firm || r.Seems != "" || c.Kind() == log.Look && !usual.On {
		return ""
	}
	if supply := s.supply(c); c.Kind() == log.Volts && supply.Volts > 0 && s.sides(c, supply)[1] != midway &&
		usual.Value <= diagnose.AbsentBelow*supply.Volts {
		return ""
	}
	a := diagnose.Answered{Saw: "off"}
	if r.On {
		a.Saw = "on"
	}
	if low, high := r.Value*(1-readingSpan), r.Value*(1+readingSpan); math.IsInf(r.Value, 1) {
		a.Read = "OL"
	} else {
		a.Low, a.High = &low, &high
	}
	return s.Means(c, a)
}

// readingSpan is within what a reading stands for the volts that it should have. Common
// practice, no source: the tolerance of a control supply.
const readingSpan = 0.1

// ohmsMean tells what near zero and OL say.
func ohmsMean(c log.Check, a diagnose.Answered) string {
	between := fmt.Sprintf("between %s and %s", c.Ohms[0], c.Ohms[1])
	switch {
	case a.Read != "" && a.Low == nil:
		return "open " + between
	case a.High != nil && *a.High <= diagnose.ClosedBelow+2*diagnose.LeadOhms:
		return "closed " + between
	}
	return ""
}

// diodeMeans tells what nothing, a diode's volts and OL say on a diode test.
func diodeMeans(c log.Check, a diagnose.Answered) string {
	switch {
	case a.Read != "" || a.High == nil:
		return fmt.Sprintf("nothing leads from %s to %s", c.Diode[0], c.Diode[1])
	case *a.High <= diagnose.ShortMost*(1+readingSpan):
		return fmt.Sprintf("shorted between %s and %s", c.Diode[0], c.Diode[1])
	case *a.Low >= diagnose.DiodeLow*(1-readingSpan) && *a.High <= diagnose.DiodeHigh*(1+readingSpan):
		return fmt.Sprintf("a good diode from %s to %s", c.Diode[0], c.Diode[1])
	}
	return ""
}

// voltsMean tells what all of the supply and what none of it says.
func (s *Speaker) voltsMean(c log.Check, a diagnose.Answered) string {
	supply := s.supply(c)
	if a.Low == nil || supply.Volts == 0 {
		return ""
	}
	full := *a.Low >= diagnose.AbsentBelow*supply.Volts && *a.High >= supply.Volts
	if none := *a.High <= diagnose.AbsentBelow*supply.Volts*1.01; !full && !none {
		return ""
	}
	volts := fmt.Sprintf("%g V", supply.Volts)
	at := s.sides(c, supply)
	switch {
	case at[0] == hotSide && at[1] == returnSide && full:
		return volts + " here: the supply is good"
	case at[0] == hotSide && at[1] == returnSide:
		return "nothing here: the supply, or what comes before it"
	case at[1] == returnSide && full:
		return volts + " here: everything before it is good"
	case at[1] == returnSide:
		return "nothing here: something before it is open"
	case at[1] == hotSide && full:
		return volts + " here: its way to the return is good"
	case at[1] == hotSide:
		return "nothing here: its way to the return is open, or it is hot itself"
	case full:
		return fmt.Sprintf("open between the leads, all else good: %s stand across it", volts)
	}
	return "closed between the leads, or no volts come so far"
}

// side is where a lead stands.
type side int

const (
	midway side = iota
	hotSide
	returnSide
)

// supply is the source that the leads of a check are on.
func (s *Speaker) supply(c log.Check) network.SourceParts {
	p := s.Model.Panel()
	for i := 1; i <= p.Net.Sources(); i++ {
		src := p.Net.Source(network.Source(i))
		for _, t := range c.Volts {
			if n := p.Number(p.Node(t)); n >= 0 && (n == p.Number(src.Return) || n == p.Number(src.Hot)) {
				return src
			}
		}
	}
	return network.SourceParts{}
}

// sides tells on which side of the supply the leads stand, one that is on the return or the
// hot side last.
func (s *Speaker) sides(c log.Check, supply network.SourceParts) [2]side {
	p := s.Model.Panel()
	of := func(t circuits.Terminal) side {
		switch p.Number(p.Node(t)) {
		case p.Number(supply.Return):
			return returnSide
		case p.Number(supply.Hot):
			return hotSide
		}
		return midway
	}
	at := [2]side{of(c.Volts[0]), of(c.Volts[1])}
	slices.Sort(at[:])
	return at
}
