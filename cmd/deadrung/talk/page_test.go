package talk

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
)

func TestWrapped(t *testing.T) {
	const text = "Leave the circuit as it stands: step 3, \"door left open\"."
	for columns := LeastColumns; columns <= 100; columns++ {
		got := Wrapped("  Circuit    ", "             ", text, columns)
		for line := range strings.Lines(got) {
			assert.Less(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), columns,
				"the last column stays free")
		}
		assert.Equal(t, text, strings.TrimPrefix(strings.Join(strings.Fields(got), " "), "Circuit "))
	}
}

func TestWrappedObeysNoControl(t *testing.T) {
	assert.Equal(t, "a [2Jb c\n", Wrapped("", "", "a \x1b[2Jb\n\x07 c", 80))
	assert.Equal(t, "\n", Wrapped("", "", "", 80))
	assert.Equal(t, "> \n"[:1]+"\n", Wrapped("> ", "  ", "", 80))
	long := strings.Repeat("x", 200)
	assert.Equal(t, "a\n"+long+"\nb\n", Wrapped("", "", "a "+long+" b", 40), "a long word stands alone")
}

// The cautions read well at any width, and no word of them is lost.
func TestNotice(t *testing.T) {
	for _, n := range []Notice{Caution, LockOut(BeforeCheck), BackToPower(BeforeCheck),
		BackToPowerOnPaper("where a check says so"), BackToPowerAtOnce()} {
		for _, columns := range []int{40, 60, 80, 120} {
			p, b := inMemory(columns)
			p.Notice(n)
			assert.Equal(t, n.Line(), strings.Join(strings.Fields(b.String()), " "))
			for _, part := range append(n.Points, n.Text) {
				assert.Contains(t, n.Line(), part)
			}
			for line := range strings.Lines(b.String()) {
				assert.LessOrEqual(t, len(line), columns)
			}
		}
	}
	p, b := inMemory(60)
	p.Notice(LockOut(BeforeCheck))
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
	p.Point(Point{Label: "Circuit", Text: "Start from rest: control power off, PB1 released."})
	p.Point(Point{Mark: "1. ", Text: "door shut, cold: LS1 to operated."})
	p.Point(Point{Label: "Red lead", Text: "CR1:22"})
	assert.Equal(t, `  Circuit    Start from rest: control
             power off, PB1 released.
             1. door shut, cold: LS1 to
                operated.
  Red lead   CR1:22
`, b.String())
}
