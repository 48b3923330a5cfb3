package generate

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

// How a circuit with wires is written as rungs.
type rungForm int

const (
	byNumber   rungForm = iota // wire numbers at both ends of every part
	byTerminal                 // a terminal of each wire at both ends: numbers are given anew
	byKind                     // wire numbers, and contacts by their kind
)

// asRungs writes a circuit as rungs of one part each.
func asRungs(t testing.TB, text string, c *circuits.Circuit, form rungForm) string {
	t.Helper()
	at := make(map[circuits.Terminal]string) // how the wire of a terminal is written
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			at[w.From], at[w.To] = "wire "+n.Name, "wire "+n.Name
		}
	}
	if form == byTerminal {
		// Not one for each number: a number goes through the pins of connectors.
		piece := make(map[circuits.Terminal]circuits.Terminal)
		var of func(t circuits.Terminal) circuits.Terminal
		of = func(t circuits.Terminal) circuits.Terminal {
			if up, ok := piece[t]; ok && up != t {
				return of(up)
			}
			return t
		}
		for _, n := range c.Numbers {
			for _, w := range n.Wires {
				if a, b := of(w.From), of(w.To); a != b {
					piece[b] = a
				}
			}
		}
		for x := range at {
			at[x] = string(of(x))
		}
	}
	var rungs []string
	done := make(map[circuits.Terminal]bool)
	part := func(d *circuits.Device, a, b, written string) {
		x, y := d.Terminal(a), d.Terminal(b)
		if at[x] == "" || at[y] == "" {
			return
		}
		done[x], done[y] = true, true
		rungs = append(rungs, fmt.Sprintf("[%q, %q, %q]", at[x], written, at[y]))
	}
	for _, d := range c.Devices {
		for _, contact := range d.Contacts {
			written := d.Name + ":" + contact.A + "-" + contact.B
			if form == byKind {
				written = d.Name + " " + kindOf(d, contact)
			}
			part(d, contact.A, contact.B, written)
		}
		for _, pin := range d.Pins {
			part(d, pin+"a", pin+"b", d.Name+":"+pin)
		}
		parts := [][2]string{d.Ends, d.Primary}
		for _, pair := range slices.Concat(d.More, d.Poles) {
			if pair != d.Ends { // a winding beside another, the first pole
				parts = append(parts, pair)
			}
		}
		for _, pair := range parts {
			if pair[0] != "" && d.Type.Kind != circuits.SourceKind || pair == d.Primary && pair[0] != "" {
				part(d, pair[0], pair[1], d.Name+":"+pair[0]+"-"+pair[1])
			}
		}
	}
	for _, d := range c.Devices {
		for _, name := range d.Terminals {
			if x := d.Terminal(name); at[x] != "" && !done[x] && at[x] != string(x) &&
				(form != byKind || len(d.Contacts) == 0) {
				rungs = append(rungs, fmt.Sprintf("[%q, %q]", at[x], x))
			}
		}
	}
	var root yaml.Node
	require.NoError(t, yaml.Unmarshal([]byte(text), &root))
	m := root.Content[0]
	for i := 0; i+1 < len(m.Content); {
		if key := m.Content[i].Value; key == "wires" || key == "ladder" {
			m.Content = slices.Delete(m.Content, i, i+2)
			continue
		}
		i += 2
	}
	out, err := yaml.Marshal(m)
	require.NoError(t, err)
	return string(out) + "rungs:\n  - " + strings.Join(rungs, "\n  - ") + "\n"
}

// kindOf writes a contact by its kind.
func kindOf(d *circuits.Device, c circuits.Contact) string {
	var in []string
	for i, yes := range c.Closed {
		if yes {
			in = append(in, d.Positions[i])
		}
	}
	kind := strings.Join(in, " or ")
	if len(in) == 1 && len(d.Positions) == 2 {
		kind = map[bool]string{true: "nc", false: "no"}[c.Closed[0]]
	}
	switch {
	case c.Timed && d.Timer():
		kind += " timed"
	case c.Timed: // of a drive
		kind += " fault"
	}
	return kind
}

// looks gives what every output does at the end of every step.
func looks(p *work.Panel) []string {
	var out []string
	good := &work.Overlay{}
	p.Work(good, func(i int, e *work.End) bool {
		for _, d := range p.Visible() {
			on, firm := p.Look(good, e, d)
			out = append(out, fmt.Sprint(i, d.Name, on, firm))
		}
		return true
	})
	return out
}

// nodes gives the terminals of every wire number, whatever it is called, but for those of
// terminal blocks, of which a bridged one need not have a wire.
func nodes(c *circuits.Circuit) []string {
	var out []string
	for _, n := range c.Numbers {
		has := make(map[circuits.Terminal]bool)
		for _, w := range n.Wires {
			for _, at := range []circuits.Terminal{w.From, w.To} {
				if d, _ := at.Split(); c.Device(d).Type.Kind != circuits.BlockKind {
					has[at] = true
				}
			}
		}
		out = append(out, fmt.Sprint(slices.Sorted(maps.Keys(has))))
	}
	slices.Sort(out)
	return out
}

// atMostTwo holds that no terminal has more than two wires, but for those of terminal
// blocks and the metalwork, and that each number is wired without a wire too many.
func atMostTwo(t *testing.T, name string, c *circuits.Circuit) {
	landed := make(map[circuits.Terminal]int)
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			landed[w.From]++
			landed[w.To]++
		}
	}
	for at, wires := range landed {
		d, _ := at.Split()
		if kind := c.Device(d).Type.Kind; wires > 2 && kind != circuits.BlockKind && kind != circuits.GroundKind {
			t.Errorf("%s: %s has %d wires", name, at, wires)
		}
	}
}

// Every circuit there is, written as rungs, is wired as one node a number with at most
// two wires a terminal, and works as the one wired by hand.
func TestRungsEqualHandWired(t *testing.T) {
	t.Parallel()
	texts := make(map[string]string)
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		c, problems := read.Read(name, text)
		require.NoError(t, problems.Err())
		texts[name] = string(read.Wired(text, c, nil))
	}
	published, err := filepath.Glob("../../testdata/published/*.yaml")
	require.NoError(t, err)
	for _, file := range published {
		if !strings.HasSuffix(file, ".check.yaml") {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			texts[filepath.Base(file)] = string(text)
		}
	}
	for seed := uint64(1); seed <= seeds; seed += 2 {
		texts[fmt.Sprint("seed ", seed)] = drawn()[seed]
	}
	texts["100 rungs"] = Rungs(100)
	require.Greater(t, len(texts), 150)
	for name, text := range texts {
		c, problems := read.Read(name, []byte(text))
		require.NoError(t, problems.Err(), name)
		want := looks(work.Assemble(c))
		for form := byNumber; form <= byKind; form++ {
			name := fmt.Sprintf("%s, form %d", name, form)
			rungs := asRungs(t, text, c, form)
			drawnAs, problems := read.Read(name, []byte(rungs))
			if !assert.NoError(t, problems.Err(), rungs) {
				continue
			}
			atMostTwo(t, name, drawnAs)
			if form == byNumber {
				assert.Equal(t, nodes(c), nodes(drawnAs), name)
			}
			assert.Equal(t, want, looks(work.Assemble(drawnAs)), name)
			wired := read.Wired([]byte(rungs), drawnAs, nil)
			again, problems := read.Read(name, wired)
			if assert.NoError(t, problems.Err(), string(wired)) {
				assert.Equal(t, nodes(drawnAs), nodes(again), name)
				assert.Nil(t, again.Rungs)
			}
		}
	}
}
