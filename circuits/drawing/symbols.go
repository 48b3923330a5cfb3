package drawing

import (
	"cmp"
	"slices"

	"deadrung/circuits"
)

// symbol is how a part is drawn by one standard.
type symbol struct {
	name     string  // what it is of
	half     float64 // from its middle to either terminal
	up, down float64 // how far it reaches above and below the conductor
	inside   bool    // a short name stands in it
	draw     func(p *pen, look look)
	source   string // the standard's clause or number, or "from memory"
}

// look is what a symbol shows besides its kind.
type look struct {
	nc     bool   // normally closed
	closed bool   // as it stands
	off    bool   // an off-delay timer
	letter string // colour of a lamp
}

// moved tells whether a contact stands otherwise than at rest.
func (l look) moved() bool { return l.closed != l.nc }

// symbolOf gives the symbol of a part.
func symbolOf(p *Part, by Symbols) *symbol {
	key := ""
	switch p.Kind {
	case Contact:
		key = p.Device.Type.Name
		if p.Device.Type.Kind == circuits.RelayKind {
			key = "contact"
			if p.Device.Contacts[p.Index].Timed {
				key = "timed-contact"
			}
		}
	case Load, Link, Ground:
		key = p.Device.Type.Name
	case Primary:
		key = "primary"
	case Source:
		key = p.Device.Type.Name
		if key == "supply" && p.Device.DC {
			key = "dc-supply"
		}
		if key == "control-transformer" {
			key = "secondary"
		}
	case Pin:
		key = "pin"
	case Bridge:
		key = "bridge"
	case Post, Tap:
		key = "terminal"
	case Reference:
		key = "reference"
	}
	if by == IEC {
		if s, ok := iecSymbols[key]; ok {
			return s
		}
	}
	if s, ok := nemaSymbols[key]; ok {
		return s
	}
	return nemaSymbols["contact"]
}

