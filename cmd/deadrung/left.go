package main

import (
	"fmt"
	"strings"

	"deadrung/diagnose"
)

// possible shows what is left and what each reading ruled out.
func (d *dialogue) possible() {
	d.out.parf("", "Still possible: %s.", remaining(&d.turn))
	d.chances(10)
	if len(d.log.Entries) == 0 {
		return
	}
	d.out.para("", "What the readings ruled out:")
	numbers := checkNumbers(d.log.Entries)
	for i, t := range d.speak.tallies(d.log) {
		d.out.hang(numberMark(numbers[i]), d.speak.entry(t.entry)+"; "+d.speak.ruledOut(t, 3)+".")
	}
}

// chances lists the likeliest groups that are left.
func (d *dialogue) chances(most int) {
	for _, g := range d.speak.possible(&d.turn, most) {
		d.out.hang(fmt.Sprintf("  %4s  ", g.label), g.text)
	}
}

func (d *dialogue) contradict() {
	d.out.blank()
	for _, line := range d.speak.contradiction(&d.turn, d.log) {
		mark := itemStart.FindString(line)
		d.out.hang(mark, strings.TrimPrefix(line, mark))
	}
}

// doubtful has one of the readings chosen that what is left disagrees with.
func (d *dialogue) doubtful() (*diagnose.Proposal, error) {
	q := question{
		text:    "Which one is measured again?",
		choices: []choice{returnChoice},
		help:    "The one named first is the most doubtful. Its new reading takes the place of the old one.",
	}
	for _, c := range d.turn.Conflicts {
		q.choices = append(q.choices, choice{text: d.speak.entry(d.log.Entries[c.Index])})
	}
	i, err := d.ask.choose(q)
	if err != nil || i == 0 {
		return nil, err
	}
	return &diagnose.Proposal{Check: d.log.Entries[d.turn.Conflicts[i-1].Index].Check}, nil
}

// idle is where no check is proposed: every reading fits a good circuit, or the
// readings contradict each other and no check settles it.
func (d *dialogue) idle() error {
	for length := len(d.log.Entries); length == len(d.log.Entries); {
		q := question{
			text:    "What now?",
			choices: []choice{possibleChoice, {word: "other", also: []string{"own"}, text: "a check of your own"}, backChoice, stopChoice},
			help:    "A check of your own may show what the list does not know. \"stop\" ends the session; the log stays.",
		}
		d.out.blank()
		if d.turn.Status == diagnose.Healthy {
			for _, line := range d.speak.healthy() {
				d.out.para("", line)
			}
		} else {
			d.contradict()
			q.choices = append([]choice{possibleChoice, repeatChoice, dropChoice}, q.choices[1:]...)
		}
		i, err := d.ask.choose(q)
		if err != nil {
			return err
		}
		switch word := q.choices[i].word; word {
		case "other", "repeat":
			pick := d.other
			if word == "repeat" {
				pick = d.doubtful
			}
			if err := d.pickAndCheck(pick); err != nil {
				return err
			}
		default:
			if err := d.common(word); err != nil {
				return err
			}
		}
	}
	return nil
}

// pickAndCheck has a check picked and makes it; nothing is made where none is picked.
func (d *dialogue) pickAndCheck(pick func() (*diagnose.Proposal, error)) error {
	p, err := pick()
	if err != nil || p == nil {
		return err
	}
	return d.check(p)
}
