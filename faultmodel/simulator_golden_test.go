package faultmodel_test

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/faultmodel"
)

var update = flag.Bool("update", false,
	"have ngspice solve the circuits anew and renew the files in testdata/simulator")

// A golden file holds what the simulator found for one circuit, so that the physics
// is held against it where it is not installed. Its columns are parted by tabs:
//
//	simulator  ngspice-39
//	terminals  T1:X1 T1:X2 …
//	volts      FAULT  HERTZ  STEPS  VOLTS@TERMINALS …
//	reading    FAULT  STEP  RED  BLACK  METER|ohms|LIFTED  VALUE …
//
// Volts are RMS with their phase, against the return of the first source, of the
// terminals by their places in the line of terminals: "120@1,7-9". Of the good circuit
// a line says what differs from the step before (from 0 V at the first step); of a
// fault, what differs from the good circuit in the same step. What floats is left
// behind, as the head of the deck says, at -1000i V, or -1000 V dc. Steps that a fault
// does not leave the supply standing in have no line.
const goldenHead = "# The circuit %s as a general circuit simulator solves it. Renew with\n" +
	"#   go test ./faultmodel -run SimulatorGolden -update\n"

const goldenDir = "../testdata/simulator"

// golden is a golden file in memory.
type golden struct {
	simulator string
	terminals string
	volts     map[string]nodeVolts // by condition
	readings  []goldenReading
}

type goldenReading struct {
	fault, step string
	red, black  circuits.Terminal
	meterOhms   float64
	lifted      circuits.Terminal
	values      []float64
}

func conditionKey(fault string, hertz float64, step int) string {
	return fmt.Sprintf("%s at %g Hz, step %d", fault, hertz, step+1)
}

func (b *bench) terminalLine() string {
	var names []string
	for _, t := range b.panel.Terminals() {
		names = append(names, string(t))
	}
	return strings.Join(names, " ")
}

// goldenPlaces is how many decimals of a volt are kept.
const goldenPlaces = 3

