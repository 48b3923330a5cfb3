package paper

import (
	"deadrung/circuits"
	"deadrung/diagnose/checkout"
	"deadrung/diagnose/log"
)

// outMachine is the machine form of a check-out.
type outMachine struct {
	Circuit    string        `json:"circuit"`
	Checks     []outOne      `json:"checks"`
	Parts      []outPartJSON `json:"parts"`
	Faults     int           `json:"faults"`
	Unseen     []outUnseen   `json:"unseen"`
	Ungrounded bool          `json:"ungrounded,omitempty"`
	Energising []outFeed     `json:"energising"`
	Steps      []outStep     `json:"steps"`
}

type outOne struct {
	Number  int                 `json:"number"`
	Part    string              `json:"part"`
	Rung    int                 `json:"rung"`
	Ends    [2]outEnd           `json:"ends"` // red lead first
	Cable   string              `json:"cable,omitempty"`
	Check   any                 `json:"check"` // with "read", what the good circuit reads
	Low     *float64            `json:"low,omitempty"`
	High    *float64            `json:"high,omitempty"` // not there where OL agrees
	Through []string            `json:"through,omitempty"`
	Tug     []circuits.Terminal `json:"tug,omitempty"`
	Shows   int                 `json:"shows"` // how many of the faults of its part
}

type outEnd struct {
	Terminal circuits.Terminal `json:"terminal"`
	Device   string            `json:"device"`
	Place    string            `json:"place"`
	Cores    []outCore         `json:"cores,omitempty"`
}

type outCore struct {
	Cable string `json:"cable"`
	Core  string `json:"core,omitempty"`
}

// endMachine is an end of a check in its machine form.
func endMachine(e checkout.End) outEnd {
	out := outEnd{Terminal: e.Terminal, Device: e.Device.Type.Called(), Place: e.Device.Place}
	for _, c := range e.Cores {
		out.Cores = append(out.Cores, outCore(c))
	}
	return out
}

type outPartJSON struct {
	Part   string `json:"part"`
	Checks int    `json:"checks"`
	Faults int    `json:"faults"`
	Tried  int    `json:"tried"` // how many checks were chosen from
	Bound  int    `json:"bound"`
	Exact  bool   `json:"exact"`
}

type outUnseen struct {
	Text string `json:"text"`
	Near bool   `json:"near,omitempty"`
}

type outFeed struct {
	Device string `json:"device"`
	Check  any    `json:"check,omitempty"`
	Low    int    `json:"low,omitempty"`
	High   int    `json:"high,omitempty"`
}

type outStep struct {
	Step string `json:"step"`
	Do   string `json:"do"`
	Must string `json:"must"`
}

var partNames = map[checkout.Sort]string{checkout.Lifted: "lifted", checkout.Plain: "plain",
	checkout.Held: "held"}

// Machine gives the check-out in its machine form.
func (r *CheckOut) Machine() outMachine {
	out := outMachine{Circuit: r.Speak.Circuit.Title, Checks: []outOne{}, Parts: []outPartJSON{},
		Faults: r.Plan.Faults,
		Unseen: []outUnseen{}, Ungrounded: r.Plan.Ungrounded, Energising: []outFeed{}, Steps: []outStep{}}
	for _, p := range r.Plan.Rounds {
		out.Parts = append(out.Parts, outPartJSON{partNames[p.Sort], len(p.Checks), p.Faults, p.Tried, p.Bound,
			p.Fewest()})
		for _, c := range p.Checks {
			one := outOne{Number: len(out.Checks) + 1, Part: partNames[p.Sort], Rung: c.Rung,
				Check: log.MarshalWith(c.Check, c.Usual), Low: &c.Low, Through: c.Through, Tug: c.Tug,
				Shows: c.Shows, Ends: [2]outEnd{endMachine(c.Ends[0]), endMachine(c.Ends[1])}, Cable: c.Cable()}
			if c.High != log.OL {
				one.High = &c.High
			}
			out.Checks = append(out.Checks, one)
		}
	}
	for _, u := range r.Plan.Unseen {
		out.Unseen = append(out.Unseen, outUnseen{u.Text, u.Near})
	}
	for _, f := range r.feeds {
		feed := outFeed{Device: f.Device.Name}
		if f.Check.Kind() != 0 {
			feed.Check, feed.Low, feed.High = log.MarshalWith(f.Check, f.Usual), int(f.Low+0.5),
				int(f.High+0.5)
		}
		out.Energising = append(out.Energising, feed)
	}
	do, must := r.StepLines()
	for i, st := range r.Speak.Circuit.Steps {
		out.Steps = append(out.Steps, outStep{st.Name, do[i], must[i]})
	}
	return out
}
