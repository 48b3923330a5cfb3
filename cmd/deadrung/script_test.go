package main

import (
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// update renews the golden files, of the scripts as well.
var update = flag.Bool("update", false, "write the golden files anew")

// programs are what a test or a script may run beside the program itself.
var programs = map[string]func(){"deadrung": main, "robot": robotMain}

func TestMain(m *testing.M) {
	if os.Getenv("XDG_STATE_HOME") == "" { // nothing is written to a home
		os.Setenv("XDG_STATE_HOME", filepath.Join(os.TempDir(), "deadrung-test-state"))
	}
	testscript.Main(m, programs)
}

// Scripts run what a person types on the real program.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *update,
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_STATE_HOME", filepath.Join(e.WorkDir, ".state"))
			// The engine of a page is built with what is built already.
			if cache, err := exec.Command("go", "env", "GOCACHE", "GOMODCACHE").Output(); err == nil {
				paths := strings.Fields(string(cache))
				e.Setenv("GOCACHE", paths[0])
				e.Setenv("GOMODCACHE", paths[1])
			}
			return nil
		},
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
	})
}

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
