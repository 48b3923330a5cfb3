package talk

import (
	"fmt"
	"strconv"
	"strings"

	"deadrung/diagnose"
)

// ParseComplaints reads the values of --complaint: a log for each chart to be made. "each"
// stands for so many complaints at the most, the likeliest first, after none.
func ParseComplaints(m *diagnose.Model, words []string, most int) ([]diagnose.Log, error) {
	if len(words) == 1 && Fold(words[0]) == "each" {
		logs := []diagnose.Log{{}}
		for _, c := range m.Complaints(most) {
			c.Entry.Note = ComplaintNote
			logs = append(logs, diagnose.Log{Entries: []diagnose.Entry{c.Entry}})
		}
		return logs, nil
	}
	var log diagnose.Log
	for _, w := range words {
		e, err := parseComplaint(m, w)
		if err != nil {
			return nil, fmt.Errorf("--complaint %q: %w", w, err)
		}
		log.Entries = append(log.Entries, e)
	}
	return []diagnose.Log{log}, nil
}

// parseComplaint reads one complaint: "STEP: DEVICE", which is other there than it should
// be, or "STEP: DEVICE on".
func parseComplaint(m *diagnose.Model, word string) (diagnose.Entry, error) {
	c := m.Panel().Circuit
	at := strings.LastIndex(word, ":")
	if at < 0 {
		return diagnose.Entry{}, fmt.Errorf("a complaint is \"STEP: DEVICE\", as \"%s: %s\"", c.Steps[len(c.Steps)-1].Name, firstVisible(m))
	}
	step := strings.TrimSpace(word[:at])
	if n, err := strconv.Atoi(step); err == nil && c.Step(step) < 0 && n >= 1 && n <= len(c.Steps) {
		step = c.Steps[n-1].Name
	}
	fields := strings.Fields(word[at+1:])
	if len(fields) == 0 || len(fields) > 2 || len(fields) == 2 && fields[1] != "on" && fields[1] != "off" {
		return diagnose.Entry{}, fmt.Errorf("name one device after the step, as \"%s: %s\", with on or off behind it if you like", step, firstVisible(m))
	}
	check := diagnose.Check{Look: fields[0], Step: step}
	good, err := m.Usual(check)
	switch {
	case err != nil:
		return diagnose.Entry{}, err
	case len(fields) == 2:
		good.On = fields[1] == "on"
	case !good.Firm:
		return diagnose.Entry{}, fmt.Errorf("nothing is certain of %s in that step even on a good circuit: say on or off behind it", fields[0])
	default:
		good.On = !good.On
	}
	e, err := m.NewEntry(check, &diagnose.Reading{Kind: diagnose.Look, On: good.On, Firm: true})
	e.Note = ComplaintNote
	return e, err
}

// firstVisible names a device for an example.
func firstVisible(m *diagnose.Model) string {
	for _, d := range m.Panel().Visible() {
		return d.Name
	}
	return "H1"
}
