package faultmodel_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/cmplx"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// A deck states networks to ngspice, a general circuit simulator, as one would draw
// them from the wire list: every node is a terminal, every closed conductor stands by
// itself as a source of 0 V (which is how the simulator writes a piece of wire whose
// current could be read), coils and lamps are R and L, supplies are V. A transformer
// with a wired primary is an E: it follows the volts of its primary, and reflects no
// current into it, being ideal as all our sources are. Nothing is joined or left out
// beforehand, with one exception: a conductor between two nodes that 0 V sources join
// already. It changes nothing, but a ring of 0 V sources has no one current, and the
// simulator refuses it.
//
// Many networks go side by side into one deck, each with its own names, so that the
// program is started a few times and not some ten thousand times.
//
// What floats is shown and not hidden. The simulator's own shunt of a thousand teraohms ties
// every node to its ground, and the return of the panel's first source is held a
// kilovolt away from that ground, at a right angle to the supply. What hangs on the
// panel follows it; what floats stays behind.
const (
	shuntOhms = 1e15
	awayVolts = 1000.0
	// secondaryOhms lies in a secondary whose primary is wired: it can be shorted while
	// the primary is dead, and a ring of no resistance has no one current. It is far too
	// small to be seen.
	secondaryOhms = 1e-6
	// insulationOhms is what a capacitor lets through of direct current, as our solver has it.
	insulationOhms = 100e6
	// siliconDiode is a rectifier for an ampere, where real ones are stated. From memory.
	siliconDiode = "silicon"
	// twoWire is a sensor of two wires: some 3 V whatever the current. Common practice, no source.
	twoWire = "twowire"
	// testAmperes drives an ohms reading, as an ohmmeter does. Common practice, no
	// source: handheld meters drive about a milliampere on their low ranges.
	testAmperes = 1e-3
	// deckElements is about how many elements go into one deck. The simulator's time to
	// put a matrix in order grows with the square of its size; with this many, that and
	// starting the program take about as long.
	deckElements = 900
)

// statement is one network in the simulator's words.
type statement struct {
	elements []element
	nodes    int         // how many the panel has
	ring     map[int]int // union-find over the nodes that 0 V sources join
}

// element is one line of a deck: its letter, the nodes and a value.
type element struct {
	letter byte
	ends   []int // node numbers; 0 is the simulator's ground
	value  string
	says   string
}

func (s *statement) add(letter byte, says, value string, ends ...int) {
	s.elements = append(s.elements, element{letter, ends, value, says})
}

// wire states a conductor of no resistance.
func (s *statement) wire(says string, a, b int) { s.held(says, "0", a, b) }

// held states what holds two nodes at a difference, unless something holds them already.
func (s *statement) held(says, volts string, a, b int) {
	end := func(x int) int {
		for s.ring[x] != 0 {
			x = s.ring[x]
		}
		return x
	}
	if ra, rb := end(a), end(b); ra != rb {
		s.ring[ra] = rb
		s.add('v', says, volts, a, b)
	}
}

// conductors states everything of no resistance: wires, contacts, links, pins,
// bridges as they stand and as the overlay changes them, and what a fault joins.
// Diodes that conduct keep a drop for themselves.
func (s *statement) conductors(p *work.Panel, closed []bool, o *network.Overlay, drop func(network.Conductor) float64) {
	s.ring = make(map[int]int)
	for i := 1; i <= p.Net.Conductors(); i++ {
		c := network.Conductor(i)
		on := closed[c] || slices.Contains(o.Closed, c)
		if !on || slices.Contains(o.Open, c) {
			continue
		}
		a, b := p.Net.Ends(c)
		for _, l := range o.Landings {
			switch {
			case l.Conductor != c:
			case l.From == a:
				a = l.To
			case l.From == b:
				b = l.To
			}
		}
		if ohms, bad := o.Joint(c); bad {
			s.add('r', partName(p, c)+", a bad joint", number(ohms), int(a), int(b))
			continue
		}
		if p.Part(c).Kind == work.DiodePart && !slices.Contains(o.Closed, c) {
			s.held(partName(p, c), number(drop(c)), int(a), int(b))
			continue
		}
		s.wire(partName(p, c), int(a), int(b))
	}
	for _, l := range o.Leaks {
		s.add('r', "leak", number(l.Ohms), int(l.A), int(l.B))
	}
	for _, j := range o.Joins {
		s.wire("touching", int(j[0]), int(j[1]))
	}
	for _, l := range o.ShortedLoads {
		parts := p.Net.Load(l)
		s.wire("shorted "+p.LoadDevice(l).Name, int(parts.A), int(parts.B))
	}
}

