package exam

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

// chained is a log of so many lines.
func chained(n int) (text []byte, receipt string) {
	c := NewChain([]byte("key"), "e/1/1")
	for i := range n {
		text = append(text, c.Add(fmt.Appendf(nil, "{\"look\":\"H1\",\"step\":\"a\",\"saw\":\"off\",\"note\":\"%d\"}\n", i))...)
	}
	return text, c.Receipt()
}

func follow(text []byte) (int, string) {
	c := NewChain([]byte("key"), "e/1/1")
	return c.Follow(text).Broken, c.Receipt()
}

// Every single change of a byte is found, at its line or at the next; and lines taken
// out, put in, moved or doubled.
func TestChainShowsChanges(t *testing.T) {
	text, receipt := chained(5)
	broken, again := follow(text)
	assert.Zero(t, broken)
	assert.Equal(t, receipt, again)
	for i := range len(text) - 1 { // its last line end is no part of the last line
		changed := bytes.Clone(text)
		changed[i] ^= 1
		line := bytes.Count(text[:i], []byte("\n")) + 1
		broken, _ := follow(changed)
		assert.GreaterOrEqual(t, broken, line, "byte %d", i)
		assert.LessOrEqual(t, broken, line+1, "byte %d", i)
		assert.NotZero(t, broken, "byte %d", i)
	}
	lines := bytes.SplitAfter(text, []byte("\n"))
	join := func(order ...int) []byte {
		var out []byte
		for _, i := range order {
			out = append(out, lines[i]...)
		}
		return out
	}
	for want, order := range map[int][]int{1: {1, 2, 3, 4}, 2: {0, 2, 3, 4}, 3: {0, 1, 1, 2, 3, 4}, 4: {0, 1, 2, 4, 3}} {
		broken, _ := follow(join(order...))
		assert.Equal(t, want, broken, "%v", order)
	}
	// Lines taken off the end leave the chain whole: the receipt shows that.
	broken, short := follow(join(0, 1, 2))
	assert.Zero(t, broken)
	assert.NotEqual(t, receipt, short)
	// Line ends of another system and a byte order mark are no change.
	broken, again = follow(append([]byte("\uFEFF"), bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n"))...))
	assert.Zero(t, broken)
	assert.Equal(t, receipt, again)
	// Another candidate's key does not make the same chain.
	assert.Equal(t, 1, NewChain([]byte("other"), "e/1/1").Follow(text).Broken)
	assert.Equal(t, 1, NewChain([]byte("key"), "e/2/1").Follow(text).Broken)
}

// A last line that was cut short is told and breaks nothing, and the chain goes on before it.
func TestChainGoesOn(t *testing.T) {
	text, _ := chained(3)
	at := bytes.LastIndex(text[:len(text)-1], []byte("\n")) + 1
	for cut := at + 1; cut < len(text)-1; cut++ {
		f := NewChain([]byte("key"), "e/1/1").Follow(text[:cut])
		assert.Equal(t, Followed{Torn: 3, Linked: at}, f, "cut at %d", cut-at)
	}
	// With all but its line end it is whole.
	f := NewChain([]byte("key"), "e/1/1").Follow(text[:len(text)-1])
	assert.Equal(t, Followed{Linked: len(text) - 1}, f)
	c := NewChain([]byte("key"), "e/1/1")
	c.Follow(text[:at])
	whole := append(bytes.Clone(text[:at]), c.Add([]byte("{\"undo\":true}\n"))...)
	broken, _ := follow(whole)
	assert.Zero(t, broken)
}

// Whatever is added by hand breaks the chain, with or without a line end, with no link or
// with one that stands on another line; and nothing of it is linked.
func TestChainShowsAdditions(t *testing.T) {
	text, _ := chained(3)
	line := `{"act":"state","fault":"open-H1"}`
	_, link, _ := cutLast(text, []byte(`,"chain":"`))
	for _, added := range []string{
		line, line + "\n", line + "\r\n", "\n" + line, "  " + line, line + "\n" + line,
		line[:len(line)-1] + `,"chain":""}`, line[:len(line)-1] + `,"chain":"00"}`,
		line[:len(line)-1] + `,"chain":"` + string(bytes.TrimSpace(link)), `{"chain":"x"}`, "null", "nonsense\n",
	} {
		f := NewChain([]byte("key"), "e/1/1").Follow(append(bytes.Clone(text), added...))
		assert.NotZero(t, f.Broken, "%q", added)
		assert.GreaterOrEqual(t, f.Linked, len(text), "%q", added)
		assert.Empty(t, bytes.TrimSpace(append(bytes.Clone(text), added...)[len(text):f.Linked]), "%q", added)
	}
}
