// Package netlist writes a panel at the end of a step as a netlist that general circuit
// simulators read: one element a line, a letter and a name, its nodes, its value.
//
// A node is a terminal, the metalwork is node 0 (the return of the first source where there is
// none). A wire, a closed contact, a fuse that is whole, a mated pin is a source of 0 volts, which is how such programs
// write a piece of wire; what is open stands in a comment. Coils and other loads are R and L in
// series, with the values of the table where the file gives none. Sources are as they are, with
// their phase; a transformer with a wired primary follows the volts of that primary.
//
// With direct current a diode is one; with alternating current it is a piece of wire while it
// conducts in the half of the cycle that is written, and a capacitor its reactance.
//
// Simulators solve one frequency at a time: sources of another are at rest, and say so.
package netlist

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"math/cmplx"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/joined"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// Constants of the deck. From memory: a simulator needs a way to node 0 from every node, which
// the shunt gives, and refuses rings of sources without resistance.
const (
	shuntOhms     = 1e12
	secondaryOhms = 1e-6 // of a transformer that is fed: far too small to be seen
	// The diode of the deck is a silicon rectifier for an ampere. From memory.
	diodeModel  = "silicon"
	diodeValues = "is=7e-9 n=1.8 rs=0.03"
	// What a sensor of two wires keeps, either way round: some 3 V whatever the current of a load, and
	// nothing of what only a meter takes. Common practice, no source.
	sensorModel  = "twowire"
	sensorValues = "is=1e-30 n=1.75"
	sensorOhms   = 1e6
)

// deck is a netlist while it is written.
type deck struct {
	p      *work.Panel
	o      *work.Overlay
	e      *work.End
	hertz  float64
	out    *bufio.Writer
	names  map[network.Node]string
	used   map[string]bool // names of elements, in lower case
	rings  *joined.Sets    // nodes that elements of no resistance join
	inner  int             // nodes within elements
	met    map[network.Node]bool
	diodes bool // there are some
	keeps  bool // there are sensors that keep volts for themselves
}

// Write writes the panel as it stands at the end of a step under an overlay, as [work.Panel.Work]
// gives it. Title is its first line.
func Write(w io.Writer, p *work.Panel, o *work.Overlay, e *work.End, title string) error {
	d := &deck{p: p, o: o, e: e, out: bufio.NewWriter(w), names: make(map[network.Node]string), used: make(map[string]bool), met: make(map[network.Node]bool),
		rings: joined.New(p.Net.Nodes() + o.Extra + 1)}
	d.name()
	d.printf("%s", circuits.OneLine(title))
	if p.Net.Sources() > 0 {
		d.hertz = p.Net.Source(1).Hertz
	}
	d.comment("nodes are terminals; node 0 is %s", d.zero())
	d.sources()
	d.conductors()
	d.loads()
	for i, l := range o.Leaks {
		d.element('R', fmt.Sprint("leak", i+1), number(l.Ohms), "leak", l.A, l.B)
	}
	for _, t := range d.p.Terminals() {
		if n := d.p.Node(t); d.p.Wired(t) && !d.met[n] {
			d.element('R', "alone_"+d.nodeName(n), number(shuntOhms), "so that the node is there", n, d.groundNode())
		}
	}
	if d.diodes {
		d.printf(".model %s d(%s)", diodeModel, diodeValues)
	}
	if d.keeps {
		d.printf(".model %s d(%s)", sensorModel, sensorValues)
	}
	d.printf(".options rshunt=%s", number(shuntOhms))
	if d.hertz > 0 {
		d.printf(".ac lin 1 %[1]s %[1]s", number(d.hertz))
		d.prints()
	} else {
		d.printf(".op")
	}
	d.printf(".end")
	return d.out.Flush()
}

func (d *deck) printf(format string, args ...any) { fmt.Fprintf(d.out, format+"\n", args...) }

func (d *deck) comment(format string, args ...any) {
	d.printf("* %s", circuits.OneLine(fmt.Sprintf(format, args...)))
}

// prints asks for the volts of every wire number against node 0, at the first of its terminals.
func (d *deck) prints() {
	for _, n := range d.p.Circuit.Numbers {
		if name := d.nodeName(d.p.Node(n.Wires[0].From)); name != "0" {
			d.printf(".print ac vm(%s) ; wire %s", name, n.Name)
		}
	}
}

// NodeName is how a terminal is named in a netlist, where no other is named so but for its case:
// CR1_A1.
func NodeName(t circuits.Terminal) string { return strings.ReplaceAll(string(t), ":", "_") }

