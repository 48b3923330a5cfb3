package main

import (
	"fmt"
	"io"
	"strings"

	"deadrung/diagnose"
)

// markdown writes the charts as Markdown: every check numbered, every answer with the
// number that it leads to.
func (b *chartBook) markdown(out io.Writer) error {
	var text strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&text, format+"\n", args...) }
	line("# Fault-finding chart: %s\n", marked(b.speak.circuit.Title))
	if about := b.speak.circuit.About; about != "" {
		line("%s\n", marked(about))
	}
	quoteCaution := func(c string) { line("> %s\n", strings.ReplaceAll(strings.TrimSpace(c), "\n", "\n> ")) }
	quoteCaution(caution)
	line("Begin at check 1. Make the check, find the answer, go on at the number behind it.")
	line("A verdict is proved before anything is replaced; a proof that reads otherwise does not bear it out.")
	line("%s`%s`.\n", noneFits, b.find)
	line("## The steps\n")
	line("%s\n", marked(b.speak.fromRest()))
	for i := range b.speak.circuit.Steps {
		line("%s", marked(b.speak.stepLine(i)))
	}
	line("")
	line("## When the power changes\n")
	quoteCaution(onEveryCheck(lockOut, "where a check says so"))
	quoteCaution(onEveryCheck(backToPower, "where a check says so"))
	for i, f := range b.flows {
		f.markdown(i, line)
	}
	_, err := io.WriteString(out, text.String())
	return err
}

func (f *flow) markdown(chart int, line func(string, ...any)) {
	line("## %s\n", marked(f.complaint()))
	line("%s\n", marked(f.summary()))
	anchor := func(s *stop) string { return fmt.Sprintf("c%d-%d", chart+1, s.number) }
	if s := f.stops[0]; s.number == 0 {
		line("- %s", f.leads(s, anchor))
	}
	for _, s := range f.stops {
		if s.number == 0 {
			continue
		}
		line("### <a id=\"%s\"></a>%d. %s\n", anchor(s), s.number, marked(sentenceStart(f.book.speak.condensed(s.fork.Turn.Next.Check))))
		switch s.notice() {
		case lockOut:
			line("**Lock out first.**\n")
		case backToPower:
			line("**Back to power first.**\n")
		}
		for _, e := range s.exits {
			line("- %s (%s): %s", marked(e.text), chance(e.way.Probability), f.leads(e.to, anchor))
		}
		line("")
	}
}

// leads tells where an answer leads: to the next check, or to a verdict with its proof and
// its repair.
func (f *flow) leads(to *stop, anchor func(*stop) string) string {
	if to.number > 0 {
		return fmt.Sprintf("go to [%d](#%s)", to.number, anchor(to))
	}
	if t := &to.fork.Turn; to.cut || t.Status != diagnose.Found && t.Status != diagnose.GroupLeft {
		return marked(f.end(to))
	}
	var text strings.Builder
	for _, p := range f.book.speak.verdict(&to.fork.Turn) {
		switch {
		case p.label == "VERDICT":
			fmt.Fprintf(&text, "**%s**", marked(p.text))
		case p.label == "":
			fmt.Fprintf(&text, "\n  %s", marked(p.text))
		default:
			fmt.Fprintf(&text, "\n  - %s: %s", sentenceStart(strings.ToLower(p.label)), marked(p.text))
		}
	}
	proofs, end := to.proofs()
	for _, p := range proofs {
		fmt.Fprintf(&text, "\n  - Proof: %s.", marked(f.proof(p)))
	}
	if end.number > 0 {
		fmt.Fprintf(&text, "\n  - Then go to [%d](#%s).", end.number, anchor(end))
	}
	for _, r := range f.book.speak.repair(&to.fork.Turn) {
		fmt.Fprintf(&text, "\n  - Repair, locked out: %s", marked(r))
	}
	return text.String()
}
