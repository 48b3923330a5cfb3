package dialogue

import (
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/guide"
)

// Opening tells how a session begins: what a log says that is gone on with, from the place that is named, or that it
// is asked what is known to be wrong.
func (d *Dialogue) Opening(from string) {
	log := d.Log()
	if len(log.Entries) == 0 {
		d.Out.Para("", "What is already known to be wrong? Name the step in which it shows. None is needed.")
		return
	}
	d.Out.Parf("", "Going on with %s: %s.", from, talk.Count(len(log.Entries), "answer"))
	numbers := guide.Numbers(log.Entries)
	for i, t := range d.Speak.Tallies(log) {
		d.Out.Hang(talk.NumberMark(numbers[i]), d.Speak.Entry(t.Entry)+"; "+d.Speak.RuledOut(t, 0)+".")
	}
	for _, s := range log.Seen {
		d.Out.Hang("  -  ", talk.Found(s)+".")
	}
	d.Out.Blank()
}
