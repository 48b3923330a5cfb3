package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"slices"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// mostSimulated ends a simulated search that finds no end: each check rules out a fault, or
// is one of the few that prove a verdict.
func mostSimulated(m *diagnose.Model) int { return len(m.Faults()) + 200 }

// simulated is the machine form of a simulated session.
type simulated struct {
	Circuit string            `json:"circuit"`
	Fault   faultmodel.ID     `json:"fault"`
	Text    string            `json:"text"`
	Seed    uint64            `json:"seed"`
	By      string            `json:"by"`
	Checks  []json.RawMessage `json:"checks"` // in the form of the log; not firm ones say so
	Minutes float64           `json:"minutes"`
	Proofs  []simulatedProof  `json:"proofs"` // of the verdict, in their order
	Status  diagnose.Status   `json:"status"`
	Verdict []faultmodel.ID   `json:"verdict"`
	Right   bool              `json:"right"`
}

type simulatedProof struct {
	Check  json.RawMessage `json:"check"`
	Agrees bool            `json:"agrees"`
}

// rig is a simulated panel: it answers checks as a meter on a panel with the fault
// does. Where a reading is not firm it shows a ghost of one, by its seed.
type rig struct {
	m      *diagnose.Model
	meter  *diagnose.Meter
	ghosts *rand.Rand
}

func newRig(m *diagnose.Model, fault int, ghosts *rand.Rand) rig {
	return rig{m: m, meter: m.Meter(fault), ghosts: ghosts}
}

// read gives the reading of a check; its Firm tells whether it is one to rely on.
func (r rig) read(c log.Check) (log.Reading, error) {
	reading, err := r.meter.Read(c)
	if err != nil {
		return reading, err
	}
	if !reading.Firm {
		most, err := r.m.Stray(c)
		if err != nil {
			return reading, err
		}
		if reading.Kind == log.Look {
			reading.On = r.ghosts.IntN(2) == 1
		} else {
			reading.Value = r.ghosts.Float64() * most
		}
	}
	reading.Value = math.Round(reading.Value*10) / 10 // what a meter shows
	return reading, nil
}

// hide chooses the fault of a simulated panel: the one that is named, or any, by how
// likely each is. Faults that no check shows are left out.
func hide(m *diagnose.Model, name string, g given, choose *rand.Rand) (int, error) {
	if name != "any" {
		i, err := g.fault(m.Panel(), m.Faults(), name)
		if err != nil {
			return 0, usagef("%w; \"deadrung faults\" lists them, and any takes one of them", err)
		}
		return i, nil
	}
	shown := training.Findable(m)
	if len(shown) == 0 {
		return 0, fmt.Errorf("no check shows any fault of this circuit, so none can be found")
	}
	return training.Draw(m, shown, choose.Float64()), nil
}

// runSimulate runs a session whose checks a simulated panel answers.
func runSimulate(ctx context.Context, o findOptions, s streams) error {
	by, err := parseBy(o.by)
	switch {
	case err != nil:
		return err
	case o.circuit == "":
		return usagef("--simulate needs a circuit%s", circuits.Suggest("", circuits.Builtin()))
	case o.output != "" && !o.json:
		return usagef("-o is for the result of --json")
	}
	out := talk.NewPage(s.out)
	if o.json {
		out.Out = io.Discard
	}
	m, err := loadModel(ctx, o.circuit, o.given, s)
	if err != nil {
		return err
	}
	if !o.seeded {
		o.seed = o.random()
	}
	random := rand.New(rand.NewPCG(o.seed, 1))
	var hidden int
	talk.Patiently(s.err, func() { hidden, err = hide(m, o.simulate, o.given, random) })
	if err != nil {
		return err
	}
	d := newLogged(guide.New(m, guide.Simulating(by), log.Log{}), nil, out, o.now)
	if err := d.open(o, s); err != nil {
		return err
	}
	if len(d.Log().Entries) > 0 {
		d.file.Close()
		return fmt.Errorf("the log %s has answers already: a simulated panel needs a log of its own", o.log)
	}
	fault := m.Faults()[hidden]
	result := simulated{Circuit: d.Speak.Circuit.Title, Fault: fault.ID, Text: fault.Text, Seed: o.seed,
		By:     o.by,
		Checks: []json.RawMessage{}, Proofs: []simulatedProof{}, Verdict: []faultmodel.ID{}}
	out.Notice(talk.CautionOf(m.Panel()))
	out.Parf("", "%s: %s, %s.", d.Speak.Circuit.Title, talk.Count(len(d.Speak.Circuit.Steps), "step"),
		talk.Count(len(m.Faults()), "possible fault"))
	out.Parf("", "SIMULATED PANEL: it hides a fault and answers every check. Nothing is live here. "+
		"Seed %d; --seed %d gives the same run again.", o.seed, o.seed)
	err = d.search(newRig(m, hidden, random), &result)
	if err == nil {
		d.judge(hidden, &result)
	}
	if err := d.close(o, err); err != nil || !o.json {
		return err
	}
	return output(o.output, s, func(out io.Writer) error { return printJSON(out, result) })
}

// search makes every check that is proposed, until there is a verdict and its proof.
func (d *logged) search(r rig, result *simulated) error {
	if err := d.Begin(); err != nil {
		return err
	}
	for range mostSimulated(d.Model) {
		if d.Guide.Over() {
			return nil
		}
		p := d.Guide.Proposal()
		reading, err := r.read(p.Check)
		if err != nil {
			return err
		}
		check := log.MarshalWith(p.Check, reading)
		d.Out.Parf("> ", "%s", d.Speak.Answer(p.Check, &reading))
		if !reading.Firm {
			d.Out.Para("  ", "Not firm: with the hidden fault nobody can foretell this reading.")
		}
		reading.Firm = true // what a person would have noted down
		verdict := d.Turn().Left
		if err := d.Take(guide.Answer{Reading: &reading}); err != nil {
			return err
		}
		if p.Proof {
			not := d.Model.Disagreeing(d.Log().Entries[len(d.Log().Entries)-1])
			agrees := slices.ContainsFunc(verdict, func(f int) bool { return !slices.Contains(not, f) })
			result.Proofs = append(result.Proofs, simulatedProof{check, agrees})
		} else {
			result.Checks = append(result.Checks, check)
			result.Minutes += p.Minutes
		}
	}
	return nil
}

// judge tells whether the verdict is the hidden fault: its group found, or the fault among
// those left.
func (d *logged) judge(hidden int, result *simulated) {
	t := d.Turn()
	result.Status = t.Status
	result.Minutes = math.Round(result.Minutes*100) / 100
	for _, c := range d.Speak.Ranked(t) {
		result.Verdict = append(result.Verdict, c.ID)
		result.Right = result.Right || c.Index == hidden
	}
	switch t.Status {
	case diagnose.Found, diagnose.GroupLeft:
	case diagnose.Healthy:
		result.Right = d.Model.Hidden(hidden)
	default:
		result.Right = false
	}
	f := d.Model.Faults()[hidden]
	right := "The verdict is right."
	if !result.Right {
		right = "The verdict is wrong."
	}
	d.Out.Parf("", "The hidden fault: %s (%s).", f.Text, f.ID)
	d.Out.Para("", right)
	d.Out.Parf("", "It took %s and about %s at the panel; %s not counted.",
		talk.Count(len(result.Checks), "check"), talk.Span(result.Minutes),
		talk.Verb(len(result.Proofs), "the proof is", "proofs are"))
}
