// Deadrung helps people who wire, prove, repair and teach relay control circuits.
package main

import (
	"os"
	"runtime/debug"
)

func main() {
	// A run is short and builds one large table: collect seldom.
	debug.SetGCPercent(400)
	os.Exit(run(os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr}))
}
