package main

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// repairs says how each kind of fault is put right; "the relay" is said as the contactor
// or the timer that it is. Common practice, no source, all of them.
var repairs = map[faultmodel.Key]string{
	faultmodel.WireOpen:        "Tighten the screws at both ends, look for a broken strand at the ferrule and under the insulation, pull gently. Replace the wire if in doubt.",
	faultmodel.SwitchOpen:      "See that the switch is driven as far as it should be, then replace the contact or the switch.",
	faultmodel.SwitchClosed:    "See that nothing holds the switch, then replace the contact or the switch.",
	faultmodel.ButtonOpen:      "See that the contact block sits home on the operator, then replace the block.",
	faultmodel.ButtonClosed:    "See that the operator comes back, then replace the contact block.",
	faultmodel.RelayNOOpen:     "Replace the relay or the contact block; a filed contact does not last.",
	faultmodel.RelayNCOpen:     "Replace the relay or the contact block; a filed contact does not last.",
	faultmodel.RelayWelded:     "Replace the relay or the contact block, and look for what welded it: a short or an overload behind the contact.",
	faultmodel.CoilOpen:        "Replace the coil or the relay, of the same volts. See why it burned: wrong volts, or an armature that does not seat.",
	faultmodel.CoilShorted:     "Replace the coil or the relay, of the same volts. The fuse ahead of it has most likely opened too.",
	faultmodel.ArmatureStuck:   "Look for dirt, a broken spring, a jammed carrier. Replace the relay; do not free it by hand and leave it.",
	faultmodel.OperatorStuck:   "Free or replace the mechanism; see that its contact block follows.",
	faultmodel.TimerNever:      "See that the delay is set as the drawing says, then replace the timer.",
	faultmodel.TimerAtOnce:     "See that the delay is set as the drawing says, then replace the timer.",
	faultmodel.OverloadTripped: "Find what overloaded the motor before it is reset: current, single phase, a jam. Let it cool, then reset; replace it if it does not hold.",
	faultmodel.OverloadOpen:    "Replace the overload relay, set as the old one.",
	faultmodel.OverloadClosed:  "Replace the overload relay, set as the old one: the motor has no protection.",
	faultmodel.LinkOpen:        "Clear what opened it first. Then fit one of the same type and rating, never a larger one and never a bridge.",
	faultmodel.SecondaryOpen:   "Replace the transformer, of the same volts and volt-amperes.",
	faultmodel.PrimaryOpen:     "Check the feed and its fuses ahead of this circuit, then the primary winding. Replace the transformer if the winding is open.",
	faultmodel.SupplyDead:      "Check the feed and its protection ahead of this circuit, then the supply itself.",
	faultmodel.FilamentOpen:    "Replace the lamp, of the same volts. See that the holder's contact is clean.",
	faultmodel.LEDOpen:         "Replace the lamp, of the same volts and kind of current.",
	faultmodel.HornOpen:        "Replace the horn.",
	faultmodel.SolenoidOpen:    "Replace the coil of the solenoid. See why it burned: a plunger that does not seat draws too much.",
	faultmodel.MotorOpen:       "Replace the motor.",
	faultmodel.LoadShorted:     "Replace it. The fuse ahead of it has most likely opened too.",
	faultmodel.PinOpen:         "Look for a bent or pushed-back pin, a loose crimp. Replace the pin.",
	faultmodel.BridgeOpen:      "Tighten or replace the bridge.",
	faultmodel.GroundOutside:   "Follow the wire for chafed insulation, water in a box, a pinched cable; lift it in halves to find the stretch. Replace the stretch.",
	faultmodel.GroundInside:    "Follow the wire for chafed insulation, a pinch under a cover. Replace it.",
	faultmodel.WiresTouch:      "Follow both wires for a whisker at a screw, chafed insulation, a pinch. Part and insulate or replace them.",
	faultmodel.MiswiredEnd:     "Land the wire where the drawing has it. See where the wire that belongs there went.",
	faultmodel.WiresExchanged:  "Exchange the wires of the two terminals, as the drawing has them.",
}

// blownWarning stands beside every verdict of an open protective device.
const blownWarning = "Find what blew it before a new one goes in. A fuse or breaker seldom opens by itself: " +
	"measure the circuit behind it for a short to the other side and to ground, power locked off."

