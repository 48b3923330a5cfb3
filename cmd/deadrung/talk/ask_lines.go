package talk

import (
	"fmt"
	"slices"
	"strings"
)

// Lines asks with numbered choices, a line at a time: in a pipe, on a terminal that
// knows no menus, for a screen reader, in a test.
type Lines struct {
	Keys *keyboard
	Out  *Page
	// Echo puts what was answered into the output, where no terminal does.
	Echo bool
	last string // the question before, whose list is not shown twice
}

// Choose has one of the choices taken, by its number or its word.
func (l *Lines) Choose(q Question) (int, error) {
	_, i, err := l.choose(q)
	return i, err
}

// choose has one of the choices taken, or a text typed where there is one to type.
func (l *Lines) choose(q Question) (string, int, error) {
	if w := usualWords(q.Choices); q.Text == l.last && w != "" {
		l.Out.Para("", q.Text+" A number or a word: "+w+"; ? lists them.")
	} else {
		l.Out.Para("", q.Text)
		l.list(q.Choices)
	}
	l.last = q.Text
	for {
		typed, err := l.read()
		if err != nil {
			return "", 0, err
		}
		switch typed {
		case "?", "help":
			l.Out.Para("  ", q.Help)
			l.list(q.Choices)
		case "":
			l.Out.Para("  ",
				"Type a number from 1 to "+fmt.Sprint(len(q.Choices))+orAWord(q.Choices)+", or ? for help.")
		default:
			i, err := numbered(typed, q.Choices)
			if err == nil {
				return "", i, nil
			}
			if q.Typed != "" && strings.Contains(typed, " ") {
				return typed, -1, nil
			}
			l.Out.Para("  ", Sentence(err.Error()))
		}
	}
}

// Line has no numbers: a number is a reading here.
func (l *Lines) Line(q Question) (string, int, error) {
	if q.Listed {
		return l.choose(q)
	}
	return line(q, l.Out, l.read, &l.last, make([]byte, len(q.Choices)))
}

// line reads a line, in place of which a word or a key takes one of the choices. Last is the
// question before: the words that may be typed are not told twice.
func line(q Question, out *Page, read func() (string, error), last *string, keys []byte) (string, int, error) {
	if *last == q.Text {
		out.Para("", q.Text)
	} else {
		askLine(q, out)
	}
	*last = q.Text
	for {
		typed, err := read()
		if err != nil {
			return "", -1, err
		}
		switch Fold(typed) {
		case "?", "help":
			out.Para("  ", q.Help)
			for i, c := range q.Choices {
				key := ""
				if keys[i] != 0 {
					key = string(rune(keys[i])) + "  "
				}
				out.Hang("  "+key+Padded(c.Word, 9)+" ", c.Text)
			}
		case "":
			askLine(q, out)
		default:
			if i := slices.Index(keys, Fold(typed)[0]); len(Fold(typed)) == 1 && i >= 0 {
				return "", i, nil
			}
			if i := Matching(typed, q.Choices); i >= 0 {
				return "", i, nil
			}
			return typed, -1, nil
		}
	}
}

func askLine(q Question, out *Page) {
	text := q.Text
	if w := usualWords(q.Choices); w != "" {
		text += " Or a word: " + w + ", ?"
	}
	out.Para("", text)
}

// list writes the numbered choices with their words.
func (l *Lines) list(choices []Choice) {
	wide := 0
	for _, c := range choices {
		wide = max(wide, len([]rune(c.Word)))
	}
	for i, c := range choices {
		first := fmt.Sprintf("%3d  ", i+1)
		if wide > 0 {
			first += Padded(c.Word, wide) + "  "
		}
		l.Out.Hang(first, c.Text)
	}
}

func (l *Lines) read() (string, error) {
	l.Out.Raw("> ")
	if err := l.Out.failed(); err != nil {
		return "", err
	}
	typed, err := l.Keys.readLine()
	if l.Echo || err != nil {
		l.Out.Raw(typed + "\n")
	}
	return typed, err
}

// Padded fills a word up to a width.
func Padded(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-len([]rune(s))))
}

// Sentence makes an error's text a sentence on the screen.
func Sentence(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	if r[0] >= 'a' && r[0] <= 'z' {
		r[0] += 'A' - 'a'
	}
	if !strings.ContainsRune(".?!", r[len(r)-1]) {
		r = append(r, '.')
	}
	return string(r)
}
