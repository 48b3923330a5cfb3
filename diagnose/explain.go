package diagnose

import (
	"encoding/json"

	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Weighed is a check as it was weighed against others.
type Weighed struct {
	Check   log.Check `json:"check"`
	Bits    float64   `json:"bits"` // what its answer is expected to tell about the groups left
	Minutes float64   `json:"minutes"`
	// Largest is the most that an answer leaves.
	Largest Largest `json:"largest"`
	// Groups is how many groups are expected to be left.
	Groups float64 `json:"groups"`
}

// Largest is the answer that leaves the most faults.
type Largest struct {
	Faults      int     `json:"faults"`
	Probability float64 `json:"probability"`
}

// RunnersUp is how many checks are weighed beside the one that is proposed.
const RunnersUp = 3

// Explain weighs the check that a turn proposes and its runners-up, in their order. It
// gives none where no check is proposed.
func (m *Model) Explain(t Turn) []Weighed {
	if t.Next == nil {
		return []Weighed{}
	}
	group := make(map[faultmodel.ID]int32, len(m.faults))
	for i, f := range m.faults {
		group[f.ID] = m.table.group[i]
	}
	out := []Weighed{}
	for _, p := range append([]Proposal{*t.Next}, t.Others[:min(RunnersUp, len(t.Others))]...) {
		w := Weighed{Check: p.Check, Bits: p.Bits, Minutes: p.Minutes}
		for _, a := range p.Outcomes {
			if n := len(a.Candidates); n > w.Largest.Faults {
				w.Largest = Largest{n, a.Probability}
			}
			seen := make(map[int32]bool)
			for _, id := range a.Candidates {
				seen[group[id]] = true
			}
			if a.Good {
				seen[m.table.group[len(m.faults)]] = true
			}
			w.Groups += a.Probability * float64(len(seen))
		}
		w.Groups = log.Round(w.Groups)
		out = append(out, w)
	}
	return out
}

// Counts says what a reading does to a fault.
type Counts string

const (
	CountsFor     Counts = "for"     // it fits, and something else does not
	CountsAgainst Counts = "against" // it does not fit
	CountsNeither Counts = "neither" // everything fits, nothing can be foretold, or it no longer counts
)

// Evidence is a reading of a log held against a fault.
type Evidence struct {
	Line  int             `json:"line"`
	Entry json.RawMessage `json:"entry"`
	// Foretold is what the fault would show: "saw", or "read" and perhaps "or", or
	// "firm" with false where nothing can be foretold.
	Foretold json.RawMessage `json:"foretold"`
	Counts   Counts          `json:"counts"`
	// Again is set where the check was made again, and counts there; Before where the
	// panel has been repaired since.
	Again  bool `json:"again,omitempty"`
	Before bool `json:"before,omitempty"`

	Index   int         `json:"-"` // into Log.Entries
	Reading log.Reading `json:"-"` // foretold
}

// Evidence tells which readings of a log count for a fault and which against it, in the
// order of the log.
func (m *Model) Evidence(history log.Log, fault int) []Evidence {
	b := m.believe(history)
	out := []Evidence{}
	for i, e := range history.Entries {
		if e.Answer == nil {
			continue
		}
		r := m.foretell(fault, e.Located())
		ev := Evidence{Line: e.Line, Entry: log.MarshalWith(e.Check, *e.Answer), Foretold: r.Marshal(), Counts: CountsNeither, Index: i, Reading: r}
		switch against := b.against[i]; {
		case i < history.Since():
			ev.Before = true
		case against == nil:
			ev.Again = true
		case against[fault]:
			ev.Counts = CountsAgainst
		case r.Firm:
			for _, no := range against {
				if no {
					ev.Counts = CountsFor
					break
				}
			}
		}
		out = append(out, ev)
	}
	return out
}
