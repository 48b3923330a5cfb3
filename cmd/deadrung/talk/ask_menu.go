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
//     it gets no other keys than up, down, a page up, a page down and Enter;
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

// Choose has one of the choices taken from a menu.
func (m Menus) Choose(q Question) (int, error) {
	m.Out.Para("", q.Text)
	for {
		i, err := m.menu(q.Choices)
		if errors.Is(err, errHelp) {
			m.Out.Para("  ", q.MenuHelp())
			continue
		}
		if err == nil {
			m.Out.Hang("> ", q.Choices[i].Text)
		}
		return i, err
	}
}

// Line reads a line; a menu of the choices stands in front of it.
func (m Menus) Line(q Question) (string, int, error) {
	m.Out.Para("", q.Text)
	items := append([]Choice{{Text: q.Typed}}, q.Choices...)
	for {
		i := 0
		if len(q.Choices) > 0 {
			var err error
			if i, err = m.menu(items); errors.Is(err, errHelp) {
				m.Out.Para("  ", q.MenuHelp())
				continue
			} else if err != nil {
				return "", -1, err
			}
		}
		if i > 0 {
			m.Out.Hang("> ", q.Choices[i-1].Text)
			return "", i - 1, nil
		}
		m.Out.Raw("> ")
		if err := m.Out.failed(); err != nil {
			return "", -1, err
		}
		typed, err := m.Keys.readLine()
		switch {
		case err != nil:
			m.Out.Raw(showCursor + "\n")
			return "", -1, err
		case typed == "?":
			m.Out.Para("  ", q.MenuHelp())
		case typed != "":
			if i := Matching(typed, q.Choices); i >= 0 {
				return "", i, nil
			}
			return typed, -1, nil
		}
	}
}

var errHelp = errors.New("help is asked for")

// menu shows the choices once.
func (m Menus) menu(choices []Choice) (int, error) {
	if err := m.Out.failed(); err != nil {
		return 0, err
	}
	width, height, err := term.GetSize(int(os.Stdout.Fd()))
	if err != nil || width <= 0 || height <= 0 {
		width, height = 80, 24
	}
	items := make([]string, len(choices))
	for i, c := range choices {
		items[i] = Cut(printable(c.Text), width-6)
	}
	gate := &gate{to: m.Out.Out}
	defer gate.shut()
	keys := &menuKeys{keys: m.Keys}
	s := promptui.Select{
		Label:        Cut("Arrow keys and Enter; ? for help", width-2),
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
	if keys.err != nil {
		return 0, keys.err
	}
	return i, err
}

// menuKeys gives the library the keys that it is meant to see. What ends the menu in
// another way is remembered, and the library gets an Enter, on which it cleans up.
type menuKeys struct {
	keys *keyboard
	err  error
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
	case keyUp, 'k':
		return keyUp, nil
	case keyDown, 'j':
		return keyDown, nil
	case 27: // Escape, which begins the arrow keys
		return k.arrow()
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
func (m Menus) Acknowledge() {
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