// The symbols of IEEE 315-1975 and of the NEMA tables on ladder drawings. The shapes are
// from memory; the clauses of IEEE 315 as well.
var nemaSymbols = map[string]*symbol{
	"contact":            {name: "relay contact", half: 10, up: 10, down: 10, draw: bars, source: "NEMA ICS 19, IEEE 315 clause 4.30; from memory"},
	"timed-contact":      {name: "timed contact", half: 16, up: 12, down: 24, draw: timed, source: "NEMA ICS 19, IEEE 315 clause 4.30.4; from memory"},
	"overload-relay":     {name: "overload contact", half: 10, up: 10, down: 10, draw: bars, source: "NEMA ICS 19, IEEE 315 clause 4.30; from memory"},
	"push-button":        {name: "push button", half: 13, up: 17, down: 10, draw: pushButton, source: "NEMA ICS 19, IEEE 315 clause 4.7; from memory"},
	"selector-switch":    {name: "selector switch", half: 13, up: 17, down: 10, draw: selector, source: "NEMA ICS 19, IEEE 315 clause 4.12; from memory"},
	"limit-switch":       {name: "limit switch", half: 16, up: 12, down: 16, draw: limit, source: "NEMA ICS 19, IEEE 315 clause 4.15; from memory"},
	"float-switch":       {name: "float switch", half: 16, up: 12, down: 26, draw: float, source: "NEMA ICS 19, IEEE 315 clause 4.15; from memory"},
	"pressure-switch":    {name: "pressure switch", half: 16, up: 12, down: 26, draw: pressure, source: "NEMA ICS 19, IEEE 315 clause 4.15; from memory"},
	"temperature-switch": {name: "temperature switch", half: 16, up: 12, down: 26, draw: temperature, source: "NEMA ICS 19, IEEE 315 clause 4.15; from memory"},
	"flow-switch":        {name: "flow switch", half: 16, up: 12, down: 26, draw: flow, source: "NEMA ICS 19, IEEE 315 clause 4.15; from memory"},
	"proximity-switch":   {name: "proximity switch", half: 17, up: 17, down: 17, draw: proximity, source: "NEMA ICS 19; from memory"},
	"fuse":               {name: "fuse", half: 14, up: 7, down: 7, draw: wavyFuse, source: "IEEE 315 clause 9.1; from memory"},
	"breaker":            {name: "circuit breaker", half: 14, up: 13, down: 4, draw: archBreaker, source: "IEEE 315 clause 9.4; from memory"},
	"relay":              {name: "relay coil", half: 14, up: 14, down: 14, inside: true, draw: ring, source: "NEMA ICS 19, IEEE 315 clause 4.30; from memory"},
	"contactor":          {name: "contactor coil", half: 14, up: 14, down: 14, inside: true, draw: ring, source: "NEMA ICS 19, IEEE 315 clause 4.29; from memory"},
	"timer":              {name: "timer coil", half: 14, up: 14, down: 14, inside: true, draw: ring, source: "NEMA ICS 19; from memory"},
	"lamp":               {name: "pilot light", half: 15, up: 15, down: 15, draw: rays, source: "NEMA ICS 19, IEEE 315 clause 11.1; from memory"},
	"horn":               {name: "horn", half: 12, up: 14, down: 10, draw: horn, source: "NEMA ICS 19, IEEE 315 clause 10.1; from memory"},
	"solenoid":           {name: "solenoid", half: 16, up: 9, down: 9, draw: solenoid, source: "NEMA ICS 19, IEEE 315 clause 6.2; from memory"},
	"motor":              {name: "motor", half: 14, up: 14, down: 14, draw: motor, source: "IEEE 315 clause 13.1; from memory"},
	"primary":            {name: "transformer primary", half: 18, up: 9, down: 9, draw: primary, source: "IEEE 315 clause 6.4; from memory"},
	"secondary":          {name: "transformer secondary", half: 18, up: 22, down: 8, draw: secondary, source: "IEEE 315 clause 6.4; from memory"},
	"supply":             {name: "ac supply", half: 13, up: 13, down: 13, draw: alternating, source: "IEEE 315 clause 2.1; from memory"},
	"dc-supply":          {name: "dc supply", half: 12, up: 12, down: 12, draw: battery, source: "IEEE 315 clause 2.5; from memory"},
	"ground":             {name: "ground", half: 0, up: 11, down: 11, draw: ground, source: "IEEE 315 clause 3.9; from memory"},
	"pin":                {name: "connector pin", half: 8, up: 6, down: 6, draw: chevrons, source: "IEEE 315 clause 5.3; from memory"},
	"bridge":             {name: "bridge of a terminal block", half: 9, up: 4, down: 4, draw: bridge, source: "common practice, no source"},
	"terminal":           {name: "terminal", half: 4, up: 5, down: 5, draw: post, source: "IEEE 315 clause 5.1; from memory"},
	"reference":          {name: "goes on elsewhere", half: 0, up: 5, down: 5, draw: arrowHead, source: "common practice, no source"},
}

// The symbols of IEC 60617 where they differ. Numbers are those of the printed parts, from
// memory.
var iecSymbols = map[string]*symbol{
	"contact":            {name: "contact", half: 14, up: 13, down: 3, draw: blade, source: "IEC 60617 07-02-01, 07-02-03; from memory"},
	"timed-contact":      {name: "delayed contact", half: 14, up: 13, down: 15, draw: parachute, source: "IEC 60617 07-05-01 to 07-05-04; from memory"},
	"overload-relay":     {name: "contact of a thermal overload relay", half: 14, up: 13, down: 15, draw: under(thermalLink), source: "IEC 60617 07-02-03 with 02-13-25; from memory"},
	"push-button":        {name: "push button", half: 14, up: 13, down: 15, draw: under(pushHead), source: "IEC 60617 07-07-02 with 02-13-05; from memory"},
	"selector-switch":    {name: "turned switch", half: 14, up: 13, down: 15, draw: under(turnHead), source: "IEC 60617 07-07-04 with 02-13-04; from memory"},
	"limit-switch":       {name: "position switch", half: 14, up: 13, down: 10, draw: positionBlade, source: "IEC 60617 07-08-01, 07-08-02; from memory"},
	"float-switch":       {name: "level switch", half: 14, up: 13, down: 24, draw: under(levelHead), source: "IEC 60617 02-14-01; from memory"},
	"pressure-switch":    {name: "pressure switch", half: 14, up: 13, down: 24, draw: under(letterHead("p")), source: "IEC 60617 with 02-13-23; from memory"},
	"temperature-switch": {name: "temperature switch", half: 14, up: 13, down: 24, draw: under(letterHead("θ")), source: "IEC 60617 07-09-01; from memory"},
	"flow-switch":        {name: "flow switch", half: 14, up: 13, down: 24, draw: under(flowHead), source: "IEC 60617 02-14-03; from memory"},
	"proximity-switch":   {name: "proximity switch", half: 14, up: 13, down: 24, draw: under(diamondHead), source: "IEC 60617 07-20-02; from memory"},
	"fuse":               {name: "fuse", half: 13, up: 5, down: 5, draw: boxFuse, source: "IEC 60617 07-21-01; from memory"},
	"breaker":            {name: "circuit breaker", half: 14, up: 13, down: 4, draw: crossBlade, source: "IEC 60617 07-13-05; from memory"},
	"relay":              {name: "coil", half: 11, up: 9, down: 9, draw: coilBox, source: "IEC 60617 07-15-01; from memory"},
	"contactor":          {name: "coil", half: 11, up: 9, down: 9, draw: coilBox, source: "IEC 60617 07-15-01; from memory"},
	"timer":              {name: "coil of a delayed relay", half: 11, up: 9, down: 9, draw: timerBox, source: "IEC 60617 07-15-07, 07-15-08; from memory"},
	"lamp":               {name: "lamp", half: 11, up: 11, down: 11, draw: crossLamp, source: "IEC 60617 08-10-01; from memory"},
	"solenoid":           {name: "valve coil", half: 11, up: 9, down: 9, draw: valveBox, source: "IEC 60617 07-15-01 with a valve; from memory"},
	"pin":                {name: "plug and socket", half: 8, up: 6, down: 6, draw: plug, source: "IEC 60617 03-03-05; from memory"},
}

