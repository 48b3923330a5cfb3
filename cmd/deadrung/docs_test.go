package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/faultmodel"
)

// The page of faults has every kind, each where it is listed.
func TestFaultsPageHasEveryKind(t *testing.T) {
	page, err := os.ReadFile("../../docs/faults.md")
	require.NoError(t, err)
	parts := strings.Split(string(page), "\n## ")
	require.Len(t, parts, 4)
	for _, kind := range faultmodel.Kinds {
		part := 1
		switch {
		case slices.Contains(faultmodel.WearKinds, kind):
			part = 2
		case kind == "miswired", kind == "exchanged":
			part = 3
		}
		found := strings.Contains(parts[part], "{\""+kind+"\":") || strings.Contains(parts[part], ",\""+kind+"\":")
		assert.True(t, found, "%s is not where it is listed", kind)
	}
}

// The whole example of the page on the circuit file verifies, and wire gives what the
// page shows.
func TestDocsExample(t *testing.T) {
	page, err := os.ReadFile("../../docs/circuit-file.md")
	require.NoError(t, err)
	var blocks []string
	for _, rest := range strings.Split(string(page), "```yaml\n")[1:] {
		block, _, ended := strings.Cut(rest, "```")
		require.True(t, ended)
		blocks = append(blocks, block)
	}
	require.Len(t, blocks, 3)
	file := filepath.Join(t.TempDir(), "example.yaml")
	require.NoError(t, os.WriteFile(file, []byte(blocks[0]), 0o644))
	var out, errs bytes.Buffer
	s := streams{in: strings.NewReader(""), out: &out, err: &errs}
	require.Zero(t, run([]string{"verify", file}, s), errs.String())
	assert.Empty(t, errs.String())
	out.Reset()
	require.Zero(t, run([]string{"wire", file}, s), errs.String())
	assert.Contains(t, out.String(), blocks[1])
	before, _, _ := strings.Cut(blocks[0], "rungs:")
	before = strings.Replace(before,
		"through: {field: TB1, yard: [TB1, X1]}   # how wires get there, from the panel out\n", "", 1)
	assert.True(t, strings.HasPrefix(out.String(), before), "the rest of the file stays")
}