func partName(p *work.Panel, c network.Conductor) string {
	part := p.Part(c)
	if part.Kind == work.WirePart {
		n := p.Circuit.Numbers[part.Number]
		w := n.Wires[part.Wire]
		return fmt.Sprintf("wire %s, %s to %s", n.Name, w.From, w.To)
	}
	return part.Device.Called()
}

// live states the network with the power on, contacts as they stand, at one of the
// panel's frequencies. Sources of another are at rest.
func live(p *work.Panel, state network.State, o *network.Overlay, hertz float64) *statement {
	s := &statement{nodes: p.Net.Nodes()}
	s.conductors(p, state.Closed, o, func(c network.Conductor) float64 {
		switch {
		case hertz != 0:
			return 0
		case state.Leads[c]:
			return network.LeadDrop
		}
		return circuits.DiodeDrop
	})
	between := p.Net.Nodes() + o.Extra // nodes within an element, as between its R and its L
	s.add('v', "held away from ground", fmt.Sprintf("dc %g ac %g 90", awayVolts, awayVolts),
		int(p.Net.Source(1).Return), 0)
	for i := 1; i <= p.Net.Sources(); i++ {
		src, d := network.Source(i), p.SourceDevice(network.Source(i))
		parts := p.Net.Source(src)
		hot, ret := int(parts.Hot), int(parts.Return)
		switch {
		case slices.Contains(o.OpenSources, src):
		case slices.Contains(o.DeadSources, src) || parts.Hertz != hertz:
			s.wire(d.Called()+", at rest", hot, ret)
		case d.Rectifier() && state.EMF[src] == 0:
			s.wire(d.Called()+", not fed", hot, ret)
		case d.Rectifier():
			s.add('v', d.Called(), "dc "+number(real(state.EMF[src])*factor(o, src)), hot, ret)
		case p.PrimaryWired(d):
			ratio := parts.Volts / p.Values(d).Volts
			h1, h2 := p.Node(d.Terminal(d.Primary[0])), p.Node(d.Terminal(d.Primary[1]))
			between++
			s.add('e', d.Called(), number(ratio*factor(o, src)), between, ret, int(h1), int(h2))
			s.add('r', d.Called(), number(secondaryOhms), between, hot)
		case hertz == 0:
			s.add('v', d.Called(), "dc "+number(d.Volts*factor(o, src)), hot, ret)
		default:
			if d.Type.Phases { // three from line to line are a ring, which has no one current either
				between++
				s.add('r', d.Called(), number(secondaryOhms), between, hot)
				hot = between
			}
			s.add('v', d.Called(), "dc 0 ac "+number(parts.Volts*factor(o, src))+" "+number(parts.Phase), hot, ret)
		}
	}
	for i := 1; i <= p.Net.Loads(); i++ {
		l := network.Load(i)
		if slices.Contains(o.OpenLoads, l) {
			continue
		}
		parts, says := o.Parts(p.Net, l), p.LoadDevice(l).Called()
		r, x := real(parts.Running), imag(parts.Running)
		a, b := int(parts.A), int(parts.B)
		if hertz == 0 {
			x = 0
			if r == 0 { // a primary: given as an inductance alone, it has a winding too
				r = min(parts.Ohms, insulationOhms) // of a capacitor
			}
		}
		if cmplx.IsInf(parts.Running) {
			continue // a varistor, or a capacitor on direct current
		}
		if x < 0 {
			if r > 0 {
				between++
				s.add('r', says, number(r), a, between)
				a = between
			}
			s.add('c', says, number(-1/(2*math.Pi*hertz*x)), a, b)
			continue
		}
		henry := number(x / (2 * math.Pi * hertz))
		switch {
		case x == 0:
			s.add('r', says, number(r), a, b)
		case r == 0:
			s.add('l', says, henry, a, b)
		default:
			between++
			s.add('r', says, number(r), a, between)
			s.add('l', says, henry, between, b)
		}
	}
	return s
}

