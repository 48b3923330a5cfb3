package drawing

import (
	"bufio"
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The file is pairs of a code and a value, its sections are closed, and every block that is placed
// is there. Read back, it has every part with its terminals, and every wire number on its layer.
func TestDXFIsWhole(t *testing.T) {
	for _, c := range every(t) {
		dxfIsWhole(t, New(c), Options{})
		dxfIsWhole(t, New(c), Options{Symbols: IEC, Upright: true})
	}
}

func dxfIsWhole(t *testing.T, d *Drawing, o Options) {
	t.Helper()
	c, text := d.Circuit, d.DXF(o)
	lines := bufio.NewScanner(bytes.NewReader(text))
	var pairs [][2]string
	for lines.Scan() {
		code := strings.TrimSpace(lines.Text())
		require.True(t, lines.Scan(), c.File)
		pairs = append(pairs, [2]string{code, lines.Text()})
	}
	open, blocks, last := 0, map[string]bool{}, ""
	for _, p := range pairs {
		switch {
		case p == [2]string{"0", "SECTION"}:
			open++
		case p == [2]string{"0", "ENDSEC"}:
			open--
		case p[0] == "2" && last == "BLOCK":
			blocks[p[1]] = true
		case p[0] == "2" && last == "INSERT":
			assert.True(t, blocks[p[1]], "%s: no block %s", c.File, p[1])
		}
		require.True(t, open == 0 || open == 1, c.File)
		if p[0] == "0" {
			last = p[1]
		}
		if strings.Contains(p[1], "NaN") {
			t.Fatalf("%s: %q", c.File, p[1])
		}
		if strings.ContainsFunc(p[1], func(r rune) bool { return r >= 0x7f }) {
			t.Fatalf("%s: %q", c.File, p[1])
		}
	}
	assert.Equal(t, [2]string{"0", "EOF"}, pairs[len(pairs)-1], c.File)
	inserts, numbers := contents(pairs)
	var parts []string
	for _, r := range d.Rungs {
		for _, p := range r.Parts {
			parts = append(parts, ascii(fmt.Sprintf("%s %s %s %d", p.Name(), p.Left, p.Right, p.Rung)))
		}
	}
	slices.Sort(parts)
	slices.Sort(inserts)
	assert.Equal(t, parts, inserts, c.File)
	for _, n := range c.Numbers {
		assert.True(t, slices.ContainsFunc(numbers, func(l string) bool {
			return l == ascii(n.Name) || strings.HasPrefix(l, ascii(n.Name)+",")
		}), "%s: wire %s", c.File, n.Name)
	}
}

// contents gives the placed blocks by their attributes, and the texts on the layer of wire numbers.
func contents(pairs [][2]string) (inserts, numbers []string) {
	entity, layer, value := "", "", ""
	var tags map[string]string
	for _, p := range pairs {
		switch p[0] {
		case "0":
			if p[1] == "SEQEND" {
				inserts = append(inserts, strings.Join([]string{tags["NAME"], tags["LEFT"], tags["RIGHT"], tags["RUNG"]}, " "))
			}
			if p[1] == "INSERT" {
				tags = make(map[string]string)
			}
			entity = p[1]
		case "8":
			layer = p[1]
		case "1":
			value = p[1]
			if entity == "TEXT" && layer == "WIRE_NUMBERS" {
				numbers = append(numbers, strings.TrimPrefix(value, "%%u"))
			}
		case "2":
			if entity == "ATTRIB" {
				tags[p[1]] = value
			}
		}
	}
	return inserts, numbers
}

func ascii(text string) string { return new(dxf).words(text) }
