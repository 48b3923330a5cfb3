package talk

import (
	"fmt"
	"strings"

	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// ComesAndGoes says what to do while what failed works: what to watch, how to bring the
// trouble back, and what then. Common practice, no source.
func (s *Speaker) ComesAndGoes(watched *log.Check, from guide.Standing) []Point {
	points := []Point{{Label: "IT WORKS", Text: "What comes and goes is caught while it fails. A check made while it works " +
		"tells nothing of it; what was read before still counts."}}
	if watched != nil {
		condition := s.condition(*watched, from)
		condition[0].Label = "Circuit"
		points = append(points, condition...)
		watch := s.Brief(*watched)
		if watched.Kind() != log.Look {
			watch += ", leads clipped on, hands out"
		}
		points = append(points, Point{Label: "Watch", Text: watch})
		if r, err := s.Model.Usual(*watched); err == nil && r.Firm {
			points = append(points, Point{Label: "If good", Text: s.expected(*watched) + ": what it turns to when it fails is the answer"})
		}
	}
	for i, text := range []string{
		"Work the operation again and again, each time to there.",
		"Tap and push one thing at a time: wires, plugs, terminals, relays, with a dry stick that does not conduct.",
		"Let it run warm with the doors shut; or warm and cool one part at a time.",
		"Have what shakes or drops the supply run: motors, doors, the machine next to it.",
	} {
		p := Point{Mark: fmt.Sprintf("%d. ", i+1), Text: text}
		if i == 0 {
			p.Label = "Bring back"
		}
		points = append(points, p)
	}
	return append(points, Point{Label: "Then", Text: "Note the time and what ran. Leave it as it stands, and say \"fails\"."})
}

// CameAndWent tells when what failed worked, and when it failed again.
func CameAndWent(history log.Log) []string {
	var lines []string
	for _, a := range history.Acts {
		words := map[log.ActKind]string{log.WorksAct: "It worked at the time.", log.FailsAct: "It failed again."}[a.Kind]
		if words != "" {
			lines = append(lines, strings.TrimSpace(a.At+" "+words))
		}
	}
	return lines
}
