package talk

import (
	"fmt"

	"deadrung/diagnose/training"
)

// ScoreName is what was practised.
func ScoreName(s training.Score) string {
	if s.Drill != "" {
		return "drill " + s.Drill
	}
	if s.Wiring != nil {
		return "wiring of " + s.Circuit
	}
	return s.Circuit
}

// ScoreWords tells a score in a line.
func ScoreWords(s training.Score) string {
	text := fmt.Sprintf("%s, best %s", Count(s.Checks, "check"), Short(s.Needed))
	if w := s.Wiring; w != nil {
		text = fmt.Sprintf("%s, %s", Wholes(w.Whole, w.Conductors), Count(w.Mistakes, "mistake"))
	} else if s.Drill == "" {
		text += fmt.Sprintf("; %s of %s", Span(s.Minutes), Span(s.NeededMinutes))
	}
	for _, n := range []struct {
		number int
		what   string
	}{{s.Wasted, "wasted"}, {s.Unsafe, "unsafe"}, {s.Hints, "by hints"}} {
		if n.number > 0 {
			text += fmt.Sprintf("; %d %s", n.number, n.what)
		}
	}
	if !s.Right && s.Wiring == nil {
		text += "; not found"
	}
	return text
}
