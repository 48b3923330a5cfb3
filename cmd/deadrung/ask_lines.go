package main

import (
	"fmt"
	"strings"
)

// lines asks with numbered choices, a line at a time: in a pipe, on a terminal that
// knows no menus, for a screen reader, in a test.
type lines struct {
	keys *keyboard
	out  *page
	// echo puts what was answered into the output, where no terminal does.
	echo bool
	last string // the question before, whose list is not shown twice
}

func (l *lines) choose(q question) (int, error) {
	if w := words(q.choices); q.text == l.last && w != "" {
		l.out.para("", q.text+" A number or a word: "+w+"; ? lists them.")
	} else {
		l.out.para("", q.text)
		l.list(q.choices)
	}
	l.last = q.text
	for {
		typed, err := l.read()
		if err != nil {
			return 0, err
		}
		switch typed {
		case "?", "help":
			l.out.para("  ", q.help)
			l.list(q.choices)
		case "":
			l.out.para("  ", "Type a number from 1 to "+fmt.Sprint(len(q.choices))+orAWord(q.choices)+", or ? for help.")
		default:
			i, err := numbered(typed, q.choices)
			if err == nil {
				return i, nil
			}
			l.out.para("  ", sentence(err.Error()))
		}
	}
}

// line has no numbers: a number is a reading here.
func (l *lines) line(q question) (string, int, error) {
	l.last = q.text
	l.ask(q)
	for {
		typed, err := l.read()
		if err != nil {
			return "", -1, err
		}
		switch fold(typed) {
		case "?", "help":
			l.out.para("  ", q.help)
			for _, c := range q.choices {
				l.out.hang("  "+padded(c.word, 9)+" ", c.text)
			}
		case "":
			l.ask(q)
		default:
			if i := matching(typed, q.choices); i >= 0 {
				return "", i, nil
			}
			return typed, -1, nil
		}
	}
}

func (l *lines) ask(q question) {
	text := q.text
	if w := words(q.choices); w != "" {
		text += " Or a word: " + w + ", ?"
	}
	l.out.para("", text)
}

// list writes the numbered choices with their words.
func (l *lines) list(choices []choice) {
	wide := 0
	for _, c := range choices {
		wide = max(wide, len([]rune(c.word)))
	}
	for i, c := range choices {
		first := fmt.Sprintf("%3d  ", i+1)
		if wide > 0 {
			first += padded(c.word, wide) + "  "
		}
		l.out.hang(first, c.text)
	}
}

func (l *lines) read() (string, error) {
	l.out.raw("> ")
	if err := l.out.failed(); err != nil {
		return "", err
	}
	typed, err := l.keys.readLine()
	if l.echo || err != nil {
		l.out.raw(typed + "\n")
	}
	return typed, err
}

// padded fills a word up to a width.
func padded(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-len([]rune(s))))
}

// sentence makes an error's text a sentence on the screen.
func sentence(s string) string {
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
