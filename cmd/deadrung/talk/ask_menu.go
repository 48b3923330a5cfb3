//go:build !js

package talk

import (
	"errors"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/manifoldco/promptui"
	"golang.org/x/term"
)

// Menus asks on a terminal with menus. The menu library is used in this file and
// nowhere else. Its known faults are kept away from here:
//
//   - it loses what is typed ahead: it is given one byte at a time, when it asks;
//   - it obeys keys that ring, search, suspend, and draws a torn screen after Ctrl-C:
//     it gets no other keys than up, down, a page up, a page down and Enter; the keys
//     that take a choice at once end it with an Enter;
//   - it writes to the screen after it has returned, and rings the bell: its output
//     goes through a gate;
//   - it leaves ghost rows where an item is wider than the screen or a list is longer:
//     items are cut to the width, lists to the height;
//   - it has colours: they are left out;
//   - it fails on an empty list: it is given none.
//
// A line is read by the terminal itself, which edits, pastes and interrupts as people
// are used to.
type Menus struct {
	Keys *keyboard
	Out  *Page
	last string // the question before
}

// Keys of the library.
const (
	keyEnter    = '\r'
	keyDown     = 14 // Ctrl-N
	keyUp       = 16 // Ctrl-P
	keyPageUp   = 2  // Ctrl-B
	keyPageDown = 6  // Ctrl-F
)

// showCursor is sent once more where a session is interrupted: the terminal may have
// thrown away what was on its way to the screen.
const showCursor = "\x1b[?25h"

// besideList are the rows of a terminal that a menu leaves free: its label and the row
// of the cursor, and two of the text above.
const besideList = 4

// Choose has one of the choices taken from a menu, by one key or by the arrow keys. After a
// slip of the finger, or help, the list is not written again above the menu.
func (m *Menus) Choose(q Question) (int, error) {
	m.Out.Para("", q.Text)
	m.last = q.Text
	keys := keysOf(q.Choices, true)
	rare := slices.ContainsFunc(q.Choices, func(c Choice) bool { return c.Rare })
	for {
		var shown []int
		for i, c := range q.Choices {
			if !rare || !c.Rare {
				shown = append(shown, i)
			}
		}
		i, err := m.menu(q.Choices, keys, shown, rare)
		switch {
		case errors.Is(err, errHelp):
			m.Out.Para("  ", q.MenuHelp())
		case err == nil && i < 0:
			rare = false
		default:
			if err == nil {
				m.Out.Hang("> ", q.Choices[i].Text)
			}
			return i, err
		}
	}
}

// Line reads a line where it is asked for. A word, or its key, takes one of the choices.
func (m *Menus) Line(q Question) (string, int, error) {
	if q.Listed {
		words := Question{Text: q.Text, Help: q.Help, Choices: append(slices.Clone(q.Choices), Choice{Text: q.Typed, Key: 'w'})}
		if i, err := m.Choose(words); err != nil || i < len(q.Choices) {
			return "", i, err
		}
		q = Question{Text: "In words:", Help: q.Help}
	}
	return line(q, m.Out, func() (string, error) {
		m.Out.Raw("> ")
		if err := m.Out.failed(); err != nil {
			return "", err
		}
		typed, err := m.Keys.readLine()
		if err != nil {
			m.Out.Raw(showCursor + "\n")
		}
		return typed, err
	}, &m.last, keysOf(q.Choices, false))
}

var errHelp = errors.New("help is asked for")

// menu shows the choices once, those of them that are shown. It gives the index of the one
// taken, or -1 where more of them are asked for.
func (m *Menus) menu(choices []Choice, byKey []byte, shown []int, more bool) (int, error) {
	if err := m.Out.failed(); err != nil {
		return 0, err
	}
	width, height := m.size()
	items := make([]string, len(shown))
	key := func(i int) string {
		if byKey[i] == 0 {
			return "   "
		}
		return string(rune(byKey[i])) + "  "
	}
	for k, i := range shown {
		text := printable(choices[i].Text)
		if items[k] = key(i) + Cut(text, width-9); items[k] != key(i)+text {
			m.Out.Hang(key(i), text) // in full, above the menu
		}
	}
	if more {
		items = append(items, string(rune(moreKey))+"  more")
	}
	gate := &gate{to: m.Out.Out}
	defer gate.shut()
	keys := &menuKeys{keys: m.Keys, choices: byKey, taken: -1, more: more}
	s := promptui.Select{
		Label:        Cut(menuLabel, width-2),
		Items:        items,
		Size:         max(1, min(len(items), height-besideList)),
		HideHelp:     true,
		HideSelected: true,
		Stdin:        keys,
		Stdout:       gate,
		Templates: &promptui.SelectTemplates{Label: "{{ . }}", Active: "> {{ . }}",
			Inactive: "  {{ . }}", Selected: "{{ . }}"},
	}
	i, _, err := s.Run()
	if errors.Is(keys.err, ErrInterrupted) {
		m.Out.Raw(showCursor)
	}
	switch {
	case errors.Is(keys.err, errTaken):
		return keys.taken, nil
	case keys.err != nil:
		return 0, keys.err
	case err == nil && i < len(shown):
		return shown[i], nil
	}
	return -1, err
}

