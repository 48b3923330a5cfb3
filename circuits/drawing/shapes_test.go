package drawing

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/circuits"
)

// Every shape that a row of the device table names is drawn by its standard, and every shape
// that is drawn is named by a row or is of a part that any device may have.
func TestShapesOfTypes(t *testing.T) {
	used := make(map[string]bool)
	for _, name := range []string{"contact", "timed-contact", "fault-contact", "dc-supply", "primary", "bridge", "reference"} {
		used[name] = true
		assert.NotNil(t, named(name, NEMA), name)
	}
	for _, row := range circuits.Types {
		assert.NotNil(t, named(row.Symbols.NEMA, NEMA), row.Name)
		assert.NotNil(t, named(row.Symbols.IEC, IEC), row.Name)
		used[row.Symbols.NEMA], used[row.Symbols.IEC] = true, true
		for _, c := range row.Coils {
			assert.NotNil(t, named(c.Symbols.NEMA, NEMA), row.Name)
			assert.NotNil(t, named(c.Symbols.IEC, IEC), row.Name)
			assert.Regexp(t, `^\S+ \S$`, c.Symbols.Text, row.Name)
			used[c.Symbols.NEMA], used[c.Symbols.IEC] = true, true
		}
	}
	for _, row := range circuits.Types {
		if row.InPole != (circuits.Symbols{}) {
			assert.NotNil(t, named(row.InPole.NEMA, NEMA), row.Name)
			assert.NotNil(t, named(row.InPole.IEC, IEC), row.Name)
			used[row.InPole.NEMA], used[row.InPole.IEC] = true, true
		}
	}
	for _, row := range circuits.Types {
		if row.Kind == circuits.OperatorKind && row.Loads != nil || row.DC {
			assert.NotNil(t, named(row.Supply.NEMA, NEMA), row.Name)
			assert.NotNil(t, named(row.Supply.IEC, IEC), row.Name)
			assert.Regexp(t, `^\S+ \S$`, row.Supply.Text, row.Name)
			used[row.Supply.NEMA], used[row.Supply.IEC] = true, true
		}
	}
	for _, table := range []map[string]*symbol{nemaSymbols, iecSymbols} {
		for name, s := range table {
			assert.True(t, used[name], "nothing is drawn as %s", name)
			assert.NotEmpty(t, s.source, name)
			assert.NotNil(t, s.draw, name)
		}
	}
}

// A text drawing has room in a load for its name, and in a contact for how it stands.
func TestTextFormsOfTypes(t *testing.T) {
	for _, row := range circuits.Types {
		switch row.Kind {
		case circuits.OperatorKind:
			assert.Contains(t, []string{round, "] ["}, row.Symbols.Text, row.Name)
		case circuits.SourceKind, circuits.RelayKind, circuits.LoadKind:
			assert.Regexp(t, `^\S+ \S$`, row.Symbols.Text, row.Name)
		case circuits.GroundKind, circuits.LinkKind, circuits.ConnectorKind, circuits.BlockKind:
			assert.NotContains(t, row.Symbols.Text, " ", row.Name)
		}
	}
}

// A symbol stays within the reach that its row gives above and below the conductor.
func TestSymbolsStayWithinTheirReach(t *testing.T) {
	const line = 0.7 // half of a line's width
	for _, table := range []map[string]*symbol{nemaSymbols, iecSymbols} {
		for name, s := range table {
			for _, l := range []look{{}, {closed: true}, {nc: true}, {nc: true, closed: true}, {off: true}, {emergency: true, stays: true}} {
				p := &pen{}
				s.draw(p, l)
				for _, k := range p.strokes {
					for _, at := range k.flat() {
						assert.GreaterOrEqual(t, at.Y, -s.up-line, "%s, %+v", name, l)
						assert.LessOrEqual(t, at.Y, s.down+line, "%s, %+v", name, l)
					}
				}
			}
		}
	}
}
