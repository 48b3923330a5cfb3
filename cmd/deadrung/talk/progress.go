package talk

import (
	"fmt"
	"io"
	"strings"
	"sync/atomic"
	"time"

	"golang.org/x/term"
)

// What a person waits for without being told, and how often the figure changes after it.
const (
	silent  = 500 * time.Millisecond
	renewed = 200 * time.Millisecond
)

// Patiently does work that may take long. On a terminal a wait of over half a second shows
// that it goes on.
func Patiently(w io.Writer, work func()) {
	Waiting(w, func() string { return "Working it out …" }, work)
}

// Stage is what is being done just now, said by one who does it and read by one who waits.
type Stage struct{ now atomic.Value }

// Say tells what is being done from now on.
func (g *Stage) Say(text string) { g.now.Store(text + " …") }

// Text is what is being done.
func (g *Stage) Text() string {
	if text, ok := g.now.Load().(string); ok {
		return text
	}
	return "Working it out …"
}

// Waiting does work that may take long. On a terminal a wait of over half a second shows the
// text, which may change.
func Waiting(w io.Writer, text func() string, work func()) {
	f := FileOf(w)
	if f == nil || !term.IsTerminal(int(f.Fd())) {
		work()
		return
	}
	columns, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		columns = pageColumns
	}
	showingProgress(f, columns, silent, renewed, text, work)
}

// showingProgress does work and meanwhile writes one line, over and over in its place, that it
// takes away at the end.
func showingProgress(w io.Writer, columns int, silent, renewed time.Duration, line func() string,
	work func()) {
	done := make(chan struct{})
	shown := make(chan int)
	go func() {
		width := 0
		defer func() { shown <- width }()
		wait := time.NewTimer(silent)
		defer wait.Stop()
		for {
			select {
			case <-done:
				return
			case <-wait.C:
			}
			text := "  " + line()
			if runes := []rune(text); len(runes) >= columns {
				text = string(runes[:max(columns-1, 0)])
			}
			fmt.Fprintf(w, "\r%s", Padded(text, width))
			width = max(width, len([]rune(text)))
			wait.Reset(renewed)
		}
	}()
	defer func() {
		close(done)
		if width := <-shown; width > 0 {
			fmt.Fprintf(w, "\r%s\r", strings.Repeat(" ", width))
		}
	}()
	work()
}
