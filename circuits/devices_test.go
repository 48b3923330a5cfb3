package circuits

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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
			assert.Len(t, row.Terminals, 2, row.Name)
		case RelayKind:
			assert.Equal(t, ofACoil, row.Positions, row.Name)
			fallthrough
		case LoadKind:
			assert.Len(t, row.Terminals, 2, row.Name)
			assert.Positive(t, row.Running, row.Name)
			assert.Positive(t, row.Ohms, row.Name)
		case OperatorKind:
			assert.Contains(t, row.Keys, "contacts", row.Name)
		default:
			require.Contains(t, []Kind{GroundKind, ConnectorKind, BlockKind}, row.Kind, row.Name)
		}
	}
	assert.Nil(t, TypeNamed("nothing"))
}
