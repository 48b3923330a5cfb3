package talk

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/work"
	"deadrung/diagnose/guide"
)

// CautionOf is the caution of a circuit that is known: with its own volts.
func CautionOf(p *work.Panel) Notice {
	n := Caution
	n.Text = fmt.Sprintf("CAUTION: this circuit has live parts at %s. "+
		"Only qualified persons may test live circuits. ", liveVolts(p)) +
		"Local codes, the rules of the site and the licensed person in charge come before anything this " +
		"program says."
	if len(guide.WarningPeople(p.Circuit)) > 0 {
		n.Text += " " + strings.Join(lifeSafety().Points, " ")
	}
	return n
}

// LockOutOf is the lock-out of a circuit that is known: with each of its sources by name.
func LockOutOf(p *work.Panel, when string) Notice {
	n := LockOut(when)
	var feeds []string
	for _, s := range feedsOf(p) {
		feeds = append(feeds, s.text)
	}
	n.Points[0] = fmt.Sprintf("Switch off, lock and tag %s. Push buttons and interlocks are no "+
		"isolation.", Joined(feeds, " and "))
	if breakers := named(p.Circuit,
		func(d *circuits.Device) bool { return d.Type.Isolates() }); len(breakers) > 0 {
		n.Points[0] += fmt.Sprintf(" Switch off %s too.", Joined(breakers, " and "))
	}
	n.Points = slices.Insert(n.Points, 2,
		"Let stored energy go: springs, air, lifted loads, capacitors. See that nothing else feeds back.")
	if s := secondaries(p); s != "" {
		n.Points = slices.Insert(n.Points, 3, s)
		n.Source += "; " + secondarySource
	}
	if charged := named(p.Circuit, func(d *circuits.Device) bool { return d.Type.Charged }); len(charged) > 0 {
		n.Points = slices.Insert(n.Points, 3, fmt.Sprintf("%s may still be charged: wait as long as the label says, at a drive five "+
			"minutes or more.", SentenceStart(Joined(charged, " and "))))
		n.Points = slices.Insert(n.Points, len(n.Points)-1, fmt.Sprintf("Test %s dead as well, where the charge is: of a drive at the terminals "+
			"of its dc link. The meter has to be for one and a half times the volts of its supply.", Joined(charged, " and ")))
		n.Source += "; " + chargeSource
	}
	return n
}

// lifeSafety is what is said of a circuit by which people are warned of a fire.
func lifeSafety() Notice {
	return Notice{Kind: LifeSafety, Points: []string{
		"Only people licensed for fire alarms may work on one, and the local code comes first.",
		"Before anything is worked or switched off tell the building and the monitoring station, and have " +
			"somebody watch for fire meanwhile.",
		"Afterwards test every detector, call point and signal of the line, and tell them that it is back.",
		"What this program says of it is for teaching; it is no design and no test of a fire alarm.",
	}, Source: "NFPA 72, chapters on impairments and on testing; from memory"}
}

// chargeSource is where it says that stored charges are to be told. What a rectifier charges stands at the
// peak of the supply, 1.41 times its volts.
const chargeSource = "IEC 60204-1, 6.2.4: 60 V or less within 5 s, or a label; from memory"

// secondaries says what not to do with those of current transformers; nothing where there are none.
func secondaries(p *work.Panel) string {
	of := named(p.Circuit, (*circuits.Device).Measures)
	if len(of) == 0 {
		return ""
	}
	return fmt.Sprintf("Never open the secondary of %s, nor take off what hangs on it: while current flows in the primary it then carries a "+
		"voltage that kills. Where it has to come off, switch that current off and lock it out, and short S1 and S2 first.", Joined(of, " and "))
}

const secondarySource = "common practice; makers' instructions of current transformers, from memory"

