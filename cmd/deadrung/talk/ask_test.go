package talk

import (
	"bytes"
	"context"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var someChoices = []Choice{
	{Word: "why", Text: "why this check?"},
	{Word: "on", Also: []string{"yes", "lit"}, Text: "H1 is on (lit)"},
	{Word: "off", Also: []string{"no", "dark"}, Text: "H1 is off (dark)"},
	{Word: "other", Text: "another check"},
	{Also: []string{"door left open"}, Text: "door left open"},
}

func TestNumbered(t *testing.T) {
	for _, c := range []struct {
		typed string
		want  int
		says  string
	}{
		{typed: "1", want: 0},
		{typed: "5", want: 4},
		{typed: "ON", want: 1},
		{typed: "Dark", want: 2},
		{typed: "off", want: 2},
		{typed: "w", want: 0},
		{typed: "ot", want: 3},
		{typed: "door  LEFT open", want: 4},
		{typed: "0", says: "the numbers go from 1 to 5"},
		{typed: "6", says: "the numbers go from 1 to 5"},
		{typed: "-1", says: "the numbers go from 1 to 5"},
		{typed: "o", says: "not one of the answers"}, // on, off, other
		{typed: "othr", says: "perhaps other is meant"},
		{typed: "118 V", says: "type a number from 1 to 5 or a word (why, on, off, other), or ? for help"},
		{typed: strings.Repeat("x", 500), says: "..."},
	} {
		got, err := numbered(c.typed, someChoices)
		if c.says == "" {
			assert.NoError(t, err, c.typed)
			assert.Equal(t, c.want, got, c.typed)
			continue
		}
		require.Error(t, err, c.typed)
		assert.Contains(t, err.Error(), c.says)
		assert.Less(t, len(err.Error()), 250)
	}
}

// asking gives a line asker that is typed to, and what it shows.
func asking(typed string) (*Lines, *bytes.Buffer) {
	var shown bytes.Buffer
	return &Lines{
		Keys: NewKeyboard(context.Background(), strings.NewReader(typed)),
		Out:  NewPage(&shown), Echo: true,
	}, &shown
}

func TestLinesChoose(t *testing.T) {
	l, shown := asking("\nfoo\n?\n2\n")
	i, err := l.Choose(Question{Text: "H1: is it lit?", Choices: someChoices, Help: "Look and tell."})
	require.NoError(t, err)
	assert.Equal(t, 1, i)
	assert.Equal(t, `H1: is it lit?
  1  why    why this check?
  2  on     H1 is on (lit)
  3  off    H1 is off (dark)
  4  other  another check
  5         door left open
> 
  Type a number from 1 to 5 or a word (why, on, off, other), or ? for help.
> foo
  "foo" is not one of the answers; type a number from 1 to 5 or a word (why,
  on, off, other), or ? for help.
> ?
  Look and tell.
  1  why    why this check?
  2  on     H1 is on (lit)
  3  off    H1 is off (dark)
  4  other  another check
  5         door left open
> 2
`, shown.String())
}

// The list is not shown twice for one and the same question.
func TestLinesChooseAgain(t *testing.T) {
	l, shown := asking("why\non\n")
	q := Question{Text: "H1: is it lit?", Choices: someChoices}
	_, err := l.Choose(q)
	require.NoError(t, err)
	shown.Reset()
	_, err = l.Choose(q)
	require.NoError(t, err)
	assert.Equal(t, "H1: is it lit? A number or a word: why, on, off, other; ? lists them.\n> on\n",
		shown.String())
}

func TestLinesLine(t *testing.T) {
	q := Question{Text: "The reading in volts.", Choices: someChoices[:1], Help: "Read it."}
	l, _ := asking("118.9 V\r\n1\nWHY\n\n?\nlast")
	for _, want := range []struct {
		typed string
		taken int
	}{{"118.9 V", -1}, {"1", -1}, {"", 0}, {"last", -1}} { // a number is a reading, not a choice
		typed, taken, err := l.Line(q)
		require.NoError(t, err)
		assert.Equal(t, want.typed, typed)
		assert.Equal(t, want.taken, taken)
	}
	_, _, err := l.Line(q)
	assert.ErrorIs(t, err, io.EOF)
	_, err = l.Choose(q)
	assert.ErrorIs(t, err, io.EOF, "and stays so")
}

func TestKeyboard(t *testing.T) {
	t.Run("control characters and bytes that are no text are taken out", func(t *testing.T) {
		k := NewKeyboard(context.Background(), strings.NewReader("\x1b[31m1\x0018\xff V\t\n"))
		line, err := k.readLine()
		require.NoError(t, err)
		assert.Equal(t, "[31m118 V", line)
	})
	t.Run("a line without end is bounded", func(t *testing.T) {
		k := NewKeyboard(context.Background(), strings.NewReader(strings.Repeat("9", 100_000)+"\n7\n"))
		line, err := k.readLine()
		require.NoError(t, err)
		assert.Len(t, line, longestLine)
		line, err = k.readLine()
		require.NoError(t, err)
		assert.Equal(t, "7", line)
	})
	t.Run("every kind of line end, and Ctrl-C typed ahead", func(t *testing.T) {
		k := NewKeyboard(context.Background(), strings.NewReader("a\r\nb\rc\n\nd\x03e"))
		k.ObeysCtrlC = true
		for _, want := range []string{"a", "b", "c", ""} {
			line, err := k.readLine()
			require.NoError(t, err)
			assert.Equal(t, want, line)
		}
		_, err := k.readLine()
		assert.ErrorIs(t, err, ErrInterrupted)
	})
	t.Run("an interrupt ends a read that waits", func(t *testing.T) {
		in, typing := io.Pipe()
		defer typing.Close()
		ctx, interrupt := context.WithCancel(context.Background())
		k := NewKeyboard(ctx, in)
		go func() {
			typing.Write([]byte("11")) // no line end yet
			interrupt()
		}()
		_, err := k.readLine()
		assert.ErrorIs(t, err, ErrInterrupted)
	})
}

// The keys of a terminal that a menu is given, and those that end it.
func TestMenuKeys(t *testing.T) {
	for _, c := range []struct {
		typed string
		want  string
		err   error
	}{
		{"\x1b[A\x1b[B\x1bOA\x1bOB\r", "\x10\x0e\x10\x0e\r", nil},
		{"\x1b[5~\x1b[6~\x1b[D\x1b[C\r", "\x02\x06\x02\x06\r", nil},
		{"\x0e\x10\n", "\x0e\x10\r", nil},
		{"\x12\x13\x1a\x09\x07\x08jk 5\x1b[1;5H\r", "\r", nil}, // searches, suspends, rings: nothing of it
		{"\x1b\r", "\r", nil},
		{"\x0e\x03\x10", "\x0e\r", ErrInterrupted},
		{"\x0e\x04", "\x0e\r", io.EOF},
		{"?", "\r", errHelp},
		{"\x0e", "\x0e\r", io.EOF},
		{"zx", "\r", errTaken}, // its key takes a choice at once, and so does the capital
		{"X", "\r", errTaken},
		{"m", "\r", errTaken}, // for more of them
	} {
		k := &menuKeys{choices: []byte{'w', 'x'}, more: true, keys: NewKeyboard(context.Background(), strings.NewReader(c.typed))}
		var got []byte
		for len(got) == 0 || got[len(got)-1] != '\r' {
			var b [8]byte
			n, err := k.Read(b[:])
			require.NoError(t, err)
			require.Equal(t, 1, n, "one byte at a time, so that nothing typed ahead is lost")
			got = append(got, b[0])
		}
		assert.Equal(t, c.want, string(got), "%q", c.typed)
		assert.Equal(t, c.err, k.err, "%q", c.typed)
	}
}

// Each choice has a key of its own; numbers are none where a number is a reading.
func TestKeysOf(t *testing.T) {
	for _, c := range []struct {
		choices []Choice
		numbers bool
	}{{someChoices, true}, {someChoices, false}} {
		keys := keysOf(c.choices, c.numbers)
		require.Len(t, keys, len(c.choices))
		for i, k := range keys {
			assert.NotZero(t, k)
			assert.NotEqual(t, byte(moreKey), k)
			assert.Equal(t, i, slices.Index(keys, k), "%q is the key of one choice only", k)
			if c.numbers && c.choices[i].Word == "" {
				assert.Equal(t, byte('1'), k)
			}
			if !c.numbers {
				assert.Contains(t, letters, string(rune(k)))
			}
		}
	}
	own := keysOf([]Choice{{Word: "yonder"}, {Word: "on", Key: 'y'}}, true)
	assert.Equal(t, "oy", string(own), "a key of its own goes first")
	many := make([]Choice, 60)
	keys := keysOf(many, true)
	assert.Equal(t, byte('a'), keys[9], "letters after the numbers")
	assert.Zero(t, keys[50], "none is left: the arrow keys reach it")
}

func TestCut(t *testing.T) {
	assert.Equal(t, "door left open", Cut("door left open", 14))
	assert.Equal(t, "door left...", Cut("door left open", 13))
	assert.Equal(t, "door l...", Cut("door left open", 9))
	assert.Equal(t, "door...", Cut("door left open", 2), "never less than a word")
	assert.Equal(t, "扉が...", Cut("扉が開いている", 10), "wide letters count twice")
}

func TestGate(t *testing.T) {
	var screen bytes.Buffer
	g := &gate{to: &screen}
	n, err := g.Write([]byte("a\ab\n"))
	require.NoError(t, err)
	assert.Equal(t, 4, n)
	g.shut()
	_, err = g.Write([]byte("late"))
	require.NoError(t, err)
	assert.Equal(t, "ab\n", screen.String())
}
