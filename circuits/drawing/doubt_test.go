package drawing_test

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
)

// What is in doubt has its mark: a part at its name and a frame, a wire at the terminals of its
// ends; nothing else has one.
func TestDoubts(t *testing.T) {
	text, ok := circuits.BuiltinText("cold-store-alarm")
	require.True(t, ok)
	c, problems := read.Read("cold-store-alarm", text)
	require.NoError(t, problems.Err())
	d := drawing.New(c)
	o := drawing.Options{Columns: 100, ASCII: true, Doubts: []drawing.Doubt{
		{At: []circuits.Terminal{"TR1:A1", "TR1:A2"}}, // a coil
		{At: []circuits.Terminal{"CR1:21", "CR1:22"}}, // a contact
		{At: []circuits.Terminal{"TS1:14", "PB1:13"}, Wire: true},
	}}
	ladder := d.Text(o)
	assert.Equal(t, 4, strings.Count(ladder, "?"), ladder)
	for _, want := range []string{"CR1?", "14?", "13?"} {
		assert.Contains(t, ladder, want)
	}
	assert.NotContains(t, d.Text(drawing.Options{Columns: 100, ASCII: true}), "?")
	assert.Contains(t, strings.Join(d.Legend(o), " "), "? still in doubt")
	assert.NotContains(t, strings.Join(d.Legend(drawing.Options{}), " "), "doubt")

	for _, symbols := range []drawing.Symbols{drawing.NEMA, drawing.IEC} {
		o.Symbols = symbols
		svg := string(d.SVG(o))
		assert.Equal(t, 2, strings.Count(svg, `class="doubt"`))
		for _, want := range []string{">TR1?<", ">CR1?<", ">14?<", ">13?<", "3 things still in doubt"} {
			assert.Contains(t, svg, want)
		}
		r := xml.NewDecoder(strings.NewReader(svg))
		for {
			if _, err := r.Token(); err == io.EOF {
				break
			} else {
				require.NoError(t, err)
			}
		}
		assert.NotContains(t, string(d.SVG(drawing.Options{Symbols: symbols})), "doubt")
	}
}
