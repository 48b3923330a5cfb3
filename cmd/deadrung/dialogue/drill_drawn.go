package dialogue

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/diagnose/training"
)

// drillDrawn is the string of a drill, or the line, as lines of text no wider than so many
// columns: a ? at whatever may still be open, where that is to be told, and below it where the
// leads were last.
func drillDrawn(r *training.Run, columns int, told bool) []string {
	d := r.Drill
	doubt := func(unit int) string {
		if told && slices.Contains(r.Left, unit) {
			return "?"
		}
		return "-"
	}
	if len(d.Points) == len(d.Units)-1 {
		return stringDrawn(r, doubt, columns)
	}
	return lineDrawn(r, doubt)
}

// stringDrawn draws contacts in series. A contact that is in doubt has a ? in it; the last lead
// stands under its point.
func stringDrawn(r *training.Run, doubt func(int) string, columns int) []string {
	at := -1
	if n := len(r.Made); n > 0 {
		at = r.Made[n-1].Point
	}
	var lines []string
	rung, under := "L -", "   "
	flush := func() {
		lines = append(lines, rung)
		if strings.TrimSpace(under) != "" {
			lines = append(lines, strings.TrimRight(under, " "))
		}
		rung, under = "  -", "   "
	}
	for i := range r.Drill.Units {
		inner := doubt(i)
		if inner == "-" {
			inner = " "
		}
		part := fmt.Sprintf("|%s|-", inner)
		mark := strings.Repeat(" ", len(part))
		if i < len(r.Drill.Points) {
			word := r.Drill.Points[i].Word
			part += word + "-"
			lead := strings.Repeat(" ", len(word))
			if i == at {
				lead = "^RED"
			}
			mark += fmt.Sprintf("%-*s", len(word)+1, lead)
		} else {
			part += "lamp - N"
		}
		if len(rung)+len(part) > columns {
			flush()
		}
		// A mark that is wider than its point stands over what comes next.
		if over := len(under) - len(rung); over > 0 && strings.TrimSpace(mark) == "" {
			mark = mark[min(over, len(mark)):]
		}
		rung, under = rung+part, under+mark
	}
	flush()
	return lines
}

// lineDrawn draws the two wires of a line, the hot one above, and the lamp at their ends. A
// section that is in doubt is a ?.
func lineDrawn(r *training.Run, doubt func(int) string) []string {
	sections := (len(r.Drill.Units) - 1) / 2
	var red, black int
	marked := false
	if n := len(r.Made); n > 0 {
		_, err := fmt.Sscan(r.Drill.Points[r.Made[n-1].Point].Word, &red, &black)
		marked = err == nil
	}
	wire := func(name string, first int) string {
		line := name + " 0"
		for k := 1; k <= sections; k++ {
			line += fmt.Sprintf("-%s-%d", doubt(first+k-1), k)
		}
		return line
	}
	lead := func(word string, point int) string {
		if !marked {
			return ""
		}
		return strings.Repeat(" ", 4+4*point) + "^" + word
	}
	lamp := "lamp"
	if doubt(len(r.Drill.Units)-1) == "?" {
		lamp = "lamp?"
	}
	lines := []string{wire("hot", 0) + "-+", lead("RED", red), strings.Repeat(" ", 4+4*sections+2) + lamp,
		wire("ret", sections) + "-+", lead("BLACK", black)}
	return slices.DeleteFunc(lines, func(s string) bool { return s == "" })
}