func places(x float64) string {
	s := strconv.FormatFloat(x, 'f', goldenPlaces, 64)
	s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func phasor(v complex128) string {
	re, im := places(real(v)), places(imag(v))
	switch {
	case im == "0":
		return re
	case re == "0":
		return im + "i"
	case im[0] == '-':
		return re + im + "i"
	}
	return re + "+" + im + "i"
}

// differences writes the nodes of v that base has otherwise.
func differences(v, base []string) string {
	var order []string
	at := make(map[string][]int)
	for n := 1; n < len(v); n++ {
		if v[n] == base[n] {
			continue
		}
		if at[v[n]] == nil {
			order = append(order, v[n])
		}
		at[v[n]] = append(at[v[n]], n)
	}
	var groups []string
	for _, volts := range order {
		var runs []string
		nodes := at[volts]
		for i := 0; i < len(nodes); {
			j := i
			for j+1 < len(nodes) && nodes[j+1] == nodes[j]+1 {
				j++
			}
			if run := strconv.Itoa(nodes[i]); i == j {
				runs = append(runs, run)
			} else {
				runs = append(runs, run+"-"+strconv.Itoa(nodes[j]))
			}
			i = j + 1
		}
		groups = append(groups, volts+"@"+strings.Join(runs, ","))
	}
	return strings.Join(groups, " ")
}

// apply is the other way round: it changes v.
func apply(v nodeVolts, text string) error {
	for _, group := range strings.Fields(text) {
		volts, nodes, _ := strings.Cut(group, "@")
		x, err := strconv.ParseComplex(volts, 128)
		if err != nil {
			return fmt.Errorf("%q is no voltage", volts)
		}
		for _, run := range strings.Split(nodes, ",") {
			from, to, ok := strings.Cut(run, "-")
			if !ok {
				to = from
			}
			a, err1 := strconv.Atoi(from)
			z, err2 := strconv.Atoi(to)
			if err1 != nil || err2 != nil || a < 1 || z >= len(v) {
				return fmt.Errorf("%q are no terminals", nodes)
			}
			for n := a; n <= z; n++ {
				v[n] = x
			}
		}
	}
	return nil
}

// record has the simulator solve a circuit and gives the golden file.
func (b *bench) record(sim *simulator, dir string) ([]byte, error) {
	var out bytes.Buffer
	fmt.Fprintf(&out, goldenHead, b.name)
	fmt.Fprintf(&out, "simulator\t%s\nterminals\t%s\n", sim.Version, b.terminalLine())
	for system, hertz := range b.hertz {
		zero := make([]string, b.panel.Net.Nodes()+1)
		for i := range zero {
			zero[i] = "0"
		}
		usual := make([][]string, len(b.panel.Circuit.Steps)) // the good circuit, by step
		var all []standing
		for f := good; f < len(b.faults); f++ {
			all = append(all, b.stand(f)...)
		}
		solved, _, err := b.solve(sim, dir, all, hertz)
		if err != nil {
			return nil, err
		}
		var line string
		var steps []string
		flush := func(fault int) {
			if len(steps) > 0 {
				fmt.Fprintf(&out, "volts\t%s\t%g\t%s\t%s\n", b.faultName(fault), hertz, strings.Join(steps, ","), line)
			}
			steps = nil
		}
		for i, s := range all {
			if wrong := b.compare(&tally{}, s, system, solved[i].volts); len(wrong) > 0 {
				return nil, fmt.Errorf("%s: %s; nothing is recorded while the two disagree", b.says(s), wrong[0])
			}
			v := make([]string, len(zero))
			for n := range v {
				v[n] = phasor(solved[i].volts[n] - solved[i].volts[b.panel.Net.Source(1).Return])
			}
			base := zero
			switch {
			case s.fault != good:
				base = usual[s.step]
			case s.step > 0:
				base = usual[s.step-1]
			}
			if s.fault == good {
				usual[s.step] = v
			}
			diff := differences(v, base)
			if i > 0 && (all[i-1].fault != s.fault || s.fault == good || diff != line) {
				flush(all[i-1].fault)
			}
			line = diff
			steps = append(steps, strconv.Itoa(s.step+1))
		}
		flush(all[len(all)-1].fault)
	}
	drawn := b.draw(2)
	values, err := b.theirs(sim, dir, drawn)
	if err != nil {
		return nil, err
	}
	for i, r := range drawn {
		how := "ohms"
		if r.meterOhms > 0 {
			how = strconv.FormatFloat(r.meterOhms, 'f', -1, 64)
		} else if r.lifted != "" {
			how = string(r.lifted)
		}
		fmt.Fprintf(&out, "reading\t%s\t%s\t%s\t%s\t%s", b.faultName(r.fault),
			b.panel.Circuit.Steps[r.step].Name, r.red, r.black, how)
		for _, v := range values[i] {
			if math.IsInf(v, 1) {
				out.WriteString("\tOL")
			} else {
				fmt.Fprintf(&out, "\t%s", places(v))
			}
		}
		out.WriteString("\n")
	}
	return out.Bytes(), nil
}

// readGolden reads a golden file of the bench.
func (b *bench) readGolden(file []byte) (*golden, error) {
	g := &golden{volts: make(map[string]nodeVolts)}
	usual := make(map[string]nodeVolts) // by condition of the good circuit
	scan := bufio.NewScanner(bytes.NewReader(file))
	scan.Buffer(nil, 1<<20)
	for at := 1; scan.Scan(); at++ {
		f := strings.Split(scan.Text(), "\t")
		var err error
		switch {
		case strings.HasPrefix(f[0], "#"):
		case f[0] == "simulator" && len(f) == 2:
			g.simulator = f[1]
		case f[0] == "terminals" && len(f) == 2:
			g.terminals = f[1]
		case f[0] == "volts" && len(f) == 5:
			err = b.readGoldenVolts(g, usual, f[1], f[2], f[3], f[4])
		case f[0] == "reading" && len(f) >= 7:
			r := goldenReading{fault: f[1], step: f[2], red: circuits.Terminal(f[3]), black: circuits.Terminal(f[4])}
			if ohms, no := strconv.ParseFloat(f[5], 64); no == nil {
				r.meterOhms = ohms
			} else if f[5] != "ohms" {
				r.lifted = circuits.Terminal(f[5])
			}
			for _, text := range f[6:] {
				v := math.Inf(1)
				if text != "OL" {
					v, err = strconv.ParseFloat(text, 64)
				}
				r.values = append(r.values, v)
			}
			g.readings = append(g.readings, r)
		default:
			err = fmt.Errorf("no such line")
		}
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", at, err)
		}
	}
	return g, scan.Err()
}

