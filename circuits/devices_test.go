package circuits

import (
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mayFill says of each field of a row which kinds must fill it, and which may. The others
// leave it empty. A field that is not named here is a hole in every row.
var mayFill = map[string]struct{ must, may []Kind }{
	"Name":      {must: everyKind},
	"Also":      {may: everyKind},
	"Kind":      {must: everyKind},
	"Word":      {may: everyKind},
	"Place":     {must: everyKind},
	"Numbered":  {may: []Kind{LoadKind}},
	"Terminals": {must: []Kind{SourceKind, GroundKind, LinkKind, RelayKind, LoadKind, PassiveKind}, may: []Kind{OperatorKind}},
	"Primary":   {may: []Kind{SourceKind, PassiveKind}},
	"Positions": {must: []Kind{RelayKind}, may: []Kind{OperatorKind}}, // or its key is needed
	"Contacts":  {may: []Kind{OperatorKind}},
	"Keys": {must: []Kind{SourceKind, LinkKind, OperatorKind, RelayKind, LoadKind, ConnectorKind,
		BlockKind, PassiveKind}},
	"Needs":    {must: []Kind{ConnectorKind, BlockKind}, may: []Kind{SourceKind, OperatorKind, RelayKind, LoadKind, PassiveKind}},
	"Moved":    {must: []Kind{OperatorKind, RelayKind}, may: []Kind{LoadKind}},
	"Delays":   {may: []Kind{RelayKind}},
	"Times":    {may: []Kind{RelayKind}},
	"Armature": {may: []Kind{RelayKind}},
	"Coils":    {may: []Kind{RelayKind, LoadKind}},
	"Phases":   {may: []Kind{SourceKind, RelayKind, LoadKind}},
	"Poles":    {may: []Kind{LinkKind, OperatorKind}},
	"InPole":   {may: []Kind{OperatorKind, PassiveKind}},
	"Supply":   {may: []Kind{SourceKind, OperatorKind}},
	"Loads":    {must: []Kind{RelayKind, LoadKind, PassiveKind}, may: []Kind{OperatorKind}},
	"Moves":    {may: []Kind{RelayKind, LoadKind}},
	"Mains":    {may: []Kind{RelayKind}},
	"Hands":    {must: []Kind{OperatorKind}},
	"SwitchOn": {must: []Kind{SourceKind, LinkKind}},
	"Looks":    {must: []Kind{RelayKind, LoadKind}, may: []Kind{OperatorKind}},
	"Faults": {must: []Kind{LinkKind, OperatorKind, RelayKind, ConnectorKind, BlockKind},
		may: []Kind{SourceKind, LoadKind}},
	"DC":         {may: []Kind{SourceKind}},
	"Symbols":    {must: everyKind},
	"Letters":    {must: everyKind},
	"Momentary":  {may: []Kind{OperatorKind}},
	"Makes":      {may: []Kind{OperatorKind}},
	"Electronic": {may: []Kind{OperatorKind, RelayKind}},
	"Leakage":    {may: []Kind{RelayKind}},
	"TwoWire":    {may: []Kind{OperatorKind}},
	"LifeSafety": {may: []Kind{OperatorKind, RelayKind}},
	"Charged":    {may: []Kind{RelayKind, PassiveKind}},
}

var everyKind = []Kind{SourceKind, GroundKind, LinkKind, OperatorKind, RelayKind, LoadKind,
	ConnectorKind, BlockKind, PassiveKind}

// A row with a hole is refused, and one with something that its kind has no use for.
func TestRowsAreWhole(t *testing.T) {
	for _, row := range Types {
		v := reflect.ValueOf(row).Elem()
		for i := range v.NumField() {
			name := v.Type().Field(i).Name
			rule, known := mayFill[name]
			require.True(t, known, "the test does not know the field %s", name)
			switch {
			case slices.Contains(rule.must, row.Kind):
				assert.False(t, v.Field(i).IsZero(), "%s has no %s", row.Name, name)
			case !slices.Contains(rule.may, row.Kind):
				assert.True(t, v.Field(i).IsZero(), "%s has %s, which its kind does not use", row.Name, name)
			}
		}
		assert.Equal(t, row.Poles && row.Kind == OperatorKind || row.Kind == PassiveKind && row.Primary != nil, row.InPole != Symbols{}, row.Name)
		assert.Equal(t, row.Kind == OperatorKind && row.Loads != nil || row.DC, row.Supply != Symbols{}, row.Name)
		for _, part := range []any{row.Symbols, row.Hands, row.InPole, row.Supply} {
			if v := reflect.ValueOf(part); !v.IsZero() {
				for i := range v.NumField() {
					assert.False(t, v.Field(i).IsZero(), "%s has no %s", row.Name, v.Type().Field(i).Name)
				}
			}
		}
		for _, l := range row.Letters {
			assert.NotEmpty(t, l.Letters, row.Name)
			assert.NotEmpty(t, l.Source, row.Name)
			assert.Positive(t, l.Rank, row.Name)
		}
	}
}

// The table of types must be whole: each type has what its kind needs.
func TestTypes(t *testing.T) {
	names := make(map[string]string)
	for _, row := range Types {
		for _, name := range append([]string{row.Name}, row.Also...) {
			assert.Empty(t, names[fold(name)], "%s is a name of %s too", name, row.Name)
			names[fold(name)] = row.Name
		}
		assert.Same(t, row, TypeNamed(row.Name))
		for _, key := range row.Keys {
			assert.NotContains(t, EveryKeys, key)
		}
		assert.Subset(t, row.Keys, row.Needs, row.Name)
		for _, c := range row.Contacts {
			assert.Len(t, c.Closed, len(row.Positions), row.Name)
		}
		switch row.Kind {
		case SourceKind, LinkKind:
			assert.Len(t, row.Terminals, map[bool]int{false: 2, true: 4}[row.Phases], row.Name)
			assert.Equal(t, row.Kind == SourceKind && !row.DC, slices.Contains(row.Needs, "volts"), "%s: its volts, or what makes them", row.Name)
			assert.Equal(t, row.DC, row.Faults.DiodeOpens != Said{} && row.Faults.DiodeShorts != Said{} && row.Faults.Dead != Said{}, row.Name)
		case RelayKind:
			assert.Len(t, row.Positions, 2, row.Name)
			assert.True(t, row.Delays || row.Electronic || row.Faults.Stuck != Jams{}, "%s neither sticks nor times", row.Name)
			checkLoads(t, row)
			for i, c := range row.Coils {
				for _, text := range []string{c.Key, c.Name, c.Symbols.NEMA, c.Symbols.IEC, c.Symbols.Text} {
					assert.NotEmpty(t, text, row.Name)
				}
				assert.Len(t, c.Terminals, 2, row.Name)
				assert.Equal(t, i == 0, slices.Equal(c.Terminals, row.Terminals), row.Name)
				assert.Contains(t, row.Keys, c.Key, row.Name)
			}
			assert.Equal(t, row.Delays, row.Faults.Never != Said{} && row.Faults.AtOnce != Said{}, row.Name)
			several := slices.Contains([]Armature{Latches, Triggered, Guards, Drives, Zones}, row.Armature)
			assert.Equal(t, several, row.Coils != nil, "%s: what sets it and what resets it", row.Name)
		case LoadKind:
			checkLoads(t, row)
		case OperatorKind:
			assert.Contains(t, row.Keys, "contacts", row.Name)
			assert.True(t, row.Positions != nil || slices.Contains(row.Needs, "positions"), row.Name)
			assert.Equal(t, row.Moved == ByMachine, row.Makes > 0, "%s: the minutes to bring it about", row.Name)
			assert.True(t, row.Contacts != nil || slices.Contains(row.Needs, "contacts"), row.Name)
			assert.Equal(t, row.Loads != nil, row.Terminals != nil && row.Looks != nil, "%s: what feeds it, and what shows that", row.Name)
			if row.Loads != nil {
				checkLoads(t, row)
			}
		case PassiveKind:
			assert.Len(t, row.Loads, 1, row.Name)
			for _, text := range []string{row.Loads[0].Source, string(row.Loads[0].Open), string(row.Loads[0].Shorted)} {
				assert.NotEmpty(t, text, row.Name)
			}
			assert.Equal(t, row.Loads[0].Curve == ResistiveCurve, slices.Contains(row.Needs, "ohms"), row.Name)
		case GroundKind, ConnectorKind, BlockKind:
		}
		if row.Kind == OperatorKind || row.Kind == RelayKind {
			f := row.Faults
			for _, key := range []FaultKey{f.ContactOpen, f.NCContactOpen, f.ContactClosed} {
				assert.NotEmpty(t, key, row.Name)
			}
		}
	}
	assert.Nil(t, TypeNamed("nothing"))
}

// checkLoads holds the rows of what a type is to the circuit against what a row must say:
// real parts lie at least half and twice around the default, and electronic ones wider.
func checkLoads(t *testing.T, row *Type) {
	assert.Len(t, row.Terminals, map[bool]int{false: 2, true: len(row.Terminals) / 3 * 3}[row.Phases], row.Name)
	for i, look := range row.Looks {
		for _, word := range []string{look.Question, look.On, look.Off} {
			assert.NotEmpty(t, word, row.Name)
		}
		assert.NotEqual(t, look.On, look.Off, row.Name)
		assert.True(t, look.Pulls() || look.Dark < look.From && look.From <= look.Sure, row.Name)
		assert.Equal(t, i == 0, look.At == "", "%s: only the first look is at the device", row.Name)
		assert.Equal(t, i == 0, look.Follows == TheDevice || look.Follows == TheTorque, row.Name)
		assert.Equal(t, i, row.LookAt(look.At), "%s: two looks at %q", row.Name, look.At)
	}
	assert.Equal(t, slices.Contains(row.Keys, "kind"), row.Loads[0].Kind != "", row.Name)
	for _, l := range row.Loads {
		assert.Positive(t, l.Curve, row.Name)
		assert.Positive(t, l.VA, row.Name)
		assert.Equal(t, l.Dark(), l.Ohms == 0, "%s: ohms", row.Name)
		for _, text := range []string{l.Source, l.SpanSource, string(l.Open), string(l.Shorted)} {
			assert.NotEmpty(t, text, row.Name)
		}
		most := 0.5
		if l.Dark() {
			most = 0.25
		}
		assert.LessOrEqual(t, l.Low, most, row.Name)
		assert.Positive(t, l.Low, row.Name)
		assert.GreaterOrEqual(t, l.High, 1/most, row.Name)
	}
}