// factor is what an overlay makes of the volts of a source.
func factor(o *network.Overlay, s network.Source) float64 {
	f := 1.0
	for _, x := range o.Scale {
		if x.Source == s {
			f *= x.Factor
		}
	}
	return f
}

// measuring adds a voltmeter of the given input resistance to a live network.
func (s *statement) measuring(a, b network.Node, ohms float64) *statement {
	s.add('r', "meter", number(ohms), int(a), int(b))
	return s
}

// off states the network with the power locked off and a test current from lead to
// lead, so that the voltage at a tells the ohms. The outputs of electronic supplies
// are open, or else joined.
func off(p *work.Panel, closed []bool, o *network.Overlay, a, b network.Node, joinOutputs bool) *statement {
	s := &statement{nodes: p.Net.Nodes()}
	s.conductors(p, closed, o, func(network.Conductor) float64 { return 0 })
	for i := 1; i <= p.Net.Sources(); i++ {
		src, d := network.Source(i), p.SourceDevice(network.Source(i))
		parts := p.Net.Source(src)
		hot, ret := int(parts.Hot), int(parts.Return)
		switch {
		case slices.Contains(o.OpenSources, src):
		case parts.Unknown && joinOutputs:
			s.wire(d.Called(), hot, ret)
			for _, in := range parts.Input {
				if in != 0 {
					s.wire(d.Called(), hot, int(in))
				}
			}
		case !parts.Unknown && !math.IsInf(parts.WindingOhms, 1):
			s.add('r', d.Called()+", winding", number(parts.WindingOhms), hot, ret)
		}
	}
	for i := 1; i <= p.Net.Loads(); i++ {
		l := network.Load(i)
		if parts := o.Parts(p.Net, l); !slices.Contains(o.OpenLoads, l) && !math.IsInf(parts.Ohms, 1) {
			s.add('r', p.LoadDevice(l).Called(), number(parts.Ohms), int(parts.A), int(parts.B))
		}
	}
	s.add('v', "black lead", "0", int(b), 0)
	s.add('i', "test current", "dc "+number(testAmperes), int(b), int(a))
	return s
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', 15, 64) }

// write writes the statement as one of several side by side.
func (s *statement) write(b *bytes.Buffer, copy int, comments bool) {
	for i, e := range s.elements {
		fmt.Fprintf(b, "%c%d_%d", e.letter, i+1, copy)
		for _, n := range e.ends {
			if n == 0 {
				b.WriteString(" 0")
				continue
			}
			fmt.Fprintf(b, " n%d_%d", n, copy)
		}
		b.WriteString(" " + e.value)
		if comments {
			b.WriteString(" ; " + e.says)
		}
		b.WriteString("\n")
	}
}

// key is equal for statements of the same network.
func (s *statement) key() string {
	var b bytes.Buffer
	s.write(&b, 0, false)
	return b.String()
}

func (s *statement) String() string {
	var b bytes.Buffer
	s.write(&b, 1, true)
	return b.String()
}

// nodeVolts are the voltages that the simulator finds in one network, by node, against
// its own ground. A node that no element touches is zero: it stays behind, as all do
// that float.
type nodeVolts []complex128

// simulator is the installed program.
type simulator struct {
	path    string
	Version string // as it names itself: ngspice-39
}

var versionName = regexp.MustCompile(`ngspice-[0-9][0-9.+a-z]*`)

// findSimulator finds the program. The error says what to install.
func findSimulator() (*simulator, error) {
	path, err := exec.LookPath("ngspice")
	if err != nil {
		return nil,
			fmt.Errorf("ngspice is not installed; on Debian it is the package ngspice: apt-get install ngspice")
	}
	out, err := exec.Command(path, "--version").CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("ngspice does not tell its version: %w", err)
	}
	name := versionName.Find(out)
	if name == nil {
		return nil, fmt.Errorf("ngspice tells its version in words that are not understood: %.200s", out)
	}
	return &simulator{path, string(name)}, nil
}

// Solve solves the statements, all of them at the same frequency: at dc the operating
// point, else one ac solution. Work files go into dir.
func (s *simulator) Solve(dir string, hertz float64, statements []*statement) ([]nodeVolts, error) {
	var all []nodeVolts
	for len(statements) > 0 {
		n, elements := 0, 0
		for n < len(statements) && elements < deckElements {
			elements += len(statements[n].elements)
			n++
		}
		part, err := s.run(dir, hertz, statements[:n])
		if err != nil && n > 1 {
			err = s.refused(dir, hertz, statements[:n])
		}
		if err != nil {
			return nil, err
		}
		all = append(all, part...)
		statements = statements[n:]
	}
	return all, nil
}

