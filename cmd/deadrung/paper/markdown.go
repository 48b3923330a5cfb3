package paper

import (
	"fmt"
	"io"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
)

// Markdown writes the charts as Markdown: every check numbered, every answer with the
// number that it leads to.
func (b *Book) Markdown(out io.Writer) error {
	var text strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&text, format+"\n", args...) }
	line("# Fault-finding chart: %s\n", talk.Marked(b.speak.Circuit.Title))
	if about := b.speak.Circuit.About; about != "" {
		line("%s\n", talk.Marked(about))
	}
	line("%s\n", talk.CautionOf(b.speak.Model.Panel()).Markdown())
	line("Begin at check 1. Make the check, find the answer, go on at the number behind it.")
	line("A verdict is proved before anything is replaced; a proof that reads otherwise does not bear it out.")
	line("%s`%s`.\n", noneFits, b.find)
	line("## The steps\n")
	line("%s\n", talk.Marked(b.speak.FromRest()))
	for i := range b.speak.Circuit.Steps {
		line("%s", talk.Marked(b.speak.StepLine(i)))
	}
	line("")
	line("## When the power changes\n")
	line("%s\n", talk.LockOutOf(b.speak.Model.Panel(), "where a check says so").Markdown())
	line("%s\n", talk.BackToPowerOnPaper("where a check says so").Markdown())
	for _, caution := range b.liveCautions() {
		line("> %s\n", caution)
	}
	for i, f := range b.Flows {
		f.markdown(i, line)
	}
	_, err := io.WriteString(out, text.String())
	return err
}

func (f *flow) markdown(chart int, line func(string, ...any)) {
	line("## %s\n", talk.Marked(f.complaint()))
	line("%s\n", talk.Marked(f.summary()))
	anchor := func(s *stop) string { return fmt.Sprintf("c%d-%d", chart+1, s.number) }
	if s := f.stops[0]; s.number == 0 {
		line("- %s", f.leads(s, anchor))
	}
	for _, s := range f.stops {
		if s.number == 0 {
			continue
		}
		line("### <a id=\"%s\"></a>%d. %s\n", anchor(s), s.number,
			talk.Marked(talk.SentenceStart(f.book.speak.Condensed(s.fork.Turn.Next.Check))))
		switch f.notice(s).Kind {
		case talk.PowerOff:
			line("**Lock out first.**\n")
		case talk.PowerBack:
			line("**Back to power first.**\n")
		}
		for _, e := range s.exits {
			line("- %s (%s): %s", talk.Marked(e.text), talk.Chance(e.way.Probability), f.leads(e.to, anchor))
		}
		line("")
	}
}

// leads tells where an answer leads: to the next check, or to a verdict with its proof and
// its repair. Their labels are bold, for the faults of a verdict of several stand in the same list.
func (f *flow) leads(to *stop, anchor func(*stop) string) string {
	if to.number > 0 {
		return fmt.Sprintf("go to [%d](#%s)", to.number, anchor(to))
	}
	if t := &to.fork.Turn; to.cut || t.Status != diagnose.Found && t.Status != diagnose.GroupLeft {
		return talk.Marked(f.end(to))
	}
	var text strings.Builder
	for _, p := range f.book.speak.Verdict(&to.fork.Turn) {
		switch {
		case p.Label == "VERDICT":
			fmt.Fprintf(&text, "**%s**", talk.Marked(p.Text))
		case p.Label == "":
			fmt.Fprintf(&text, "\n  %s", talk.Marked(p.Line()))
		default:
			fmt.Fprintf(&text, "\n  - **%s**: %s", talk.SentenceStart(strings.ToLower(p.Label)),
				talk.Marked(p.Text))
		}
	}
	proofs, end := to.proofs()
	for _, p := range proofs {
		fmt.Fprintf(&text, "\n  - **Proof**: %s.", talk.Marked(f.proof(p)))
	}
	if end.number > 0 {
		fmt.Fprintf(&text, "\n  - Then go to [%d](#%s).", end.number, anchor(end))
	}
	for _, r := range f.book.speak.Repair(&to.fork.Turn) {
		fmt.Fprintf(&text, "\n  - **Repair**, locked out: %s", talk.Marked(r))
	}
	return text.String()
}
