// Package paper lays results out whole, to print, to hang in the panel door or to open on a
// phone: the fault-finding chart in its forms, the sheets of a field folder, the wire list,
// the check-out, the sheets and cards of an exam, the pictures of a practice.
//
// What is laid out was worked out below; the sentences are those of package talk, so that a
// sheet and a session say the same. Package sheet is the frame of every HTML page.
package paper
