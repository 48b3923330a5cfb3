//go:build !unix

package main

// ignoreSignals has nothing to do here.
func ignoreSignals() {}