// Warned is what is said before a check, beside the notices of the power.
func (s *Speaker) Warned(k guide.CautionKind) Notice {
	p := s.Model.Panel()
	switch k {
	case guide.Isolating:
		return LockOutOf(p, BeforeCheck)
	case guide.PowerBack:
		return BackToPower(BeforeCheck)
	case guide.Movement:
		return Notice{Kind: Movement, Points: []string{
			fmt.Sprintf("Working the circuit may start %s, with a fault at any moment.", Joined(moving(p.Circuit), " and ")),
			"See who is near, tell them, and keep clear of what moves.",
		}, Source: circuits.NoSource}
	case guide.LifeSafety:
		return lifeSafety()
	case guide.Humming:
		return Notice{Kind: Humming, Points: []string{
			"A motor that hums and does not turn draws many times its current and burns: switch it off at once.",
			"Let it cool before it is tried again, and try no longer than a look takes. Keep hands off the shaft: it may start.",
			"Leave it off for every check that does not need it to run.",
		}, Source: circuits.NoSource}
	}
	if k == guide.ProveMeter {
		return s.proveMeter()
	}
	most := 0.0
	for _, f := range feedsOf(p) {
		most = math.Max(most, f.most)
	}
	n := Notice{Kind: LiveWork, When: BeforeCheck, Points: []string{
		fmt.Sprintf("Live parts at %s: only who may work on them, with the gloves and eye protection "+
			"that the site asks.", liveVolts(p)),
		fmt.Sprintf("Meter and leads for %g V or more, category III, in order; fingers behind the guards.",
			categoryVolts(most)),
		"Prove the meter on a known live source first. A reading of nothing is worth no more than that.",
		"Covers off no further than it takes. One hand where that can be; no rings, no watch.",
	}, Source: "OSHA 29 CFR 1910.333(c), 1910.334(c) and 1910.335(a); IEC 61010-031 for leads; from memory"}
	if s := secondaries(p); s != "" {
		n.Points = append(n.Points, s)
		n.Source += "; " + secondarySource
	}
	return n
}

// proveMeter says where the meter is proved before a verdict that rests on readings of nothing.
func (s *Speaker) proveMeter() Notice {
	p := s.Model.Panel()
	var at []string
	for _, d := range p.Circuit.Devices {
		if d.Type.Kind == circuits.SourceKind && !p.PrimaryWired(d) {
			at = append(at, fmt.Sprintf("%s and %s, %s", d.Terminal(d.Ends[0]), d.Terminal(d.Ends[1]), voltsOf(d.Volts, d.DC)))
		}
	}
	return Notice{Kind: ProveMeter, When: "before this proof", Points: []string{
		"A reading of nothing speaks for this verdict: a blown lead or a dead meter reads nothing as well.",
		fmt.Sprintf("Prove the meter and both leads on a source that is live: across %s.", Joined(at, ", or ")),
		"If it reads nothing there either, take the answers of nothing back and measure them again.",
	}, Source: circuits.NoSource}
}

// categoryVolts is the rating of a meter for so many volts: the usual steps of category III.
// Source: IEC 61010-1, from memory.
func categoryVolts(volts float64) float64 {
	for _, step := range []float64{300, 600} {
		if volts <= step {
			return step
		}
	}
	return 1000
}

// mostControl is what a transformer may be fed with whose primary volts nobody gave. Common
// practice, no source: control circuits end at 600 V.
const mostControl = 600

// feed is a source, or what feeds a transformer from outside.
type feed struct {
	text string  // its name and volts
	most float64 // volts, a secondary's among them
}

func voltsOf(volts float64, dc bool) string {
	if dc {
		return fmt.Sprintf("%g V dc", volts)
	}
	return fmt.Sprintf("%g V ac", volts)
}

// feedsOf gives what feeds a panel. A transformer that another source of it feeds is none.
func feedsOf(p *work.Panel) []feed {
	var feeds []feed
	for _, d := range p.Circuit.Devices {
		if d.Type.Kind != circuits.SourceKind || p.PrimaryWired(d) {
			continue
		}
		f := feed{text: d.Called() + ", " + voltsOf(d.Volts, d.DC), most: math.Max(d.Volts, d.PrimaryVolts)}
		switch {
		case d.Transformer() && d.PrimaryVolts > 0:
			f.text = fmt.Sprintf("what feeds %s, %s", d.Called(), voltsOf(d.PrimaryVolts, false))
		case d.Transformer():
			f.text, f.most = "what feeds "+d.Called(), mostControl
		}
		feeds = append(feeds, f)
	}
	return feeds
}

// liveVolts names the volts of a circuit, each once.
func liveVolts(p *work.Panel) string {
	var all, last []string
	add := func(text string) {
		if !slices.Contains(all, text) {
			all = append(all, text)
		}
	}
	for _, d := range p.Circuit.Devices {
		if d.Type.Kind == circuits.SourceKind {
			if d.PrimaryVolts > 0 {
				add(voltsOf(d.PrimaryVolts, false))
			}
			add(voltsOf(d.Volts, d.DC))
			for _, s := range d.Secondaries {
				add(voltsOf(s.Volts, d.DC))
			}
			if d.Transformer() && d.PrimaryVolts == 0 {
				last = append(last, "whatever feeds "+d.Name)
			}
		}
	}
	return Joined(append(all, last...), " and ")
}

func moving(c *circuits.Circuit) []string {
	var names []string
	for _, d := range guide.Moving(c) {
		names = append(names, noted(d))
	}
	return names
}

func named(c *circuits.Circuit, which func(*circuits.Device) bool) []string {
	var names []string
	for _, d := range c.Devices {
		if which(d) {
			names = append(names, d.Called())
		}
	}
	return names
}
