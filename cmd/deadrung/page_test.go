package main

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
)

// inMemory is a page of a width in memory.
func inMemory(columns int) (*page, *bytes.Buffer) {
	var b bytes.Buffer
	return sized(newPage(&b), columns), &b
}

func TestWrapped(t *testing.T) {
	const text = "Leave the circuit as it stands: step 3, \"door left open\"."
	for columns := leastColumns; columns <= 100; columns++ {
		got := wrapped("  Circuit    ", "             ", text, columns)
		for line := range strings.Lines(got) {
			assert.Less(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), columns, "the last column stays free")
		}
		assert.Equal(t, text, strings.TrimPrefix(strings.Join(strings.Fields(got), " "), "Circuit "))
	}
}

func TestWrappedObeysNoControl(t *testing.T) {
	assert.Equal(t, "a [2Jb c\n", wrapped("", "", "a \x1b[2Jb\n\x07 c", 80))
	assert.Equal(t, "\n", wrapped("", "", "", 80))
	assert.Equal(t, "> \n"[:1]+"\n", wrapped("> ", "  ", "", 80))
	long := strings.Repeat("x", 200)
	assert.Equal(t, "a\n"+long+"\nb\n", wrapped("", "", "a "+long+" b", 40), "a long word stands alone")
}

// The cautions read well at any width, and no word of them is lost.
func TestNotice(t *testing.T) {
	for _, text := range []string{caution, lockOut, backToPower} {
		for _, columns := range []int{40, 60, 80, 120} {
			p, b := inMemory(columns)
			p.notice(text)
			assert.Equal(t, strings.Fields(text), strings.Fields(b.String()))
			for line := range strings.Lines(b.String()) {
				assert.LessOrEqual(t, len(line), columns)
			}
		}
	}
	p, b := inMemory(60)
	p.notice(lockOut)
	assert.Equal(t, `LOCK OUT before this check:
  1. Switch off, lock and tag every source of the circuit.
     Push buttons and interlocks are no isolation.
  2. Try the start button: nothing may move.
  3. Test the meter on a known live source.
  4. Test the circuit dead, phase to phase and each to
     ground.
  5. Test the meter again on the live source.

`, b.String())
}

func TestPoint(t *testing.T) {
	p, b := inMemory(40)
	p.point(point{"Circuit", "Start from rest: control power off, PB1 released."})
	p.point(point{"", "1. door shut, cold: LS1 to operated."})
	p.point(point{"Red lead", "CR1:22"})
	assert.Equal(t, `  Circuit    Start from rest: control
             power off, PB1 released.
             1. door shut, cold: LS1 to
                operated.
  Red lead   CR1:22
`, b.String())
}
