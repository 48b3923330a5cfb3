//go:build unix

package main

import (
	"os/signal"
	"syscall"
)

// ignoreSignals ignores the signals that would end the program with a trace in place of an
// error: a file that may not grow any more is told as a full disk is.
func ignoreSignals() { signal.Ignore(syscall.SIGXFSZ) }
