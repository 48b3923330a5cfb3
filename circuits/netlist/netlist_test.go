package netlist_test

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/netlist"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

func panels(t *testing.T) map[string]*work.Panel {
	all := make(map[string]*work.Panel)
	add := func(name string, text []byte) {
		c, problems := read.Read(name, text)
		require.NoError(t, problems.Err(), name)
		all[name] = work.Assemble(c)
	}
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		add(name, text)
	}
	for seed := range uint64(5) {
		add(fmt.Sprint("panel ", seed), []byte(generate.Panel(seed, generate.Options{Rungs: 5, Power: seed > 2})))
	}
	for i, s := range generate.Shapes {
		add(s.Name+", 30 rungs", []byte(s.Panel(uint64(i), 30)))
	}
	add("tenth of 30 rungs", []byte(generate.Panel(10, generate.Options{Rungs: 30, Power: true, Passive: true})))
	return all
}

var (
	printed = regexp.MustCompile(`(?m)^mag\(v\((\S+)\)\) = (\S+)`)
	zeroIs  = regexp.MustCompile(`node 0 is (\S+)`)
)

// simulated holds what ngspice makes of a netlist against the panel, for every terminal with a
// wire: within 0.1 % or 0.02 V, a quarter of a volt where there are diodes. It gives how many were compared.
func simulated(t *testing.T, path, file, what string, p *work.Panel, o *work.Overlay, e *work.End) (compared int) {
	var b bytes.Buffer
	require.NoError(t, netlist.Write(&b, p, o, e, what))
	zero := p.Node(circuits.Terminal(zeroIs.FindStringSubmatch(b.String())[1]))
	var at []circuits.Terminal
	control := ".control\nrun\n"
	for _, terminal := range p.Terminals() {
		if p.Wired(terminal) && p.Node(terminal) != zero {
			at = append(at, terminal)
			control += fmt.Sprintf("print mag(v(%s))\n", strings.ToLower(netlist.NodeName(terminal)))
		}
	}
	text := strings.Replace(b.String(), ".end\n", control+"quit\n.endc\n.end\n", 1)
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	out, err := exec.Command(path, "-b", file).CombinedOutput()
	require.NoError(t, err, "%s:\n%s", what, out)
	theirs := make(map[string]float64)
	for _, m := range printed.FindAllStringSubmatch(string(out), -1) {
		theirs[m[1]], err = strconv.ParseFloat(m[2], 64)
		require.NoError(t, err)
	}
	least := 0.02
	if p.Kept() > 0 || slices.ContainsFunc(p.Circuit.Devices, (*circuits.Device).OneWay) {
		least = 0.25 // a diode, or a sensor of two wires, that carries next to nothing drops less than one that conducts
	}
	live := first(p, o, e)
	for _, terminal := range at {
		v, ok := theirs[strings.ToLower(netlist.NodeName(terminal))]
		require.True(t, ok, "%s: nothing on %s in\n%s", what, terminal, out)
		if n := p.Node(terminal); live.Island(n) == live.Island(zero) { // else it floats
			ours, _ := live.Between(n, zero)
			require.InDelta(t, ours, v, max(least, 0.001*ours), "%s, %s", what, terminal)
			compared++
		}
	}
	return compared
}

// A general circuit simulator reads the netlists as they are, and finds the volts that the panel
// has: the good one in every third step, some faults at the end of the last.
func TestSimulatorReadsIt(t *testing.T) {
	path, err := exec.LookPath("ngspice")
	if err != nil {
		t.Skip("ngspice is not installed")
	}
	file := filepath.Join(t.TempDir(), "deck.cir")
	readings, circuits := 0, 0
	all := panels(t)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		p := all[name]
		if beats(p) {
			t.Logf("%s is left out: it has sources of one frequency whose phases to each other nobody knows", name)
			continue
		}
		circuits++
		try := func(what string, o *work.Overlay, wanted func(step int) bool) {
			p.Work(o, func(step int, e *work.End) bool {
				if wanted(step) && len(e.Chatter)+len(e.Racing) == 0 {
					readings += simulated(t, path, file, fmt.Sprintf("%s, %s, step %d", name, what, step+1), p, o, e)
				}
				return true
			})
		}
		try("good", &work.Overlay{}, func(step int) bool { return (step+circuits)%3 == 0 })
		faults := faultmodel.List(p, faultmodel.Options{})
		for i := circuits; i < len(faults); i += 60 {
			try(string(faults[i].ID), &faults[i].Overlay, func(step int) bool { return step == len(p.Circuit.Steps)-1 })
		}
	}
	require.Greater(t, readings, 1000)
	t.Logf("%d readings of %d circuits", readings, circuits)
}

// beats tells whether a panel has sources of the frequency that is written, of unknown phase.
func beats(p *work.Panel) bool {
	first := p.Net.Source(1)
	for i := 1; i <= p.Net.Sources(); i++ {
		if s := p.Net.Source(network.Source(i)); s.Hertz == first.Hertz && s.Beat != 0 {
			return true
		}
	}
	return false
}

// first gives the panel at the end of a step with the sources of other frequencies than that of the first at
// rest, as the netlist has them.
func first(p *work.Panel, o *work.Overlay, e *work.End) *network.Live {
	st := e.State
	st.EMF = slices.Clone(st.EMF)
	for i := 1; i <= p.Net.Sources(); i++ {
		if p.Net.Source(network.Source(i)).Hertz != p.Net.Source(1).Hertz {
			st.EMF[i] = 0
		}
	}
	return p.Net.Live(st, &o.Overlay)
}
