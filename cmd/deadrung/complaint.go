package main

import (
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/guide"
)

// open tells how a session begins: what a log says that is gone on with, or that it is
// asked what is known to be wrong.
func (d *dialogue) opening() {
	log := d.log()
	if len(log.Entries) == 0 {
		d.out.Para("", "What is already known to be wrong? Name the step in which it shows. None is needed.")
		return
	}
	d.out.Parf("", "Going on with %s: %s.", d.file.Name(), talk.Count(len(log.Entries), "answer"))
	numbers := guide.Numbers(log.Entries)
	for i, t := range d.speak.Tallies(log) {
		d.out.Hang(talk.NumberMark(numbers[i]), d.speak.Entry(t.Entry)+"; "+d.speak.RuledOut(t, 0)+".")
	}
	for _, s := range log.Seen {
		d.out.Hang("  -  ", talk.Found(s)+".")
	}
	d.out.Blank()
}
