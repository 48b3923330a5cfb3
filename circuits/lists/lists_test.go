package lists

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/generate"
	"deadrung/circuits/read"
)

func drawn(t *testing.T, name string, text []byte) *drawing.Drawing {
	t.Helper()
	c, problems := read.Read(name, text)
	require.NoError(t, problems.Err(), name)
	return drawing.New(c)
}

func made(t *testing.T, d *drawing.Drawing, name string) Table {
	t.Helper()
	k, known := Find(name)
	require.True(t, known, name)
	table, err := k.Make(d, nil)
	require.NoError(t, err)
	return table
}

func cabled(t *testing.T) *drawing.Drawing {
	text, err := os.ReadFile("../read/testdata/ok/cables.yaml")
	require.NoError(t, err)
	return drawn(t, "cables.yaml", text)
}

// What the file says of wires, cables and parts is in the lists, later entries over earlier ones.
func TestWhatTheFileSays(t *testing.T) {
	d := cabled(t)
	assert.Equal(t, []Group{{Name: "W1, 4G0.75, 12 m, through the loft", Rows: [][]string{
		{"1", "4", "TB1:1", "panel", "H1:1", "field", "brown", "0.75 mm²"},
		{"2", "2", "TB1:2", "panel", "H1:2", "field", "white", "1 mm²"},
		{"", "spare", "", "", "", "", "", ""}, {"", "spare", "", "", "", "", "", ""}}}}, made(t, d, "cables").Groups)
	assert.Equal(t, []Group{{Name: "TB1", Rows: [][]string{
		{"1", "4", "S1:2", "", "H1:1", "4", "W1 1"}, {"2", "2", "T1:X2", "", "H1:2", "2", "W1 2"},
		{"3", "", "", "", "", "", ""}, {"4", "", "", "", "", "", ""}}}}, made(t, d, "terminals").Groups)
	assert.Contains(t, made(t, d, "conductors").Groups[0].Rows,
		[]string{"8", "4", "4", "H1:1", "H2:1", "red", "1 mm²", "0.5 m", "8 mm", "", ""})
	assert.Contains(t, made(t, d, "parts").Groups[0].Rows, []string{"5", "2", "LED-1", "lamp", "H1, H2"})
	labels := made(t, d, "labels").Groups
	assert.Contains(t, labels[0].Rows, []string{"H1", "running", "1"})
	assert.Contains(t, labels[2].Rows, []string{"2", "", "8"}, "two ends of four wires")
	assert.Equal(t, [][]string{{"W1", "4G0.75", "2"}}, labels[3].Rows)
}

// Nothing is lost in any list of any circuit: each wire once, each end counted, each device and
// terminal there.
func TestListsAreWhole(t *testing.T) {
	texts := make(map[string][]byte)
	for _, name := range circuits.Builtin() {
		texts[name], _ = circuits.BuiltinText(name)
	}
	for seed := range uint64(10) {
		texts[fmt.Sprint("panel ", seed)] = []byte(generate.Panel(seed, generate.Options{Rungs: 30}))
	}
	for name, text := range texts {
		d := drawn(t, name, text)
		wires, between := 0, 0
		place := func(x circuits.Terminal) string { return deviceOf(d.Circuit, x).Place }
		for _, n := range d.Circuit.Numbers {
			wires += len(n.Wires)
			for _, w := range n.Wires {
				if place(w.From) != place(w.To) {
					between++
				}
			}
		}
		assert.Len(t, made(t, d, "conductors").Groups[0].Rows, wires, name)
		rows := 0
		for _, g := range made(t, d, "cables").Groups {
			rows += len(g.Rows)
		}
		assert.Equal(t, between, rows, name)
		ends := 0
		for _, g := range made(t, d, "labels").Groups {
			for _, r := range g.Rows {
				if g.Name == "wires" {
					n, err := strconv.Atoi(r[2])
					require.NoError(t, err)
					ends += n
				}
			}
		}
		assert.Equal(t, 2*wires, ends, name)
		var named []string
		for _, r := range made(t, d, "parts").Groups[0].Rows {
			named = append(named, strings.Split(r[4], ", ")...)
		}
		for _, dev := range d.Circuit.Devices {
			assert.Equal(t, dev.Type.Kind != circuits.GroundKind, slices.Contains(named, dev.Name), "%s: %s", name, dev.Name)
		}
		plan := made(t, d, "terminals")
		for _, dev := range d.Circuit.Devices {
			i := slices.IndexFunc(plan.Groups, func(g Group) bool { return g.Name == dev.Name })
			switch dev.Type.Kind {
			case circuits.BlockKind:
				assert.Len(t, plan.Groups[i].Rows, len(dev.Terminals), name)
			case circuits.ConnectorKind:
				assert.Len(t, plan.Groups[i].Rows, len(dev.Pins), name)
			default:
				assert.Negative(t, i, name)
			}
		}
	}
}

// A list for a spreadsheet has its heading, its groups as a column, and every row as long.
func TestListAsCSV(t *testing.T) {
	for _, k := range Kinds {
		var out bytes.Buffer
		text, err := os.ReadFile("../read/testdata/ok/cables.yaml")
		require.NoError(t, err)
		table, err := k.Make(cabled(t), text)
		require.NoError(t, err)
		require.NoError(t, table.WriteCSV(&out))
		rows, err := csv.NewReader(&out).ReadAll() // refuses rows of other lengths
		require.NoError(t, err, k.Name)
		n := 0
		for _, g := range table.Groups {
			n += len(g.Rows)
		}
		assert.Len(t, rows, n+1, k.Name)
		assert.Equal(t, table.Heads, rows[0][len(rows[0])-len(table.Heads):], k.Name)
	}
}