// Contacts.

func bars(p *pen, l look) {
	p.line(-10, 0, -5, 0)
	p.line(5, 0, 10, 0)
	p.line(-5, -10, -5, 10)
	p.line(5, -10, 5, 10)
	switch {
	case l.nc && l.closed:
		p.line(-10, 10, 10, -10)
	case l.nc:
		p.line(8, 0, 14, -10) // the bar is lifted
	case l.closed:
		p.area(-5, -4, 5, -4, 5, 4, -5, 4) // the gap is bridged
	}
}

// arm draws the arm of a switch between two round contacts, and gives where its middle is:
// an NO arm hangs below its contact, an NC arm lies on it.
func arm(p *pen, l look) float64 {
	p.circle(-13, 0, 3)
	p.circle(13, 0, 3)
	tip := -3.0
	switch {
	case l.nc && !l.closed:
		tip = -12
	case !l.nc && l.closed:
		tip = 3
	case !l.nc:
		tip = 12
	}
	p.line(-10, 0, 14, tip)
	return tip * 11 / 24
}

func timed(p *pen, l look) {
	y := arm(p, l)
	p.line(0, y, 0, 23)
	if l.off {
		p.line(-4, 19, 0, 23, 4, 19)
	} else {
		p.line(-4, 23, 0, 19, 4, 23)
		p.line(-4, 19, 0, 15, 4, 19)
	}
}

func limit(p *pen, l look) {
	y := arm(p, l)
	p.line(-3, y, 3, y+8, 6, y+2)
}

func float(p *pen, l look) {
	p.line(0, arm(p, l), 0, 16)
	p.circle(0, 20, 4)
}

func pressure(p *pen, l look) {
	p.line(0, arm(p, l), 0, 17)
	p.arc(-6, 24, 6, 24, 7, true)
	p.line(-6, 24, 6, 24)
}

func temperature(p *pen, l look) {
	p.line(0, arm(p, l), 0, 14, 5, 14, 5, 18, -5, 18, -5, 22, 0, 22, 0, 25)
}

func flow(p *pen, l look) {
	p.line(0, arm(p, l), 0, 25)
	p.line(0, 15, 8, 20, 0, 25)
}

func pushButton(p *pen, l look) {
	y := plunger(p, l)
	p.line(0, y, 0, -16)
	p.line(-4, -16, 4, -16)
}

// plunger draws the bridge of a push button, and gives how high it is.
func plunger(p *pen, l look) float64 {
	p.circle(-10, 0, 3)
	p.circle(10, 0, 3)
	y := -8.0
	switch {
	case l.nc && l.closed:
		y = 3
	case l.nc:
		y = 9
	case l.closed:
		y = -3
	}
	p.line(-13, y, 13, y)
	return y
}

func selector(p *pen, l look) {
	y := plunger(p, l)
	p.line(0, y, 0, -12)
	p.line(-4, -9, 6, -16)
}

