package talk

import (
	"context"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"deadrung/circuits"
)

// Asker puts the questions of a dialogue to a person. There are two: menus on a
// terminal (ask_menu.go), numbered lines anywhere else (ask_lines.go). Both answer "?"
// with the help of the question and then ask again. Both end with errInterrupted when
// the session is interrupted and with io.EOF at the end of the input.
type Asker interface {
	// Choose has one of the choices taken and gives its index.
	Choose(q Question) (int, error)
	// Line reads a line of text, in place of which one of the choices may be taken:
	// its index, or -1 when text was typed. The text is never empty.
	Line(q Question) (typed string, taken int, err error)
}

// Acknowledger is an Asker on whose screen cautions stay until they are acknowledged.
type Acknowledger interface {
	Acknowledge()
	Rows() int // how many lines can be read at once above a question
}

// Question is what a person is asked.
type Question struct {
	Text    string // the question itself
	Typed   string // line only: what there is to type, as in "type the reading"
	Choices []Choice
	// Listed is set on a line whose choices are listed with it, and taken by their numbers.
	Listed bool
	Help   string // the answer to "?"; it quotes choices by their words
}

// MenuHelp is the help where choices show with their keys: each word that it quotes is
// replaced by its key and what the menu shows.
func (q Question) MenuHelp() string {
	help := q.Help
	for i, key := range keysOf(q.Choices, true) {
		if c := q.Choices[i]; c.Word != "" && key != 0 {
			help = strings.ReplaceAll(help, `"`+c.Word+`"`, string(rune(key))+` ("`+c.Text+`")`)
		}
	}
	return help
}

// Choice is one answer to a question. The first one of a question never is a reading,
// for it is the one that a plain Enter takes in a menu.
type Choice struct {
	Word string   // typed in place of its number; shown beside it
	Also []string // other words for it, not shown
	Text string
	// About, if not nil, takes what is typed behind the word.
	About *string
	// Key takes it in a menu with one key; zero for one that is found by itself.
	Key byte
	// Rare is set where the choice stands in a menu only once more of it is asked for; its
	// key takes it at any time.
	Rare bool
}

// ErrInterrupted ends a session by Ctrl-C or a signal.
var ErrInterrupted = errors.New("interrupted")

// Matching gives the index of the choice that a typed word means, or -1: the word
// itself, another word for it, its text, or the beginning of just one word. Case does
// not matter.
func Matching(typed string, choices []Choice) int {
	typed = Fold(typed)
	if typed == "" {
		return -1
	}
	begun := -1
	for i, c := range choices {
		for _, w := range append([]string{c.Word, c.Text}, c.Also...) {
			if w != "" && Fold(w) == typed {
				return i
			}
		}
		if after, ok := strings.CutPrefix(typed, Fold(c.Word)+" "); ok && c.About != nil {
			*c.About = after
			return i
		}
		if c.About != nil {
			for _, w := range c.Also {
				if strings.HasPrefix(typed, Fold(w)+" ") {
					*c.About = typed
					return i
				}
			}
		}
		if c.Word != "" && strings.HasPrefix(Fold(c.Word), typed) {
			if begun >= 0 {
				begun = -2
			} else if begun == -1 {
				begun = i
			}
		}
	}
	return max(begun, -1)
}

// numbered gives the index of the choice that a typed number or word means. The error
// says what would have been right.
func numbered(typed string, choices []Choice) (int, error) {
	if n, err := strconv.Atoi(typed); err == nil {
		if n >= 1 && n <= len(choices) {
			return n - 1, nil
		}
		return -1, errors.New("there is no number " + typed + "; the numbers go from 1 to " +
			strconv.Itoa(len(choices)))
	}
	if i := Matching(typed, choices); i >= 0 {
		return i, nil
	}
	return -1, errors.New(strconv.Quote(Shortened(typed)) + " is not one of the answers" +
		suggestion(typed, choices) +
		"; type a number from 1 to " + strconv.Itoa(len(choices)) + orAWord(choices) + ", or ? for help")
}

