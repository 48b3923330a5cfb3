package main

import (
	"fmt"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
)

// possible shows what is left and what each reading ruled out.
func (d *dialogue) possible() {
	d.out.Parf("", "Still possible: %s.", talk.Remaining(&d.turn))
	d.chances(10)
	if len(d.log.Entries) == 0 {
		return
	}
	d.out.Para("", "What the readings ruled out:")
	numbers := talk.CheckNumbers(d.log.Entries)
	for i, t := range d.speak.Tallies(d.log) {
		d.out.Hang(talk.NumberMark(numbers[i]), d.speak.Entry(t.Entry)+"; "+d.speak.RuledOut(t, 3)+".")
	}
}

// chances lists the likeliest groups that are left.
func (d *dialogue) chances(most int) {
	for _, g := range d.speak.Possible(&d.turn, most) {
		d.out.Hang(fmt.Sprintf("  %4s  ", g.Label), g.Text)
	}
}

func (d *dialogue) contradict() {
	d.out.Blank()
	for _, p := range d.speak.Contradiction(&d.turn, d.log) {
		d.out.Hang(p.Mark, p.Text)
	}
}

// doubtful has one of the readings chosen that what is left disagrees with.
func (d *dialogue) doubtful() (*diagnose.Proposal, error) {
	q := talk.Question{
		Text:    "Which one is measured again?",
		Choices: []talk.Choice{returnChoice},
		Help:    "The one named first is the most doubtful. Its new reading takes the place of the old one.",
	}
	for _, c := range d.turn.Conflicts {
		q.Choices = append(q.Choices, talk.Choice{Text: d.speak.Entry(d.log.Entries[c.Index])})
	}
	i, err := d.ask.Choose(q)
	if err != nil || i == 0 {
		return nil, err
	}
	return &diagnose.Proposal{Check: d.log.Entries[d.turn.Conflicts[i-1].Index].Check}, nil
}

// idle is where no check is proposed: every reading fits a good circuit, or the
// readings contradict each other and no check settles it.
func (d *dialogue) idle() error {
	for length := len(d.log.Entries); length == len(d.log.Entries); {
		q := talk.Question{
			Text:    "What now?",
			Choices: []talk.Choice{possibleChoice, {Word: "other", Also: []string{"own"}, Text: "a check of your own"}, backChoice, stopChoice},
			Help:    "A check of your own may show what the list does not know. \"stop\" ends the session; the log stays.",
		}
		d.out.Blank()
		if d.turn.Status == diagnose.Healthy {
			for _, line := range d.speak.Healthy() {
				d.out.Para("", line)
			}
		} else {
			d.contradict()
			q.Choices = append([]talk.Choice{possibleChoice, repeatChoice, dropChoice}, q.Choices[1:]...)
		}
		i, err := d.ask.Choose(q)
		if err != nil {
			return err
		}
		switch word := q.Choices[i].Word; word {
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