// menuLabel stands above a menu.
const menuLabel = "A key, or arrows and Enter; ? for help"

// size is that of the terminal.
func (m *Menus) size() (width, height int) {
	width, height, err := term.GetSize(int(os.Stdout.Fd()))
	if err != nil || width <= 0 || height <= 0 {
		return 80, 24
	}
	return width, height
}

// Rows is how many lines can be read at once above a question.
func (m *Menus) Rows() int {
	_, height := m.size()
	return height - 2
}

var errTaken = errors.New("a choice is taken by its key")

// menuKeys gives the library the keys that it is meant to see. What ends the menu in
// another way is remembered, and the library gets an Enter, on which it cleans up.
type menuKeys struct {
	keys    *keyboard
	choices []byte // the key of each choice
	more    bool   // whether more choices can be asked for
	taken   int    // the choice whose key was pressed; -1 for more of them
	err     error
}

func (k *menuKeys) Read(b []byte) (int, error) {
	for {
		key, err := k.key()
		if err == nil && key == 0 {
			continue
		}
		if err != nil {
			k.err = err
			key = keyEnter
		}
		b[0] = key
		return 1, nil
	}
}

func (k *menuKeys) Close() error { return nil }

// key reads a key; zero is one that means nothing in a menu.
func (k *menuKeys) key() (byte, error) {
	c, err := k.keys.next()
	if err != nil {
		return 0, err
	}
	switch c {
	case '\r', '\n':
		return keyEnter, nil
	case ctrlC:
		return 0, ErrInterrupted
	case 4: // Ctrl-D
		return 0, io.EOF
	case '?':
		return 0, errHelp
	case keyUp, keyDown:
		return c, nil
	case 27: // Escape, which begins the arrow keys
		return k.arrow()
	}
	if c >= 'A' && c <= 'Z' { // a capital is the same key
		c += 'a' - 'A'
	}
	if i := slices.Index(k.choices, c); i >= 0 {
		k.taken = i
		return 0, errTaken
	}
	if k.more && c == moreKey {
		k.taken = -1
		return 0, errTaken
	}
	return 0, nil
}

// arrow reads what follows an Escape: [ or O, digits, and the key.
func (k *menuKeys) arrow() (byte, error) {
	c, err := k.keys.next()
	if err != nil {
		return 0, err
	}
	if c != '[' && c != 'O' {
		k.keys.back(c) // Escape means nothing by itself
		return 0, nil
	}
	var digits []byte
	for {
		if c, err = k.keys.next(); err != nil {
			return 0, err
		}
		if c >= '0' && c <= '9' || c == ';' {
			digits = append(digits, c)
			continue
		}
		break
	}
	switch {
	case c == 'A':
		return keyUp, nil
	case c == 'B':
		return keyDown, nil
	case c == 'D', c == '~' && string(digits) == "5":
		return keyPageUp, nil
	case c == 'C', c == '~' && string(digits) == "6":
		return keyPageDown, nil
	}
	return 0, nil
}

// Cut shortens a text to so many columns. A letter outside the western scripts is
// counted as two.
func Cut(s string, columns int) string {
	columns = max(columns, 8)
	used := 0
	for i, r := range s {
		if r >= 0x1100 {
			used++
		}
		used++
		if used > columns {
			at := []rune(s[:i])
			return strings.TrimRight(string(at[:max(0, len(at)-3)]), " ") + "..."
		}
	}
	return s
}

// Acknowledge keeps what is on the screen there until it is acknowledged with a word. An
// interrupted one returns: whatever is asked next ends with it.
func (m *Menus) Acknowledge() {
	for {
		m.Out.Raw(`Type "ok" when that is done: `)
		if m.Out.failed() != nil {
			return
		}
		typed, err := m.Keys.readLine()
		if err != nil {
			m.Out.Raw("\n")
			return
		}
		if slices.Contains([]string{"ok", "done", "yes"}, Fold(typed)) {
			m.Out.Blank()
			return
		}
	}
}
