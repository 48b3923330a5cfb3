//go:build linux

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func init() { programs["limited"] = limited }

// limited is the program with files that may not grow beyond some bytes, as on a full disk:
//
//	limited BYTES ARGS...
func limited() {
	most, err := strconv.ParseUint(os.Args[1], 10, 64)
	if err == nil {
		err = syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: most, Max: most})
	}
	if err != nil {
		os.Exit(99)
	}
	os.Args = append(os.Args[:1], os.Args[2:]...)
	main()
}

// program is a call of the program itself, or of another of the test's commands.
func program(t *testing.T, name string, args ...string) *exec.Cmd {
	t.Helper()
	path, err := exec.LookPath(name)
	require.NoError(t, err)
	return exec.Command(path, args...)
}

// A full disk leaves the file that was there, whole, and nothing beside it; the status says so.
func TestFullDiskLeavesWhatWasThere(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	t.Setenv("XDG_DATA_HOME", filepath.Join(dir, "data"))
	makeInputs(t)
	const old = "what was there before\n"
	tried := 0
	for name, ways := range readers {
		if strings.HasPrefix(name, "exam") || name == "practice" {
			continue // they write files of other kinds first; their own tests are beside them
		}
		for i, way := range ways {
			flag := "-o"
			if name == "find" && i == 0 {
				flag = "--report"
			}
			if strings.Contains(way.args, "--agreed") {
				continue // a log, see there
			}
			require.NoError(t, os.WriteFile("result", []byte(old), 0o644))
			args := append(append([]string{"9"}, strings.Fields(name)...),
				append(strings.Fields(way.args), flag, "result")...)
			c := program(t, "limited", args...)
			c.Stdin = strings.NewReader(way.typed)
			all, err := c.CombinedOutput()
			var ended *exec.ExitError
			require.ErrorAs(t, err, &ended, "%v", args)
			assert.Equal(t, exitFailed, ended.ExitCode(), "%v\n%s", args, all)
			assert.NotContains(t, string(all), "goroutine", "no trace")
			files := everyFile(t)
			assert.Equal(t, old, files["result"], "%v", args)
			for path := range files {
				assert.NotContains(t, path, ".tmp", "%v", args)
			}
			tried++
		}
	}
	t.Logf("%d full disks", tried)
}
