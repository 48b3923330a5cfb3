package diagnose

import "deadrung/diagnose/log"

// watch gives the check that is made over and over while what comes and goes works: the one
// that parts what is left by a meter that stays clipped on, else the last reading in which it
// showed; nil if there is none.
func (m *Model) watch(t *Turn, history log.Log) *log.Check {
	var proposed []log.Check
	if t.Next != nil {
		proposed = append(proposed, t.Next.Check)
	}
	for _, o := range t.Others {
		proposed = append(proposed, o.Check)
	}
	for i := range proposed {
		if proposed[i].Kind() == log.Volts {
			return &proposed[i]
		}
	}
	shown := make(map[log.Kind]*log.Check)
	for i := range history.Entries {
		e := &history.Entries[i]
		if e.Answer != nil && i >= history.Since() && !m.Fits(Good, *e) && m.book.Within(e.Located()) {
			shown[e.Check.Kind()] = &e.Check
		}
	}
	for _, kind := range []log.Kind{log.Volts, log.Look} {
		if c := shown[kind]; c != nil {
			return c
		}
	}
	for i := range proposed {
		if proposed[i].Kind() == log.Look {
			return &proposed[i]
		}
	}
	return nil
}