func proximity(p *pen, l look) {
	p.line(-17, 0, 0, -17, 17, 0, 0, 17)
	p.path.WriteString("Z")
	p.line(-17, 0, -4, 0)
	p.line(4, 0, 17, 0)
	p.line(-4, -7, -4, 7)
	p.line(4, -7, 4, 7)
	switch {
	case l.nc && l.closed:
		p.line(-7, 7, 7, -7)
	case l.closed:
		p.area(-4, -3, 4, -3, 4, 3, -4, 3)
	}
}

// Contacts of IEC 60617, current from left to right.

func blade(p *pen, l look) { bladeTo(p, l) }

// bladeTo draws a contact, and gives how high the middle of its blade is.
func bladeTo(p *pen, l look) float64 {
	p.line(10, 0, 14, 0)
	p.line(-14, 0, -9, 0)
	tip := -11.0
	switch {
	case l.nc && l.closed:
		p.line(10, 0, 10, -9) // the stop that a break contact lies against
		tip = -7
	case l.nc:
		p.line(10, 0, 10, -4)
		tip = -12
	case l.closed:
		tip = 0
	}
	if l.nc {
		p.line(-9, 0, 12, tip)
	} else {
		p.line(-9, 0, 10, tip)
	}
	return tip * 9 / 19
}

// under draws a contact with what works it below.
func under(head func(p *pen)) func(*pen, look) {
	return func(p *pen, l look) {
		y := bladeTo(p, l)
		for at := y + 1; at < 10; at += 4 { // a dashed link
			p.line(0, at, 0, min(at+2, 10))
		}
		head(p)
	}
}

func pushHead(p *pen)    { p.line(-5, 10, -5, 14, 5, 14, 5, 10); p.line(0, 10, 0, 14) }
func turnHead(p *pen)    { p.line(-5, 10, -5, 12, 5, 12, 5, 15) }
func thermalLink(p *pen) { p.line(-6, 15, -2, 15, -2, 10, 3, 10, 3, 15, 7, 15) }
func levelHead(p *pen)   { p.circle(0, 16, 5); p.line(-8, 23, 8, 23) }
func flowHead(p *pen)    { p.box(0, 16, 12, 10); p.line(-9, 16, 9, 16); p.line(6, 13, 9, 16, 6, 19) }
func diamondHead(p *pen) {
	p.line(0, 10, 7, 17, 0, 24, -7, 17)
	p.path.WriteString("Z")
	p.line(-2, 14, -2, 20)
	p.line(2, 14, 2, 20)
}

func letterHead(letter string) func(*pen) {
	return func(p *pen) {
		p.box(0, 16, 12, 12)
		p.text(0, 19, 9, letter)
	}
}

func positionBlade(p *pen, l look) {
	y := bladeTo(p, l)
	p.line(-4, y+1, 1, y+8, 4, y-1)
}

func crossBlade(p *pen, l look) {
	bladeTo(p, l)
	p.line(7, -3, 13, 3)
	p.line(7, 3, 13, -3)
}

func parachute(p *pen, l look) {
	y := bladeTo(p, l)
	p.line(-1.5, y+1, -1.5, 10)
	p.line(1.5, y+1, 1.5, 10)
	if l.off { // it brakes the way back
		p.arc(-6, 14, 6, 14, 8, true)
	} else {
		p.arc(-6, 9, 6, 9, 8, false)
	}
}

// Links.

func wavyFuse(p *pen, _ look) {
	p.arc(-14, 0, 0, 0, 7.5, true)
	p.arc(0, 0, 14, 0, 7.5, false)
}

func boxFuse(p *pen, _ look) {
	p.box(0, 0, 26, 10)
	p.line(-13, 0, 13, 0)
}

func archBreaker(p *pen, _ look) {
	p.circle(-12, 0, 2)
	p.circle(12, 0, 2)
	p.arc(-13, -4, 13, -4, 16, true)
}

// Loads.

func ring(p *pen, _ look) { p.circle(0, 0, 14) }

func rays(p *pen, l look) {
	p.line(-15, 0, -11, 0)
	p.line(11, 0, 15, 0)
	p.circle(0, 0, 11)
	if l.letter != "" {
		p.text(0, 3.5, 9.5, l.letter)
	}
	for _, d := range [][2]float64{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
		p.line(8*d[0], 8*d[1], 14*d[0], 14*d[1])
	}
}