// verdict tells what was found, where it sits and what to mind.
func (s *speaker) verdict(t *diagnose.Turn) []point {
	var points []point
	faults := s.m.Faults()
	if len(t.Left) == 1 {
		f := faults[t.Left[0]]
		points = append(points, point{"VERDICT", sentence(f.Text)}, point{"Where", f.Where + "."})
	} else {
		points = append(points, point{"VERDICT", fmt.Sprintf("One of these %d; no check tells them apart:", len(t.Left))})
		const most = 8
		for i, c := range s.ranked(t) {
			if i == most {
				points = append(points, point{"", fmt.Sprintf("- and %d less likely.", len(t.Left)-most)})
				break
			}
			f := faults[c.Index]
			points = append(points, point{"", fmt.Sprintf("- %s (%s); %s.", f.Text, chance(c.Probability), f.Where)})
		}
	}
	if t.Wrong > 0 {
		points = append(points, point{"Mind", fmt.Sprintf("%s the verdict. Measure again what is doubtful before you trust it.", disagree(t.Wrong))})
		points = append(points, s.pairs(t)...)
	}
	return append(points, s.fuseWarnings(t)...)
}

func disagree(n int) string {
	if n == 1 {
		return "1 reading disagrees with"
	}
	return fmt.Sprintf("%d readings disagree with", n)
}

// ranked gives the candidates that are left, the likeliest first.
func (s *speaker) ranked(t *diagnose.Turn) []diagnose.Candidate {
	var left []diagnose.Candidate
	for _, c := range t.Candidates {
		if slices.Contains(t.Left, c.Index) {
			left = append(left, c)
		}
	}
	return left
}

// repair gives the repairs of what is left, each once, the likeliest first.
func (s *speaker) repair(t *diagnose.Turn) []string {
	var out []string
	for _, c := range s.ranked(t) {
		if r := s.repairOf(c.Index); r != "" && !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	const most = 4 // more are no help
	return out[:min(most, len(out))]
}

// repairOf says how one fault is put right.
func (s *speaker) repairOf(fault int) string {
	f := s.m.Faults()[fault]
	text := repairs[f.Key]
	if len(f.Devices) == 1 {
		if d := s.circuit.Device(f.Devices[0]); d != nil && d.Type.Kind == circuits.RelayKind {
			text = strings.ReplaceAll(text, "the relay", "the "+d.Type.Name)
		}
	}
	return text
}

// fuseWarnings warns of an open protective device: the verdict itself, or opened by
// what is left.
func (s *speaker) fuseWarnings(t *diagnose.Turn) []point {
	open := false
	var after []string
	for _, i := range t.Left[:min(len(t.Left), 8)] {
		f := s.m.Faults()[i]
		if d := s.circuit.Device(f.Effect.OpenLink); d != nil && d.Type.Kind == circuits.LinkKind {
			open = true
			continue
		}
		for _, d := range s.m.Blown(i) {
			if name := called(d); !slices.Contains(after, name) {
				after = append(after, name)
			}
		}
	}
	var points []point
	if open {
		points = append(points, point{"WARNING", blownWarning})
		points = append(points, s.causes(t)...)
	}
	if len(after) > 0 {
		points = append(points, point{"WARNING", fmt.Sprintf("This opens %s as well. Clear the fault first, prove it cleared by ohms, and only then fit a new fuse or reset.", strings.Join(after, " and "))})
	}
	return points
}

// groupLeft says what to do where several groups are left and no check is.
func (s *speaker) groupLeft(t *diagnose.Turn, cannot int) []string {
	text := []string{fmt.Sprintf("%d groups of faults are left, and no check that can be made tells them apart.", t.Groups)}
	if cannot > 0 {
		text = append(text, fmt.Sprintf("Said to be out of reach: %s. Make one of them after all, and the search goes on.", count(cannot, "check")))
	}
	return append(text,
		"What to do: lock out and inspect them in this order, the likeliest first. Put right what you find, then prove the operation.")
}

// healthy says what to do where every reading fits a good circuit.
func (s *speaker) healthy() []string {
	text := []string{
		"HEALTHY: every reading fits a good circuit, and no check is left that would make it surer.",
		"What to do: work the operation and watch for what was reported. If it does not show, look for what comes and goes: " +
			"a loose screw, a contact that sticks at times, heat, vibration, low supply. Measure while the trouble is there.",
	}
	var hidden []string
	for i, f := range s.m.Faults() {
		if s.m.Hidden(i) {
			hidden = append(hidden, f.Text)
		}
	}
	if len(hidden) > 0 {
		text = append(text, fmt.Sprintf("No check of this circuit shows %s: %s.", count(len(hidden), "fault"), some(hidden, 4)))
	}
	return text
}

// some lists up to so many texts and counts the rest.
func some(texts []string, most int) string {
	list := strings.Join(texts[:min(most, len(texts))], "; ")
	if more := len(texts) - most; more > 0 {
		list += fmt.Sprintf("; and %d more", more)
	}
	return list
}

// contradiction says what to do where no single fault fits every reading.
func (s *speaker) contradiction(t *diagnose.Turn, log diagnose.Log) []string {
	text := []string{"CONTRADICTION: no single fault fits every reading. Doubtful, the most doubtful first:"}
	numbers := checkNumbers(log.Entries)
	for _, c := range t.Conflicts[:min(4, len(t.Conflicts))] {
		name := "known before"
		if n := numbers[c.Index]; n > 0 {
			name = fmt.Sprintf("check %d", n)
		}
		text = append(text, fmt.Sprintf("- %s: %s", name, s.entry(log.Entries[c.Index])))
		if without := s.dropping(c); without != "" {
			text[len(text)-1] += "; " + without
		}
	}
	text = append(text, s.doubts(t, log)...)
	return append(text,
		"What to do: measure a doubtful one again, or drop it. A slipped lead, the wrong screw, "+
			"the wrong step is the usual cause. If all stand, there are two faults, or one that is not on the list.")
}

// entry tells a line of the log.
func (s *speaker) entry(e diagnose.Entry) string {
	return fmt.Sprintf("%s: %s", s.condensed(e.Check), s.answer(e.Check, e.Answer))
}

// possible lists what is still possible, group by group with its chance, the likeliest
// first.
func (s *speaker) possible(t *diagnose.Turn, most int) []point {
	type group struct {
		texts       []string
		probability float64
	}
	var order []int
	groups := make(map[int]*group)
	for _, c := range s.ranked(t) {
		g := groups[c.Group]
		if g == nil {
			g = &group{}
			groups[c.Group] = g
			order = append(order, c.Group)
		}
		g.texts = append(g.texts, c.Text)
		g.probability += c.Probability
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case groups[a].probability > groups[b].probability:
			return -1
		case groups[a].probability < groups[b].probability:
			return 1
		}
		return 0
	})
	var out []point
	for i, n := range order {
		if i == most {
			rest := 0
			for _, n := range order[i:] {
				rest += len(groups[n].texts)
			}
			out = append(out, point{"", fmt.Sprintf("and %d less likely, in %s", rest, count(len(order)-i, "group"))})
			break
		}
		g := groups[n]
		const named = 4
		text := strings.Join(g.texts[:min(named, len(g.texts))], "; or ")
		if more := len(g.texts) - named; more > 0 {
			text += fmt.Sprintf("; or %d more like it", more)
		}
		share := chance(g.probability)
		if g.probability < 0.01 {
			share = "<1 %"
		}
		out = append(out, point{share, text})
	}
	if sound(t) {
		out = append(out, point{"", "nothing at all: a good circuit fits every reading"})
	} else if t.GoodLeft {
		out = append(out, point{"", "nothing at all: a good circuit fits as well"})
	}
	return out
}

