package drawing

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
)

// readDXF has the library ezdxf (Debian: python3-ezdxf) read and audit the drawings that are named. Of
// each it prints the attributes of the blocks that are placed, and the words and lines by layer.
const readDXF = `
import json, sys, ezdxf
for name in sys.argv[1:]:
    drawing = ezdxf.readfile(name)
    found = {"errors": [e.message for e in drawing.audit().errors], "blocks": [], "words": {}, "lines": {}}
    for e in drawing.modelspace():
        layer = e.dxf.layer
        if layer not in drawing.layers:
            found["errors"].append("no layer " + layer)
        if e.dxftype() == "INSERT":
            if e.dxf.name not in drawing.blocks:
                found["errors"].append("no block " + e.dxf.name)
            found["blocks"].append({a.dxf.tag: a.dxf.text for a in e.attribs})
        elif e.dxftype() == "TEXT":
            found["words"].setdefault(layer, []).append(e.plain_text())
        elif e.dxftype() == "LINE":
            found["lines"][layer] = found["lines"].get(layer, 0) + 1
    print(json.dumps(found))
`

// pythons may have the library: the one on the way, and that of the system.
var pythons = []string{"python3", "/usr/bin/python3"}

// seen is what the library finds in a drawing.
type seen struct {
	Errors []string
	Blocks []map[string]string
	Words  map[string][]string
	Lines  map[string]int
}

// Another's library reads the drawings without a complaint, and finds every device, wire number and
// terminal: in the attributes of the blocks, and as words on their layers.
func TestAnotherReadsDXF(t *testing.T) {
	i := slices.IndexFunc(pythons, func(name string) bool { return exec.Command(name, "-c", "import ezdxf").Run() == nil })
	if i < 0 {
		t.Skip("no Python has the DXF library ezdxf (Debian: python3-ezdxf): drawings are not read by another's program")
	}
	all := every(t)
	generated := 0
	all = slices.DeleteFunc(all, func(c *circuits.Circuit) bool {
		if !strings.HasPrefix(c.File, "panel ") {
			return false
		}
		generated++
		return generated%4 != 0
	})
	for k, s := range generate.Shapes {
		all = append(all, readText(t, s.Name, s.Panel(uint64(k), 30)))
	}
	all = append(all, readText(t, "tenth", generate.Panel(10, generate.Options{Rungs: 30, Power: true, Passive: true})))
	dir := t.TempDir()
	var drawings []*Drawing
	var where []string
	args := []string{"-c", readDXF}
	for _, c := range all {
		d := New(c)
		for w, o := range ways {
			if w == 1 {
				continue // rungs, and paths
			}
			where = append(where, fmt.Sprintf("%s, way %d", c.File, w))
			name := filepath.Join(dir, fmt.Sprintf("%d.dxf", len(drawings)))
			require.NoError(t, os.WriteFile(name, d.DXF(o), 0o600))
			drawings = append(drawings, d)
			args = append(args, name)
		}
	}
	var complaint bytes.Buffer
	python := exec.Command(pythons[i], args...)
	python.Stderr = &complaint
	out, err := python.Output()
	require.NoError(t, err, complaint.String())
	found := json.NewDecoder(bytes.NewReader(out))
	for k, d := range drawings {
		var s seen
		require.NoError(t, found.Decode(&s))
		s.hold(t, d, where[k])
	}
}

// hold holds what was found against the circuit.
func (s seen) hold(t *testing.T, d *Drawing, where string) {
	t.Helper()
	assert.Empty(t, s.Errors, where)
	assert.Positive(t, s.Lines["WIRES"], where)
	devices, terminals := make(map[string]bool), make(map[string]bool)
	for _, b := range s.Blocks {
		device, _, _ := strings.Cut(b["NAME"], ":")
		devices[device] = true
		for _, terminal := range append(strings.Fields(b["ALSO"]), b["LEFT"], b["RIGHT"]) {
			terminals[terminal] = true
		}
	}
	words := func(layer string) map[string]bool {
		all := make(map[string]bool)
		for _, w := range s.Words[layer] {
			for _, piece := range strings.FieldsFunc(w, func(r rune) bool { return strings.ContainsRune(" ,:;.*/", r) }) {
				all[piece] = true
				for _, end := range strings.Split(piece, "-") {
					all[end] = true
				}
			}
		}
		return all
	}
	names, shown, numbers, notes := words("NAMES"), words("TERMINALS"), words("WIRE_NUMBERS"), words("NOTES")
	for _, dev := range d.Circuit.Devices {
		if !slices.ContainsFunc(dev.Terminals, func(name string) bool { return d.Of(dev.Terminal(name)) > 0 }) {
			continue // nothing of it is wired
		}
		assert.True(t, devices[dev.Name], "%s: no block of %s", where, dev.Name)
		assert.True(t, names[dev.Name] || notes[dev.Name], "%s: %s is not written", where, dev.Name)
		for _, name := range dev.Terminals {
			if d.Of(dev.Terminal(name)) == 0 || dev.Type.Kind == circuits.GroundKind {
				continue
			}
			assert.True(t, terminals[string(dev.Terminal(name))], "%s: no block with %s", where, dev.Terminal(name))
			if dev.Type.Kind == circuits.ConnectorKind {
				name = strings.TrimRight(name, "ab") // a pin has one name for its two sides
			}
			assert.True(t, shown[name] || names[name] || notes[name], "%s: %s of %s is not written", where, name, dev.Name)
		}
	}
	for _, n := range d.Circuit.Numbers {
		assert.True(t, numbers[n.Name] || slices.ContainsFunc(s.Words["WIRE_NUMBERS"], func(w string) bool {
			return w == n.Name || strings.HasPrefix(w, n.Name+",")
		}), "%s: wire %s is not written", where, n.Name)
	}
}
