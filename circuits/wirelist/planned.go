package wirelist

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"

	"deadrung/circuits"
	"deadrung/circuits/plan"
)

// PlanOf gives the wires of a list that somebody planned. Bridges that the circuit has are there
// without a wire; any other is a wire like the rest.
func PlanOf(c *circuits.Circuit, rows []Row) []plan.Wire {
	var wires []plan.Wire
	for _, r := range rows {
		if r.Bridge && len(OtherBridges([]Row{r}, c)) == 0 {
			continue
		}
		wires = append(wires, plan.Wire{Number: r.Number, From: r.From, To: r.To, At: r.at})
	}
	return wires
}

// WritePlan writes a plan as comma-separated values, as [ReadPlan] reads it.
func WritePlan(w io.Writer, wires []plan.Wire) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	rows := [][]string{{"order", "wire", "from", "to"}}
	for i, wire := range wires {
		rows = append(rows, []string{strconv.Itoa(i + 1), guarded(wire.Number), guarded(string(wire.From)), guarded(string(wire.To))})
	}
	return out.WriteAll(rows)
}

// Rung is what of a circuit is wired for one rung.
type Rung struct {
	Number     int   // on the drawing, from 1; 0 for what feeds the rungs
	Conductors []int // indices into the circuit's wire numbers, in the order of wiring
}

// ByRung gives the conductors of a circuit by the rung for which each is wired first.
func (l List) ByRung() []Rung {
	index := make(map[string]int)
	for i, n := range l.Circuit.Numbers {
		index[n.Name] = i
	}
	var rungs []Rung
	had := make(map[int]bool)
	for _, line := range l.Lines {
		i, ok := index[line.Number]
		if !ok || had[i] {
			continue
		}
		had[i] = true
		at := slices.IndexFunc(rungs, func(r Rung) bool { return r.Number == line.Rung })
		if at < 0 {
			rungs, at = append(rungs, Rung{Number: line.Rung}), len(rungs)
		}
		rungs[at].Conductors = append(rungs[at].Conductors, i)
	}
	return rungs
}