// tally is what one reading ruled out.
type tally struct {
	entry  diagnose.Entry
	faults []int // by index, those that no reading before it had ruled out
	again  bool  // measured again later: only the last counts
	before bool  // measured before the panel was repaired
}

// tallies tells for each reading what it ruled out that was possible before it.
func (s *speaker) tallies(log diagnose.Log) []tally {
	out := make([]tally, 0, len(log.Entries))
	gone := make([]bool, len(s.m.Faults()))
	for i, e := range log.Entries {
		t := tally{entry: e, again: s.madeLater(log, i), before: i < log.Since()}
		if t.again || t.before {
			out = append(out, t)
			continue
		}
		for _, f := range s.m.Disagreeing(e) {
			if !gone[f] {
				gone[f] = true
				t.faults = append(t.faults, f)
			}
		}
		out = append(out, t)
	}
	return out
}

// ruledOut tells in words what a reading ruled out.
func (s *speaker) ruledOut(t tally, named int) string {
	switch {
	case t.entry.Answer == nil:
		return "its equals are not proposed again"
	case t.before:
		return "made before the repair, and no longer counts"
	case t.again:
		return "made again later, and counted there"
	case len(t.faults) == 0:
		return "ruled out nothing new"
	}
	text := fmt.Sprintf("ruled out %d", len(t.faults))
	if named == 0 {
		return text
	}
	texts := make([]string, len(t.faults))
	for i, f := range t.faults {
		texts[i] = s.m.Faults()[f].Text
	}
	return text + ": " + some(texts, named)
}
