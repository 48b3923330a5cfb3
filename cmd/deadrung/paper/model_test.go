package paper

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper/sheet/browser"
	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// update renews the golden files.
var update = flag.Bool("update", false, "write the golden files anew")

// golden compares a text with a file in testdata, or renews the file.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got, "go test -update renews %s", path)
}

// builtinModel is the model of a built-in circuit, made once.
func builtinModel(t testing.TB, name string) *diagnose.Model {
	t.Helper()
	if m := builtinModels[name]; m != nil {
		return m
	}
	text, ok := circuits.BuiltinText(name)
	require.True(t, ok)
	c, problems := read.Read(name, text)
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	builtinModels[name] = m
	return m
}

var builtinModels = make(map[string]*diagnose.Model)

// opened waits until an expression about where the page is ends as wanted.
func opened(t *testing.T, w *browser.Browser, expression, want string) {
	t.Helper()
	const patience, between = 30 * time.Second, 20 * time.Millisecond
	at := ""
	for waited := time.Duration(0); waited < patience; waited += between {
		w.Evaluate("document.readyState == 'complete' ? "+expression+" : ''", &at)
		if strings.HasSuffix(at, want) {
			return
		}
		time.Sleep(between)
	}
	require.FailNow(t, "the page does not come", "%s is %q, not %q", expression, at, want)
}