func (b *bench) readGoldenVolts(g *golden, usual map[string]nodeVolts, fault, hertzText, steps,
	text string) error {
	hertz, err := strconv.ParseFloat(hertzText, 64)
	if err != nil {
		return err
	}
	for _, stepText := range strings.Split(steps, ",") {
		step, err := strconv.Atoi(stepText)
		if err != nil {
			return err
		}
		step--
		base := usual[conditionKey("good", hertz, step)]
		if fault == "good" {
			base = usual[conditionKey("good", hertz, step-1)]
		}
		v := slices.Clone(base)
		if v == nil {
			v = make(nodeVolts, b.panel.Net.Nodes()+1)
		}
		if err := apply(v, text); err != nil {
			return err
		}
		k := conditionKey(fault, hertz, step)
		g.volts[k] = v
		if fault == "good" {
			usual[k] = v
		}
	}
	return nil
}

// TestSimulatorGolden holds every circuit against the numbers that the simulator found
// when they were recorded, whether it is installed here or not.
func TestSimulatorGolden(t *testing.T) {
	for _, c := range simulated(t) {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t, c.name, c.text, faultmodel.Options{Worn: true})
			path := filepath.Join(goldenDir, c.name+".tsv")
			if *update {
				sim, err := findSimulator()
				require.NoError(t, err)
				file, err := b.record(sim, t.TempDir())
				require.NoError(t, err)
				require.NoError(t, os.WriteFile(path, file, 0o644))
			}
			const renew = "the circuit or its faults are not those that were recorded; where ngspice is " +
				"installed, go test ./faultmodel -run SimulatorGolden -update renews the file"
			file, err := os.ReadFile(path)
			require.NoError(t, err)
			g, err := b.readGolden(file)
			require.NoError(t, err, path)
			require.Regexp(t, versionName, g.simulator)
			require.Equal(t, g.terminals, b.terminalLine(), renew)

			var c tally
			for f := good; f < len(b.faults); f++ {
				for _, s := range b.stand(f) {
					for system, hertz := range b.hertz {
						k := conditionKey(b.faultName(f), hertz, s.step)
						theirs, ok := g.volts[k]
						require.True(t, ok, "%s, %s is not in %s: %s", b.name, k, path, renew)
						delete(g.volts, k)
						if wrong := b.compare(&c, s, system, theirs); len(wrong) > 0 && !t.Failed() {
							t.Errorf("%s:\n%s", b.says(s), strings.Join(wrong, "\n"))
						}
					}
				}
			}
			assert.Empty(t, slices.Sorted(maps.Keys(g.volts)), "the supply stood when this was recorded: %s", renew)
			assert.Zero(t, c.wrong, "readings that disagree")
			require.NotEmpty(t, g.readings)
			for _, r := range g.readings {
				here, err := b.reading(r)
				require.NoError(t, err, renew)
				assert.NoError(t, b.disagrees(here, r.values))
			}
			t.Logf("%s: %d voltages, %d coils and %d readings with the meter; %d voltages disagree, the "+
				"others by %.2g V at most",
				g.simulator, c.readings, c.coils, len(g.readings), c.wrong, c.worst)
		})
	}
}

// reading finds the fault and the step of a recorded reading.
func (b *bench) reading(r goldenReading) (reading, error) {
	here := reading{fault: good, red: r.red, black: r.black, meterOhms: r.meterOhms, lifted: r.lifted}
	if r.fault != "good" {
		i, err := faultmodel.Find(b.faults, r.fault)
		if err != nil {
			return here, err
		}
		here.fault = i
	}
	here.step = b.panel.Circuit.Step(r.step)
	if here.step < 0 {
		return here, fmt.Errorf("no step is called %q", r.step)
	}
	for _, t := range []circuits.Terminal{r.red, r.black} {
		if b.panel.Node(t) == network.Node(0) {
			return here, fmt.Errorf("no terminal is called %s", t)
		}
	}
	return here, nil
}