func suggestion(typed string, choices []Choice) string {
	var known []string
	for _, c := range choices {
		if c.Word != "" {
			known = append(known, c.Word)
		}
		known = append(known, c.Also...)
	}
	if s := circuits.Suggest(typed, known); strings.HasPrefix(s, "; perhaps") {
		return s
	}
	return ""
}

func orAWord(choices []Choice) string {
	if w := Words(choices); w != "" {
		return " or a word (" + w + ")"
	}
	return ""
}

// Words lists the words of the choices.
func Words(choices []Choice) string {
	var list []string
	for _, c := range choices {
		if c.Word != "" {
			list = append(list, c.Word)
		}
	}
	return strings.Join(list, ", ")
}

// usualWords lists the words of the choices that are not rare.
func usualWords(choices []Choice) string {
	return Words(slices.DeleteFunc(slices.Clone(choices), func(c Choice) bool { return c.Rare }))
}

// Fold makes spellings equal that nobody tells apart.
func Fold(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// Shortened cuts what was typed to what is worth repeating.
func Shortened(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}

// keyboard reads what is typed, a byte at a time and only when it is wanted, so that
// nothing typed ahead is lost between one question and the next. It gives up when the
// session is interrupted.
type keyboard struct {
	ctx        context.Context
	want       chan struct{}
	got        chan chunk
	waiting    bool   // a read is under way
	held       []byte // read and not used yet
	err        error
	ended      bool // the line before ended with a carriage return
	ObeysCtrlC bool // Ctrl-C in a line is one: menus have it sent as a key
}

type chunk struct {
	text []byte
	err  error
}

// NewKeyboard reads from a stream, until the context ends.
func NewKeyboard(ctx context.Context, in io.Reader) *keyboard {
	k := &keyboard{ctx: ctx, want: make(chan struct{}), got: make(chan chunk, 1)}
	go func() {
		for range k.want {
			buf := make([]byte, 1024)
			n, err := in.Read(buf)
			k.got <- chunk{buf[:n], err}
		}
	}()
	return k
}

// next gives the next byte, errInterrupted or the error of the reader.
func (k *keyboard) next() (byte, error) {
	for len(k.held) == 0 {
		if k.ctx.Err() != nil {
			return 0, ErrInterrupted
		}
		if k.err != nil {
			return 0, k.err
		}
		if !k.waiting {
			k.want <- struct{}{}
			k.waiting = true
		}
		select {
		case c := <-k.got:
			k.waiting = false
			k.held, k.err = c.text, c.err
		case <-k.ctx.Done():
			return 0, ErrInterrupted
		}
	}
	b := k.held[0]
	k.held = k.held[1:]
	return b, nil
}

// back puts a byte back.
func (k *keyboard) back(b byte) { k.held = append([]byte{b}, k.held...) }

// ctrlC is what Ctrl-C sends where the terminal does not make a signal of it.
const ctrlC = 3

// longestLine bounds what a line may hold, in bytes; the rest of it is dropped.
const longestLine = 4096

// readLine gives the next line without spaces around it and control characters in it.
// A last line without its line end counts. A Ctrl-C that was typed ahead, while a menu
// was still on the screen, is one.
func (k *keyboard) readLine() (string, error) {
	var line []byte
	for {
		b, err := k.next()
		after := k.ended
		k.ended = false
		switch {
		case err == ErrInterrupted:
			return "", err
		case err != nil && len(line) == 0:
			return "", err
		case err == nil && b == ctrlC && k.ObeysCtrlC:
			return "", ErrInterrupted
		case err == nil && b == '\n' && after:
			// the second half of a line end
		case err != nil || b == '\n' || b == '\r':
			k.ended = b == '\r'
			return strings.TrimSpace(printable(string(line))), nil
		case len(line) < longestLine:
			line = append(line, b)
		}
	}
}

// printable takes out what a terminal might obey.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case unicode.IsControl(r) || r == unicode.ReplacementChar:
			return -1
		}
		return r
	}, s)
}
