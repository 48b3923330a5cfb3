package talk

import (
	"fmt"
	"strconv"
	"strings"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// ParseComplaints reads the values of --complaint: a log for each chart to be made. "each"
// stands for so many complaints at the most, the likeliest first, after none.
func ParseComplaints(m *diagnose.Model, words []string, most int) ([]log.Log, error) {
	if len(words) == 1 && Fold(words[0]) == "each" {
		logs := []log.Log{{}}
		for _, c := range m.Complaints(most) {
			c.Entry.Note = ComplaintNote
			logs = append(logs, log.Log{Entries: []log.Entry{c.Entry}})
		}
		return logs, nil
	}
	var history log.Log
	for _, w := range words {
		e, err := parseComplaint(m, w)
		if err != nil {
			return nil, fmt.Errorf("--complaint %q: %w", w, err)
		}
		history.Entries = append(history.Entries, e)
	}
	return []log.Log{history}, nil
}

// parseComplaint reads one complaint: "STEP: DEVICE", which is other there than it should
// be, "STEP: DEVICE on", or words as "horn silent in step 3".
func parseComplaint(m *diagnose.Model, word string) (log.Entry, error) {
	c := m.Panel().Circuit
	at := strings.LastIndex(word, ":")
	if at < 0 {
		check, on, err := NewSpeaker(m).ParseWrong(word)
		if err != nil {
			return log.Entry{}, fmt.Errorf("%w; or name the step and the device, as \"%s: %s\"", err,
				c.Steps[len(c.Steps)-1].Name, firstVisible(m))
		}
		e, err := m.Book().NewEntry(check, &log.Reading{Kind: log.Look, On: on, Firm: true})
		e.Note = ComplaintNote
		return e, err
	}
	step := strings.TrimSpace(word[:at])
	if n, err := strconv.Atoi(step); err == nil && c.Step(step) < 0 && n >= 1 && n <= len(c.Steps) {
		step = c.Steps[n-1].Name
	}
	fields := strings.Fields(word[at+1:])
	if len(fields) == 0 || len(fields) > 2 || len(fields) == 2 && fields[1] != "on" && fields[1] != "off" {
		return log.Entry{}, fmt.Errorf("name one device after the step, as \"%s: "+
			"%s\", with on or off behind it if you like", step, firstVisible(m))
	}
	check := log.Check{Look: fields[0], Step: step}
	good, err := m.Usual(check)
	switch {
	case err != nil:
		return log.Entry{}, err
	case len(fields) == 2:
		good.On = fields[1] == "on"
	case !good.Firm:
		return log.Entry{}, fmt.Errorf("nothing is certain of %s in that step even on a good circuit: "+
			"say on or off behind it", fields[0])
	default:
		good.On = !good.On
	}
	e, err := m.Book().NewEntry(check, &log.Reading{Kind: log.Look, On: good.On, Firm: true})
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