func crossLamp(p *pen, _ look) {
	p.circle(0, 0, 11)
	p.line(-7.8, -7.8, 7.8, 7.8)
	p.line(-7.8, 7.8, 7.8, -7.8)
}

func horn(p *pen, _ look) {
	p.line(-12, 0, 12, 0)
	p.line(-5, 0, -5, -6, 5, -6, 5, 0)
	p.line(-5, -6, -11, -14, 11, -14, 5, -6)
	p.line(-5, 0, -5, 8, 5, 8, 5, 0)
}

func solenoid(p *pen, _ look) {
	p.line(-16, 0, -12, -8, -6, 8, 0, -8, 6, 8, 12, -8, 16, 0)
}

func motor(p *pen, _ look) {
	p.circle(0, 0, 14)
	p.text(0, 4, 12, "M")
}

func coilBox(p *pen, _ look) { p.box(0, 0, 22, 18) }

func timerBox(p *pen, l look) {
	p.box(0, 0, 22, 18)
	p.line(-4, -9, -4, 9)
	if l.off {
		p.area(-11, -9, -4, -9, -4, 9, -11, 9)
	} else {
		p.line(-11, -9, -4, 9)
		p.line(-11, 9, -4, -9)
	}
}

func valveBox(p *pen, _ look) {
	p.box(0, 0, 22, 18)
	p.line(-11, 9, 11, -9)
}

// Sources.

// winding draws four turns.
func winding(p *pen, y float64) {
	for x := -18.0; x < 18; x += 9 {
		p.arc(x, y, x+9, y, 4.5, true)
	}
}

func primary(p *pen, _ look) {
	winding(p, 0)
	p.line(-18, 4, 18, 4)
	p.line(-18, 7, 18, 7)
}

func secondary(p *pen, _ look) {
	winding(p, 0)
	p.line(-18, -8, 18, -8)
	p.line(-18, -11, 18, -11)
	for x := -18.0; x < 18; x += 9 {
		p.arc(x, -19, x+9, -19, 4.5, false)
	}
}

func alternating(p *pen, _ look) {
	p.circle(0, 0, 13)
	p.arc(-7, 0, 0, 0, 3.6, true)
	p.arc(0, 0, 7, 0, 3.6, false)
}

func battery(p *pen, _ look) {
	p.line(-12, 0, -8, 0)
	for _, x := range []float64{-8, 2} {
		p.line(x, -12, x, 12)
		p.line(x+6, -6, x+6, 6)
	}
	p.line(-2, 0, 2, 0)
	p.line(8, 0, 12, 0)
}

func ground(p *pen, _ look) {
	p.line(0, -11, 0, 11)
	p.line(5, -7, 5, 7)
	p.line(10, -3, 10, 3)
}

// What lies in a conductor.

func chevrons(p *pen, _ look) {
	p.line(-8, 0, -1, 0)
	p.line(-6, -6, 0, 0, -6, 6)
	p.line(1, -6, 7, 0, 1, 6)
	p.line(7, 0, 8, 0)
}

func plug(p *pen, _ look) {
	p.arc(-2, -6, -2, 6, 6.5, false)
	p.line(-8, 0, -8, 0)
	p.area(-2, -2, 8, -2, 8, 2, -2, 2)
	p.line(-8.5, 0, -8, 0)
}

func bridge(p *pen, _ look) {
	p.line(-9, -2, 9, -2)
	p.line(-9, 2, 9, 2)
	p.line(-9, -4, -9, 4)
	p.line(9, -4, 9, 4)
}

func post(p *pen, _ look) { p.circle(0, 0, 4) }

func arrowHead(p *pen, _ look) { p.area(0, -5, 8, 0, 0, 5) }

// SymbolSource is a symbol with the place in its standard.
type SymbolSource struct {
	Name   string `json:"symbol"`
	Source string `json:"source"`
}

// SymbolTable names every symbol of a standard with its source.
func SymbolTable(by Symbols) []SymbolSource {
	var rows []SymbolSource
	for key, s := range nemaSymbols {
		if by == IEC && iecSymbols[key] != nil {
			s = iecSymbols[key]
		}
		rows = append(rows, SymbolSource{s.name, s.source})
	}
	slices.SortFunc(rows, func(a, b SymbolSource) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Source, b.Source))
	})
	return slices.Compact(rows)
}
