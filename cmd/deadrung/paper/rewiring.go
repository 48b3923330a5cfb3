package paper

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/talk"
)

// wiredNumber is a wire number in the machine form of the result.
type wiredNumber struct {
	Number string     `json:"number"`
	Runs   [][]string `json:"runs"`
	// Status is kept or new beside an older circuit, and else left out.
	Status string `json:"status,omitempty"`
}

// wiredContact is a contact that was chosen by its kind.
type wiredContact struct {
	Rung    int    `json:"rung"` // of the drawing
	Line    int    `json:"line"`
	Written string `json:"written"`
	Contact string `json:"contact"`
}

// Wired is the machine form of the result.
type Wired struct {
	Circuit  string         `json:"circuit"`
	Numbers  []wiredNumber  `json:"numbers"`
	Contacts []wiredContact `json:"contacts"`
	Spare    []string       `json:"spare"`
	Changes  *rewiring      `json:"changes,omitempty"`
}

// rewiring is what is different from an older circuit.
type rewiring struct {
	New     []string     `json:"new"`  // wire numbers
	Gone    []string     `json:"gone"` // wire numbers
	Add     [][2]string  `json:"add"`  // wires
	Take    [][2]string  `json:"take"` // wires
	Relabel []relabelled `json:"relabel"`
}

// relabelled is a wire that stays where it is and gets another number.
type relabelled struct {
	Wire [2]string `json:"wire"`
	Was  string    `json:"was"`
	Is   string    `json:"is"`
}

// WiredForm gives the machine form of the wires of a circuit.
func WiredForm(d *drawing.Drawing) *Wired {
	c := d.Circuit
	w := &Wired{Circuit: c.Title, Numbers: []wiredNumber{}, Contacts: []wiredContact{}, Spare: c.Spare()}
	if w.Spare == nil {
		w.Spare = []string{}
	}
	for i := range c.Numbers {
		n := wiredNumber{Number: c.Numbers[i].Name, Runs: [][]string{}}
		for _, run := range c.Numbers[i].Runs() {
			var names []string
			for _, t := range run {
				names = append(names, string(t))
			}
			n.Runs = append(n.Runs, names)
		}
		w.Numbers = append(w.Numbers, n)
	}
	for _, it := range c.Choices() {
		w.Contacts = append(w.Contacts, wiredContact{Rung: d.OfItem(it), Line: it.At.Line,
			Written: it.Written, Contact: it.Text()})
	}
	return w
}

// Compare notes what is different from an older circuit.
func (w *Wired) Compare(old *circuits.Circuit) {
	ch := &rewiring{New: []string{}, Gone: []string{}, Add: [][2]string{}, Take: [][2]string{},
		Relabel: []relabelled{}}
	w.Changes = ch
	key := func(a, b string) [2]string { return [2]string{min(a, b), max(a, b)} }
	had, has := make(map[[2]string]string), make(map[[2]string]bool)
	numbers := make(map[string]bool)
	for _, n := range old.Numbers {
		numbers[n.Name] = true
		for _, x := range n.Wires {
			had[key(string(x.From), string(x.To))] = n.Name
		}
	}
	for i := range w.Numbers {
		n := &w.Numbers[i]
		n.Status = "kept"
		if !numbers[n.Number] {
			n.Status = "new"
			ch.New = append(ch.New, n.Number)
		}
		for _, run := range n.Runs {
			for k := 1; k < len(run); k++ {
				x := key(run[k-1], run[k])
				was, there := had[x]
				has[x] = there
				switch {
				case !there:
					ch.Add = append(ch.Add, [2]string{run[k-1], run[k]})
				case was != n.Number:
					ch.Relabel = append(ch.Relabel, relabelled{[2]string{run[k-1], run[k]}, was, n.Number})
				}
			}
		}
	}
	for _, n := range old.Numbers {
		if !slices.ContainsFunc(w.Numbers, func(x wiredNumber) bool { return x.Number == n.Name }) {
			ch.Gone = append(ch.Gone, n.Name)
		}
		for _, x := range n.Wires {
			if !has[key(string(x.From), string(x.To))] {
				ch.Take = append(ch.Take, [2]string{string(x.From), string(x.To)})
			}
		}
	}
}

// Tell says to whoever rewires the panel what to do.
func (ch *rewiring) Tell(to io.Writer) {
	p := talk.NewPage(to)
	if len(ch.New)+len(ch.Gone)+len(ch.Add)+len(ch.Take)+len(ch.Relabel) == 0 {
		p.Para("", "Nothing changes in the panel: all numbers and wires are kept.")
		return
	}
	p.Para("", "What changes in the panel. Lock out, tag out and prove it dead before a wire is moved.")
	for _, w := range ch.Take {
		p.Hang("  take out  ", w[0]+" to "+w[1])
	}
	for _, w := range ch.Add {
		p.Hang("  put in    ", w[0]+" to "+w[1])
	}
	for _, w := range ch.Relabel {
		p.Hang("  relabel   ", fmt.Sprintf("%s to %s: wire %s is now %s", w.Wire[0], w.Wire[1], w.Was, w.Is))
	}
	if len(ch.New) > 0 {
		p.Hang("  new wire numbers: ", strings.Join(ch.New, ", "))
	}
	if len(ch.Gone) > 0 {
		p.Hang("  wire numbers no longer used: ", strings.Join(ch.Gone, ", "))
	}
}