// name names all nodes. Names are told apart without their case by simulators.
func (d *deck) name() {
	taken := map[string]bool{"0": true}
	ground := d.groundNode()
	for i := 1; i <= d.p.Net.Nodes()+d.o.Extra; i++ {
		n := network.Node(i)
		if n == ground {
			d.names[n] = "0"
			continue
		}
		name := fmt.Sprint("moved", i) // a landing that a fault moved off its terminal
		if i <= d.p.Net.Nodes() {
			name = NodeName(d.p.Terminal(n))
		}
		for taken[strings.ToLower(name)] {
			name += "x"
		}
		taken[strings.ToLower(name)] = true
		d.names[n] = name
	}
}

// groundNode is the metalwork, or else the return of the first source; zero where there is none.
func (d *deck) groundNode() network.Node {
	for _, dev := range d.p.Circuit.Devices {
		if dev.Type.Kind == circuits.GroundKind {
			return d.p.Node(dev.Terminal(dev.Terminals[0]))
		}
	}
	if d.p.Net.Sources() > 0 {
		return d.p.Net.Source(1).Return
	}
	return 0
}

func (d *deck) zero() string {
	n := d.groundNode()
	if n == 0 {
		return "none of them"
	}
	return string(d.p.Terminal(n))
}

// element writes a line. Its name is made unique.
func (d *deck) element(letter byte, name, value, says string, ends ...network.Node) {
	name = string(letter) + strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			return r
		}
		return '_'
	}, name)
	for d.used[strings.ToLower(name)] {
		name += "x"
	}
	d.used[strings.ToLower(name)] = true
	line := name
	for _, n := range ends {
		d.met[n] = true
		line += " " + d.nodeName(n)
	}
	line += " " + value
	if says != "" {
		line += " ; " + circuits.OneLine(says)
	}
	d.printf("%s", line)
}

func (d *deck) nodeName(n network.Node) string {
	if name, ok := d.names[n]; ok {
		return name
	}
	return fmt.Sprint("inner", int(n))
}

// within gives a new node inside of an element.
func (d *deck) within() network.Node {
	d.inner++
	return network.Node(d.p.Net.Nodes() + d.o.Extra + d.inner)
}

// joins writes something of no resistance; a comment where its ends are joined already, since a
// ring of such has no one current.
func (d *deck) joins(name, says string, a, b network.Node) {
	if d.rings.Of(int32(a)) == d.rings.Of(int32(b)) {
		d.comment("%s: %s and %s are joined already", says, d.nodeName(a), d.nodeName(b))
		return
	}
	d.rings.Join(int32(a), int32(b))
	d.element('V', name, "0", says, a, b)
}

func (d *deck) sources() {
	for i := 1; i <= d.p.Net.Sources(); i++ {
		src := network.Source(i)
		dev, parts := d.p.SourceDevice(src), d.p.Net.Source(src)
		volts := parts.Volts
		for _, s := range d.o.Scale {
			if s.Source == src {
				volts *= s.Factor
			}
		}
		idle := d.idle(src)
		switch {
		case d.balanced(dev) && i < d.p.Net.Sources() && d.p.SourceDevice(src+1) == dev:
			d.element('V', dev.Name, "dc 0 ac "+number(volts)+" "+number(parts.Phase), dev.Called(), parts.Hot, parts.Return)
		case d.balanced(dev):
			d.comment("%s: from %s to %s it is what the other two leave", dev.Called(), d.nodeName(parts.Hot), d.nodeName(parts.Return))
		case slices.Contains(d.o.OpenSources, src):
			d.comment("%s is open", dev.Called())
		case idle:
			d.joins(dev.Name, dev.Called()+", dead", parts.Hot, parts.Return)
		case parts.Hertz != d.hertz:
			d.joins(dev.Name, fmt.Sprintf("%s, %g Hz, at rest here", dev.Called(), parts.Hertz), parts.Hot, parts.Return)
		case dev.Rectifier() && d.e.State.EMF[src] == 0:
			d.joins(dev.Name, dev.Called()+", not fed", parts.Hot, parts.Return)
		case dev.Rectifier():
			d.element('V', dev.Name, "dc "+number(volts/parts.Volts*real(d.e.State.EMF[src])), dev.Called()+", by what feeds it", parts.Hot, parts.Return)
		case d.p.PrimaryWired(dev):
			inner := d.within()
			primary := [2]network.Node{d.p.Node(dev.Terminal(dev.Primary[0])), d.p.Node(dev.Terminal(dev.Primary[1]))}
			d.element('E', dev.Name, number(volts/d.p.Values(dev).Volts), dev.Called(), inner, parts.Return, primary[0], primary[1])
			d.element('R', dev.Name+"_winding", number(secondaryOhms), "", inner, parts.Hot)
		case d.hertz == 0:
			d.element('V', dev.Name, "dc "+number(volts), dev.Called(), parts.Hot, parts.Return)
		default:
			hot := parts.Hot
			if dev.Type.Phases { // three from line to line are a ring, which has no one current
				hot = d.within()
				d.element('R', dev.Name+"_line", number(secondaryOhms), "", hot, parts.Hot)
			}
			d.element('V', dev.Name, "dc 0 ac "+number(volts)+" "+number(parts.Phase), dev.Called(), hot, parts.Return)
		}
	}
}

