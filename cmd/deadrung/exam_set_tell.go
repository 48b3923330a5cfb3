package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
)

// setResult is the machine form of what set did. It names no fault.
type setResult struct {
	Exam       string        `json:"exam"`
	Title      string        `json:"title"`
	Form       exam.Form     `json:"form"`
	Dir        string        `json:"dir"`
	Seed       string        `json:"seed"`
	Circuits   int           `json:"circuits"`
	Candidates int           `json:"candidates"`
	Faults     int           `json:"faults"`
	By         string        `json:"by"`
	Effort     effortRange   `json:"effort"`
	Fair       bool          `json:"fair"`
	Alike      [][2]int      `json:"alike"` // seats of neighbours that have a fault in common
	Pool       int           `json:"pool"`  // faults there were to choose from
	Reach      int           `json:"reach"` // of them another secret could have chosen
	Apart      int           `json:"apart"` // of these so many that checks tell apart
	Used       int           `json:"used"`  // different ones that were chosen
	Passed     []exam.Passed `json:"passed"`
	Packets    []string      `json:"packets"`
	Largest    int           `json:"packet-bytes"` // of the largest packet
}

type effortRange struct {
	Least  float64 `json:"least"`
	Most   float64 `json:"most"`
	Spread float64 `json:"spread"`
}

// largePacket is a packet that is worth a word, in bytes.
const largePacket = 10e6

// fewInReach is a number of faults that is worth a word. Common practice, no source.
const fewInReach = 20

// print tells what was set, and what to do next.
func (r *setResult) print(out *talk.Page) {
	unit := "min"
	if r.By == "checks" {
		unit = "checks"
	}
	out.Parf("", "%s: %s, %s each, %s.", r.Title, talk.Count(r.Candidates, "candidate"),
		talk.Count(r.Faults, "fault"), r.Form)
	out.Parf("", "Expected for each candidate: %.1f to %.1f %s; they lie %.1f %% apart.", r.Effort.Least,
		r.Effort.Most, unit, 100*r.Effort.Spread)
	switch {
	case r.Effort.Spread > exam.Tolerance+1e-9:
		out.Parf("", "NOT EQUAL within %.0f %%: the %s to choose from do not come nearer. "+
			"More faults for each candidate, another circuit, or --by %s may.",
			100*exam.Tolerance, talk.Count(r.Pool, "fault"),
			map[string]string{"minutes": "checks", "checks": "minutes"}[r.By])
	default:
		out.Parf("", "That is equal within %.0f %%. Of %s that may be set, %d were.", 100*exam.Tolerance,
			talk.Count(r.Pool, "fault"), r.Used)
	}
	out.Parf("", "Any of %s was in reach: which were chosen hangs on the seed and the passphrase alone.",
		talk.Count(r.Reach, "fault"))
	if r.Reach < fewInReach {
		out.Para("", "THAT IS FEW: whoever guesses among them is often right. More circuits make more.")
	}
	if len(r.Alike) > 0 {
		var pairs []string
		for _, a := range r.Alike {
			pairs = append(pairs, fmt.Sprintf("%d and %d", a[0], a[1]))
		}
		out.Parf("", "NEIGHBOURS ALIKE: seats %s have a fault in common; "+
			"there are too few faults that are equally hard.", strings.Join(pairs, ", "))
	} else if r.Candidates > 1 {
		out.Para("", "No two neighbours have a fault in common.")
	}
	if len(r.Passed) > 0 {
		out.Para("", "Left out:")
		for _, p := range r.Passed {
			of := ""
			if r.Circuits > 1 {
				of = " of " + p.Circuit
			}
			out.Hang("  - ", fmt.Sprintf("%s%s: %s", talk.Count(p.Faults, "fault"), of, p.Why))
		}
	}
	out.Blank()
	out.Parf("", "The folder is %s. Hand out %s; keep %s and the rest.", r.Dir, packetsDir, keyFile)
	if r.Largest > largePacket {
		out.Parf("", "The packets are large, %d MB each: every reading of the panel is in them. "+
			"--form served or bench makes small ones.", r.Largest/1e6)
	}
	out.Para("", "The passphrase opens the key. Nobody can recover a forgotten one: "+
		"write it down where no candidate comes.")
	if r.Form == exam.Bench {
		out.Parf("", "How the faults are put into the trainers: deadrung exam cards %s", r.Dir)
	}
	if r.Form == exam.Served {
		out.Parf("", "While the exam is sat: deadrung exam serve %s", r.Dir)
	}
	if r.Form == exam.Served {
		out.Parf("", "Afterwards: deadrung exam mark %s", r.Dir)
		return
	}
	out.Parf("", "Afterwards put the answer logs into %s, and: deadrung exam mark %s",
		filepath.Join(r.Dir, answersDir), r.Dir)
}
