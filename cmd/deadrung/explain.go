package main

import (
	"fmt"
	"io"

	"github.com/spf13/pflag"

	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// why is what "next" is asked to explain.
type why struct {
	checks bool
	faults []string
}

func (w *why) flags(f *pflag.FlagSet) {
	f.BoolVar(&w.checks, "explain", false, "weigh the check against its three runners-up")
	f.StringArrayVar(&w.faults, "explain-fault", nil, "which readings count for and against this fault; may be given more than once")
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

// explained is a turn with its explanation.
type explained struct {
	diagnose.Turn
	Explain *explanation `json:"explain,omitempty"`
}

// explain works out what is asked for; nil if nothing is.
func (w *why) explain(m *diagnose.Model, log diagnose.Log, t diagnose.Turn) (*explanation, error) {
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
		e.Faults = append(e.Faults, heldAgainst{f.ID, f.Text, m.Evidence(log, i)})
	}
	return &e, nil
}

// print writes an explanation for people.
func (e *explanation) print(to io.Writer, s *speaker, log diagnose.Log) {
	if e == nil {
		return
	}
	out := newPage(to)
	if len(e.Checks) > 0 {
		out.raw("\nWhy this check:\n  bits   min  most left           groups  check\n")
		for i, c := range e.Checks {
			mark := ""
			if i == 0 {
				mark = ", proposed"
			}
			largest := count(c.Largest.Faults, "fault") + ", " + chance(c.Largest.Probability)
			out.hang(fmt.Sprintf("  %.2f %5.1f  %-18s %7.1f  ", c.Bits, c.Minutes, largest, c.Groups), s.condensed(c.Check)+mark)
		}
		if len(e.Checks) == 1 {
			out.para("  ", "It has no runner-up.")
		} else {
			out.para("  ", "Most left: the largest part that an answer leaves. Groups: how many are left on average.")
		}
	}
	for _, f := range e.Faults {
		out.blank()
		out.para("", fmt.Sprintf("%s (%s): %s", f.Text, f.ID, summedUp(f.Readings)))
		for _, r := range f.Readings {
			entry := log.Entries[r.Index]
			out.hang(fmt.Sprintf("  line %d  ", r.Line), fmt.Sprintf("%s: %s: read %s, foretold %s", countsWords(r), s.condensed(entry.Check),
				s.answer(entry.Check, entry.Answer), s.foretold(entry.Check, r.Reading)))
		}
	}
}

// summedUp sums up how many readings count for, against and neither way.
func summedUp(readings []diagnose.Evidence) string {
	n := make(map[diagnose.Counts]int)
	for _, r := range readings {
		n[r.Counts]++
	}
	return fmt.Sprintf("%s for it, %d against it, %d neither way", count(n[diagnose.CountsFor], "reading"), n[diagnose.CountsAgainst], n[diagnose.CountsNeither])
}

// countsWords tells what a reading does to a fault.
func countsWords(r diagnose.Evidence) string {
	switch {
	case r.Before:
		return "from before the repair"
	case r.Again:
		return "made again later"
	case r.Counts == diagnose.CountsNeither:
		return "neither"
	}
	return string(r.Counts)
}

// foretold writes what a fault would show at a check.
func (s *speaker) foretold(c diagnose.Check, r diagnose.Reading) string {
	if !r.Firm {
		return "nothing to rely on"
	}
	text := s.shows(c, r)
	if r.Either {
		text += ", or " + s.shows(c, diagnose.Reading{Kind: r.Kind, Value: r.Else, Firm: true}) + " with the fuse open"
	}
	return text
}

// runnersUp tells how the check that is proposed was weighed against others, and how to
// ask about a fault.
func (s *speaker) runnersUp(p *diagnose.Proposal, t *diagnose.Turn) []string {
	var out []string
	if p == t.Next && len(t.Others) > 0 {
		for i, w := range s.m.Explain(*t) {
			name := "This check"
			if i > 0 {
				name = fmt.Sprintf("Runner-up %d, %s", i, s.condensed(w.Check))
			}
			out = append(out, fmt.Sprintf("%s: %.2f bits, %s, leaves %s at the most and %.1f groups on average.",
				name, w.Bits, span(w.Minutes), count(w.Largest.Faults, "fault"), w.Groups))
		}
	}
	if len(t.Candidates) > 0 {
		out = append(out, fmt.Sprintf("Typed with a fault's name, as why %s, it tells which readings count for and against that fault.", t.Candidates[0].ID))
	}
	return out
}

// whyFault tells which readings count for and against a fault that is named by its
// identity.
func (d *dialogue) whyFault(id string) {
	i, err := faultmodel.Find(d.m.Faults(), id)
	if err != nil {
		d.out.para("  ", sentence(err.Error()))
		return
	}
	f, readings, name := d.m.Faults()[i], d.m.Evidence(d.log, i), byCheck(d.log)
	d.out.para("  ", sentence(f.Text+": "+summedUp(readings)))
	for _, r := range readings {
		entry := d.log.Entries[r.Index]
		d.out.hang("  - ", fmt.Sprintf("%s, %s: %s; this fault shows %s.", sentenceStart(countsWords(r)), name(r.Index, r.Line),
			d.speak.entry(entry), d.speak.foretold(entry.Check, r.Reading)))
	}
}

// withoutLines drops lines of a log that are doubted.
func withoutLines(log diagnose.Log, lines []int) (diagnose.Log, error) {
	for _, n := range lines {
		found := false
		for i, e := range log.Entries {
			if e.Line == n {
				log.Entries = append(log.Entries[:i:i], log.Entries[i+1:]...)
				found = true
				break
			}
		}
		if !found {
			return log, usagef("--drop %d: no reading that still stands is on line %d of the log", n, n)
		}
	}
	return log, nil
}
