// Deadrung helps people who wire, prove, repair and teach relay control circuits.
package main

import (
	"os"
	"runtime/debug"
)

// muchMemory is the memory above which collecting is worth its time, in bytes: a panel of a
// thousand rungs fits into it.
const muchMemory = 1500 << 20

func main() {
	ignoreSignals()
	// A run is short and builds one large table: collect seldom, until that takes much memory.
	debug.SetGCPercent(400)
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(muchMemory)
	}
	os.Exit(run(os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr}))
}
