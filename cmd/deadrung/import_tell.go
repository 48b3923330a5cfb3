package main

import (
	"io"
	"strings"

	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/talk"
)

// tellDraft says what was made, and what nothing told.
func tellDraft(o importOptions, d wirelist.Draft, s streams) {
	out := talk.NewPage(s.err)
	wires := 0
	for _, r := range d.Rows {
		if !r.Bridge {
			wires++
		}
	}
	var open []wirelist.Question
	for _, q := range d.Questions {
		if !q.Answered {
			open = append(open, q)
		}
	}
	out.Parf("", "%s: %s, %s.", o.file, talk.Count(len(d.Devices), "device"), talk.Count(wires, "wire"))
	if len(open) == 0 {
		return
	}
	out.Para("", "The list does not tell what is below. It is marked NOT TOLD in the file: "+
		"look it over there, or give --answer ID=ANSWER.")
	for _, q := range open {
		taken := "nothing is taken"
		if q.Taken != "" {
			taken = "taken as " + q.Taken
		}
		if len(q.Choices) > 1 {
			taken += " (of " + strings.Join(q.Choices, ", ") + ")"
		}
		out.Hang("  "+q.ID+"  ", taken)
	}
}

// printPractice prints the tables that devices are told by.
func printPractice(out io.Writer, asJSON bool) error {
	if asJSON {
		return printJSON(out, struct {
			Letters   []wirelist.Letters  `json:"letters"`
			Numbering []wirelist.Practice `json:"numbering"`
		}{wirelist.Designations(), wirelist.Numbering})
	}
	p := talk.NewPage(out)
	for _, l := range wirelist.Designations() {
		p.Hang("  "+talk.Padded(l.Letters, 6)+strings.Join(l.Types, ", ")+"  ", "("+l.Source+")")
	}
	p.Blank()
	for _, n := range wirelist.Numbering {
		p.Hang("  ", n.What+" ("+n.Source+")")
	}
	return nil
}