// refused finds the first statement that the simulator does not solve.
func (s *simulator) refused(dir string, hertz float64, statements []*statement) error {
	for _, st := range statements {
		if _, err := s.run(dir, hertz, []*statement{st}); err != nil {
			return fmt.Errorf("%w\n%s", err, st)
		}
	}
	return fmt.Errorf("ngspice does not solve networks together that it solves one by one")
}

func (s *simulator) run(dir string, hertz float64, statements []*statement) ([]nodeVolts, error) {
	var deck bytes.Buffer
	fmt.Fprintf(&deck, "* %d networks side by side\n.options noopac rshunt=%g\n", len(statements), shuntOhms)
	for i, st := range statements {
		st.write(&deck, i, false)
	}
	if hertz == 0 {
		fmt.Fprintf(&deck, ".model %s d(is=7e-9 n=1.8 rs=0.03)\n", siliconDiode)
		fmt.Fprintf(&deck, ".model %s d(is=1e-30 n=1.75)\n", twoWire)
		deck.WriteString(".op\n.end\n")
	} else {
		fmt.Fprintf(&deck, ".ac lin 1 %g %g\n.end\n", hertz, hertz)
	}
	file, raw, log := filepath.Join(dir, "deck.cir"), filepath.Join(dir, "deck.raw"),
		filepath.Join(dir, "deck.log")
	if err := os.WriteFile(file, deck.Bytes(), 0o600); err != nil {
		return nil, err
	}
	_ = os.Remove(raw)
	cmd := exec.Command(s.path, "-n", "-b", "-r", raw, "-o", log, file)
	cmd.Stderr = io.Discard
	runErr := cmd.Run()
	said, _ := os.ReadFile(log)
	if runErr != nil {
		return nil, fmt.Errorf("ngspice does not solve the deck: %w: %.2000s", runErr, said)
	}
	if bytes.Contains(bytes.ToLower(said), []byte("singular")) {
		return nil, fmt.Errorf("ngspice finds no one solution: %.2000s", said)
	}
	f, err := os.ReadFile(raw)
	if err != nil {
		return nil, fmt.Errorf("ngspice left no result: %w: %.2000s", err, said)
	}
	return readRaw(f, statements)
}

// readRaw reads a binary raw file of one point: a header of lines, the names of the
// variables, then a float64 for each, or two where the numbers are complex.
func readRaw(file []byte, statements []*statement) ([]nodeVolts, error) {
	head, data, ok := bytes.Cut(file, []byte("Binary:\n"))
	if !ok {
		return nil, fmt.Errorf("ngspice left a raw file without numbers: %.200s", file)
	}
	isComplex := bytes.Contains(head, []byte("\nFlags: complex"))
	_, vars, ok := bytes.Cut(head, []byte("\nVariables:\n"))
	if !ok {
		return nil, fmt.Errorf("ngspice left a raw file without names: %.200s", head)
	}
	next := func() float64 {
		if len(data) < 8 {
			return math.NaN()
		}
		x := math.Float64frombits(binary.LittleEndian.Uint64(data))
		data = data[8:]
		return x
	}
	volts := make([]nodeVolts, len(statements))
	for i, st := range statements {
		volts[i] = make(nodeVolts, st.nodes+1)
	}
	for line := range strings.Lines(string(vars)) {
		v := complex(next(), 0)
		if isComplex {
			v = complex(real(v), next())
		}
		f := strings.Fields(line)
		if len(f) < 3 {
			return nil, fmt.Errorf("ngspice names a variable as %q", line)
		}
		name, isNode := strings.CutPrefix(f[1], "v(n")
		if !isNode {
			continue // the frequency, or a current
		}
		first, second, _ := strings.Cut(strings.TrimSuffix(name, ")"), "_")
		node, err := strconv.Atoi(first)
		at, err2 := strconv.Atoi(second)
		if err != nil || err2 != nil {
			return nil, fmt.Errorf("ngspice names a voltage as %q", f[1])
		}
		if node < len(volts[at]) { // not one within a load
			volts[at][node] = v
		}
	}
	return volts, nil
}