// idle tells whether a source delivers nothing, dead or held at none by what is short.
func (d *deck) idle(src network.Source) bool {
	return slices.Contains(d.o.DeadSources, src) || slices.Contains(d.e.Collapsed, src)
}

// balanced tells whether all the sources of a device with phases deliver what they should, in a ring from
// line to line. Their volts add up to none, so that the last of them follows from the others.
func (d *deck) balanced(dev *circuits.Device) bool {
	if !dev.Type.Phases {
		return false
	}
	returns := make(map[network.Node]bool)
	for i := 1; i <= d.p.Net.Sources(); i++ {
		src := network.Source(i)
		if d.p.SourceDevice(src) != dev {
			continue
		}
		at := d.p.Net.Source(src).Return
		if returns[at] {
			return false // a star
		}
		returns[at] = true
		if d.p.Net.Source(src).Hertz != d.hertz || d.idle(src) || slices.Contains(d.o.OpenSources, src) ||
			slices.ContainsFunc(d.o.Scale, func(s network.SourceScale) bool { return s.Source == src }) {
			return false
		}
	}
	return true
}

func (d *deck) conductors() {
	for i := 1; i <= d.p.Net.Conductors(); i++ {
		c := network.Conductor(i)
		a, b := d.p.Net.Ends(c)
		for _, l := range d.o.Landings {
			switch {
			case l.Conductor != c:
			case l.From == a:
				a = l.To
			case l.From == b:
				b = l.To
			}
		}
		says, name := d.p.Name(c), d.p.Name(c)
		if part := d.p.Part(c); part.Kind == work.WirePart {
			name = fmt.Sprintf("wire_%s_%d", d.p.Circuit.Numbers[part.Number].Name, part.Wire+1)
		}
		closed := d.e.State.Closed[c] || slices.Contains(d.o.Closed, c)
		ohms, bad := d.o.Joint(c)
		switch {
		case d.p.Part(c).Kind == work.KeptPart && d.hertz == 0:
			d.element('D', name+"_kept", sensorModel, says+", what it keeps", a, b)
			d.element('R', name+"_kept", number(sensorOhms), "", a, b)
			d.keeps = true
		case d.p.Part(c).Kind == work.DiodePart && d.hertz == 0 && !slices.Contains(d.o.Open, c) && !slices.Contains(d.o.Closed, c):
			d.element('D', name, diodeModel, says, a, b)
			d.diodes = true
		case !closed || slices.Contains(d.o.Open, c):
			d.comment("%s is open: %s, %s", says, d.nodeName(a), d.nodeName(b))
		case bad:
			d.element('R', name, number(ohms), says+", a bad joint", a, b)
		default:
			d.joins(name, says, a, b)
		}
	}
	for i, j := range d.o.Joins {
		d.joins(fmt.Sprint("touch", i+1), "touching", j[0], j[1])
	}
	for _, l := range d.o.ShortedLoads {
		parts := d.p.Net.Load(l)
		d.joins("short_"+d.p.LoadDevice(l).Name, d.p.LoadDevice(l).Called()+", shorted", parts.A, parts.B)
	}
}

func (d *deck) loads() {
	for i := 1; i <= d.p.Net.Loads(); i++ {
		l := network.Load(i)
		dev := d.p.LoadDevice(l)
		if slices.Contains(d.o.OpenLoads, l) {
			d.comment("%s is open", dev.Called())
			continue
		}
		parts := d.o.Parts(d.p.Net, l)
		r, x := real(parts.Running), imag(parts.Running)
		if d.hertz == 0 {
			x = 0
			if r == 0 { // given as an inductance alone, it has a winding too
				r = parts.Ohms
			}
		}
		if cmplx.IsInf(parts.Running) || math.IsInf(r, 1) {
			d.comment("%s lets no current through", dev.Called())
			continue
		}
		if x < 0 {
			from, says := parts.A, dev.Called()
			if r > 0 {
				inner := d.within()
				d.element('R', dev.Name, number(r), says, parts.A, inner)
				from, says = inner, ""
			}
			d.element('C', dev.Name, number(-1/(2*math.Pi*d.hertz*x)), says, from, parts.B)
			continue
		}
		henry := x / (2 * math.Pi * d.hertz)
		switch {
		case x == 0:
			d.element('R', dev.Name, number(r), dev.Called(), parts.A, parts.B)
		case r == 0:
			d.element('L', dev.Name, number(henry), dev.Called(), parts.A, parts.B)
		default:
			inner := d.within()
			d.element('R', dev.Name, number(r), dev.Called(), parts.A, inner)
			d.element('L', dev.Name, number(henry), "", inner, parts.B)
		}
	}
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', 12, 64) }
