package paper

import (
	"fmt"
	"io"
	"strings"
)

// DOT writes the charts as a graph in the DOT language: a box for each check, a double one
// for each end, an edge for each answer.
func (b *Book) DOT(out io.Writer) error {
	var text strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&text, format+"\n", args...) }
	line("digraph chart {")
	line("  rankdir=LR;")
	line("  labelloc=t; labeljust=l;")
	line("  label=%s;", dotText(append([]string{"Fault-finding chart: " + b.speak.Circuit.Title},
		b.printedCautions("where a box says so")...)...))
	line("  node [shape=box];")
	for i, f := range b.Flows {
		line("  subgraph cluster_%s {", chartName(i))
		line("    label=%s;", dotText(f.complaint(), f.summary()))
		f.dot(chartName(i), f.stops[0], line)
		line("  }")
	}
	line("}")
	_, err := io.WriteString(out, text.String())
	return err
}

func (f *flow) dot(name string, s *stop, line func(string, ...any)) {
	shape := ""
	if s.number == 0 {
		shape = " peripheries=2"
	}
	line("    %s [label=%s%s];", s.ID(name), dotText(f.boxed(s)...), shape)
	if s.number > 0 {
		for _, e := range s.exits {
			line("    %s -> %s [label=%s];", s.ID(name), e.to.ID(name), dotText(e.text))
			f.dot(name, e.to, line)
		}
	} else if _, end := s.proofs(); end.number > 0 {
		line("    %s -> %s [label=\"proved\"];", s.ID(name), end.ID(name))
		f.dot(name, end, line)
	}
}

// dotText writes lines of text as a string of the DOT language, each broken to a width.
func dotText(lines ...string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, l := range lines {
		const runes = 48
		for _, part := range broken(l, runes) {
			b.WriteString(strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(part))
			b.WriteString(`\l`)
		}
	}
	b.WriteByte('"')
	return b.String()
}
