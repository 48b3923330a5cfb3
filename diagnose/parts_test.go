package diagnose

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// partFiles are circuits of parts that no built-in circuit has.
func partFiles(t testing.TB) map[string][]byte {
	t.Helper()
	names, err := filepath.Glob("testdata/parts/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	files := make(map[string][]byte)
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		files[name] = text
	}
	return files
}

// Every fault of a rectifier, of a motor of two speeds and of all around them ends in its group, and
// no verdict is wrong where parts are otherwise than the table has them.
func TestOtherPartsEndRight(t *testing.T) {
	for file, text := range partFiles(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			t.Parallel()
			m := fromText(t, file, string(text))
			most := 0
			for f := range m.faults {
				s := truthful(t, m, f, By(f%2))
				endsInGroup(t, m, f, s)
				most = max(most, s.checks)
			}
			t.Logf("%d faults, %d checks at the most", len(m.faults), most)
		})
		t.Run(filepath.Base(file)+"/other parts", func(t *testing.T) {
			t.Parallel()
			// Wires of the feed that touch those of the control circuit put one supply on another; they
			// are many where contactors have both, and few of them are ever decided.
			verdictsHoldBut(t, file, text, 0.12)
		})
	}
}
