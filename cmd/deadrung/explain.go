package main

import (
	"fmt"
	"io"

	"github.com/spf13/pflag"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// why is what "next" is asked to explain.
type why struct {
	checks bool
	faults []string
}

func (w *why) flags(f *pflag.FlagSet) {
	f.BoolVar(&w.checks, "explain", false, "weigh the check against its three runners-up")
	f.StringArrayVar(&w.faults, "explain-fault", nil,
		"which readings count for and against this fault; may be given more than once")
}

// asked tells whether anything is to be explained.
func (w *why) asked() bool { return w.checks || len(w.faults) > 0 }

// explanation is why a turn is as it is.
type explanation struct {
	Checks []diagnose.Weighed `json:"checks,omitempty"`
	Faults []heldAgainst      `json:"faults,omitempty"`
}

// heldAgainst is a fault with the readings that count for and against it.
type heldAgainst struct {
	ID       faultmodel.ID       `json:"id"`
	Text     string              `json:"text"`
	Readings []diagnose.Evidence `json:"readings"`
}

// explained is a turn with its cautions and its explanation.
type explained struct {
	diagnose.Turn
	Cautions []paper.CautionForm `json:"cautions,omitempty"` // to be said before the next check
	Asked    []asked             `json:"asked,omitempty"`    // about readings that may be of another range
	Explain  *explanation        `json:"explain,omitempty"`
}

// asked is what is asked about a reading of the log.
type asked struct {
	Line int    `json:"line"`
	Text string `json:"text"`
}

// askedAbout asks about the readings since the last repair that may be of another range.
func askedAbout(m *diagnose.Model, history log.Log) []asked {
	var all []asked
	speak := talk.NewSpeaker(m)
	for _, e := range history.Entries[history.Since():] {
		if e.Answer == nil {
			continue
		}
		if doubt := speak.Doubt(e.Check, *e.Answer, ""); doubt != "" {
			all = append(all, asked{e.Line, doubt})
		}
	}
	return all
}

// explain works out what is asked for; nil if nothing is.
func (w *why) explain(m *diagnose.Model, history log.Log, t diagnose.Turn) (*explanation, error) {
	if !w.asked() {
		return nil, nil
	}
	var e explanation
	if w.checks {
		e.Checks = m.Explain(t)
	}
	for _, id := range w.faults {
		i, err := faultmodel.Find(m.Faults(), id)
		if err != nil {
			return nil, usageError{fmt.Errorf("%w; \"deadrung faults\" lists them", err)}
		}
		f := m.Faults()[i]
		e.Faults = append(e.Faults, heldAgainst{f.ID, f.Text, m.Evidence(history, i)})
	}
	return &e, nil
}

// print writes an explanation for people.
func (e *explanation) print(to io.Writer, s *talk.Speaker, history log.Log) {
	if e == nil {
		return
	}
	out := talk.NewPage(to)
	if len(e.Checks) > 0 {
		out.Raw("\nWhy this check:\n  bits   min  most left           groups  check\n")
		for i, c := range e.Checks {
			mark := ""
			if i == 0 {
				mark = ", proposed"
			}
			largest := talk.Count(c.Largest.Faults, "fault") + ", " + talk.Chance(c.Largest.Probability)
			out.Hang(fmt.Sprintf("  %.2f %5.1f  %-18s %7.1f  ", c.Bits, c.Minutes, largest, c.Groups),
				s.Condensed(c.Check)+mark)
		}
		if len(e.Checks) == 1 {
			out.Para("  ", "It has no runner-up.")
		} else {
			out.Para("  ", "Most left: the largest part that an answer leaves. Groups: how many are left on average.")
		}
	}
	for _, f := range e.Faults {
		out.Blank()
		out.Para("", fmt.Sprintf("%s (%s): %s", f.Text, f.ID, talk.SummedUp(f.Readings)))
		for _, r := range f.Readings {
			entry := history.Entries[r.Index]
			out.Hang(fmt.Sprintf("  line %d  ", r.Line),
				fmt.Sprintf("%s: %s: read %s, foretold %s", talk.CountsWords(r), s.Condensed(entry.Check),
					s.Answer(entry.Check, entry.Answer), s.Foretold(entry.Check, r.Reading)))
		}
	}
}

// withoutLines drops lines of a log that are doubted.
func withoutLines(history log.Log, lines []int) (log.Log, error) {
	for _, n := range lines {
		found := false
		for i, e := range history.Entries {
			if e.Line == n {
				history.Entries = append(history.Entries[:i:i], history.Entries[i+1:]...)
				found = true
				break
			}
		}
		if !found {
			return history, usagef("--drop %d: no reading that still stands is on line %d of the log", n, n)
		}
	}
	return history, nil
}
