package page

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
)

// ErrNoCheckout is the error where a program carries no engine and no checkout is there to
// build one from.
var ErrNoCheckout = errors.New("this program carries no engine for a browser, and none can be built here: " +
	"run it with the Go tool, from a checkout of the project, or take a released one")

// Build gives the engine: the one that the program carries, else one that the Go tool builds
// from the checkout that the program is from.
func Build(ctx context.Context) (Engine, error) {
	if e, ok := carried(); ok {
		return e, nil
	}
	_, here, _, _ := runtime.Caller(0)
	folder := filepath.Dir(here)
	if _, err := os.Stat(here); err != nil {
		return Engine{}, ErrNoCheckout
	}
	goroot, err := exec.CommandContext(ctx, "go", "env", "GOROOT").Output()
	if err != nil {
		return Engine{}, ErrNoCheckout
	}
	dir, err := os.MkdirTemp("", "engine")
	if err != nil {
		return Engine{}, err
	}
	defer os.RemoveAll(dir)
	out := filepath.Join(dir, "engine.wasm")
	args := []string{"build", "-trimpath", "-ldflags", "-s -w", "-o", out}
	for _, p := range seldom {
		args = append(args, "-gcflags="+p+"=-l")
	}
	build := exec.CommandContext(ctx, "go", append(args, "./wasm")...)
	build.Dir = folder
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if said, err := build.CombinedOutput(); err != nil {
		return Engine{}, fmt.Errorf("cannot build the engine: %w\n%s", err, said)
	}
	wasm, err := os.ReadFile(out)
	if err != nil {
		return Engine{}, err
	}
	loader, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return Engine{}, fmt.Errorf("the Go release has no loader for WebAssembly: %w", err)
	}
	small, err := squeezed(wasm)
	return Engine{Wasm: small, Loader: loader}, err
}

// seldom are the packages that no turn spends its time in. They are compiled without functions
// written out where they are called, which makes the engine a tenth smaller.
var seldom = []string{"deadrung/cmd/...", "deadrung/circuits", "deadrung/circuits/read", "deadrung/circuits/drawing",
	"deadrung/circuits/sketch", "deadrung/circuits/wiring", "deadrung/circuits/plan", "deadrung/diagnose/guide",
	"deadrung/diagnose/training", "deadrung/diagnose/measure", "gopkg.in/yaml.v3", "regexp", "regexp/syntax",
	"encoding/json", "fmt", "time"}
