package paper

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
)

// worked is a step in the machine form of the result.
type worked struct {
	Step      string          `json:"step"`
	Set       []string        `json:"set,omitempty"`
	Wait      float64         `json:"wait,omitempty"`
	Outputs   map[string]seen `json:"outputs"`
	Blown     []string        `json:"blown,omitempty"`
	Collapsed []string        `json:"collapsed,omitempty"`
	Chatter   []string        `json:"chatter,omitempty"`
}

// seen is what a look shows.
type seen struct {
	Saw  string `json:"saw"`
	Firm *bool  `json:"firm,omitempty"`
	Good *bool  `json:"good,omitempty"` // false where the good circuit has it otherwise
}

// WorkAll works the operation. Where good is given, what differs from it is marked.
func WorkAll(p *work.Panel, overlay *work.Overlay, good []worked) []worked {
	var steps []worked
	p.Work(overlay, func(i int, e *work.End) bool {
		st := p.Circuit.Steps[i]
		w := worked{Step: st.Name, Wait: st.Wait, Outputs: make(map[string]seen)}
		for _, set := range st.Set {
			w.Set = append(w.Set, set.Device.Name+" "+set.Device.Positions[set.Position])
		}
		for _, d := range p.Visible() {
			on, firm := p.Look(overlay, e, d)
			v := seen{Saw: work.OnOff(on)}
			switch {
			case p.Flashes(overlay, e, work.Sight{Device: d}):
				v.Saw = string(log.Flashing)
			case !firm:
				v.Firm = new(bool)
			}
			if good != nil && good[i].Outputs[d.Name].Saw != v.Saw {
				v.Good = new(bool)
			}
			w.Outputs[d.Name] = v
		}
		for _, d := range e.Blown {
			w.Blown = append(w.Blown, d.Name)
		}
		for _, src := range e.Collapsed {
			w.Collapsed = append(w.Collapsed, p.SourceDevice(src).Name)
		}
		for _, d := range e.Chatter {
			w.Chatter = append(w.Chatter, d.Name)
		}
		steps = append(steps, w)
		return true
	})
	return steps
}

// PrintOperation prints a row a step and a column an output. With many outputs the
// table is cut into several, so that a line stays within a screen.
func PrintOperation(out io.Writer, p *work.Panel, steps []worked) {
	const columns = 8
	marks := false
	visible := p.Visible()
	for from := 0; from < len(visible); from += columns {
		part := visible[from:min(from+columns, len(visible))]
		t := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
		fmt.Fprint(t, "step")
		for _, d := range part {
			fmt.Fprintf(t, "\t%s", d.Name)
		}
		fmt.Fprintln(t)
		for i, w := range steps {
			fmt.Fprintf(t, "%d", i+1)
			for _, d := range part {
				s := w.Outputs[d.Name].String()
				marks = marks || s != w.Outputs[d.Name].Saw
				fmt.Fprintf(t, "\t%s", s)
			}
			fmt.Fprintln(t)
		}
		t.Flush()
		fmt.Fprintln(out)
	}
	for i, w := range steps {
		do := ""
		if w.do() != "" {
			do = ": " + w.do()
		}
		fmt.Fprintf(out, "%2d  %s%s\n", i+1, w.Step, do)
	}
	if marks {
		fmt.Fprintln(out, "\n"+strings.Join(operationMarks, "\n"))
	}
	for _, line := range mishaps(steps) {
		fmt.Fprintln(out, "\n"+line)
	}
}

// String is what is seen, with its marks.
func (v seen) String() string {
	s := v.Saw
	if v.Firm != nil {
		s += "?"
	}
	if v.Good != nil {
		s += "*"
	}
	return s
}

// operationMarks explain the marks of what is seen.
var operationMarks = []string{"*  the good circuit has it otherwise", "?  not to be relied on: it chatters or glimmers"}

// mishaps are what opens, is shorted or chatters in the steps.
func mishaps(steps []worked) []string {
	var lines, blown []string
	for i, w := range steps {
		for _, b := range w.Blown {
			if !slices.Contains(blown, b) {
				blown = append(blown, b)
				lines = append(lines, fmt.Sprintf(
					"%s opens in step %d and stays open: find what opened it before it is replaced or reset", b, i+1))
			}
		}
	}
	each(steps, func(w worked) []string { return w.Collapsed }, func(device, when string) {
		lines = append(lines, fmt.Sprintf("%s is shorted in %s and nothing protects it", device, when))
	})
	each(steps, func(w worked) []string { return w.Chatter }, func(device, when string) {
		lines = append(lines, fmt.Sprintf("%s chatters in %s", device, when))
	})
	return lines
}

// each tells of every device that is named in some steps once, with all of them.
func each(steps []worked, named func(worked) []string, tell func(device, when string)) {
	in := make(map[string][]int)
	var order []string
	for i, w := range steps {
		for _, device := range named(w) {
			if in[device] == nil {
				order = append(order, device)
			}
			in[device] = append(in[device], i+1)
		}
	}
	for _, device := range order {
		tell(device, stepList(in[device]))
	}
}

// stepList names steps by their numbers, which rise: "step 3", "steps 1 to 4, 6".
func stepList(numbers []int) string {
	var parts []string
	for i := 0; i < len(numbers); {
		k := i
		for k+1 < len(numbers) && numbers[k+1] == numbers[k]+1 {
			k++
		}
		switch {
		case k > i+1:
			parts = append(parts, fmt.Sprintf("%d to %d", numbers[i], numbers[k]))
		case k > i:
			parts = append(parts, fmt.Sprint(numbers[i]), fmt.Sprint(numbers[k]))
		default:
			parts = append(parts, fmt.Sprint(numbers[i]))
		}
		i = k + 1
	}
	return talk.Verb(len(numbers), "step ", "steps ") + strings.Join(parts, ", ")
}

// do tells what a person does in a step; empty for nothing.
func (w worked) do() string {
	var do []string
	if len(w.Set) > 0 {
		do = append(do, "set "+strings.Join(w.Set, ", "))
	}
	if w.Wait > 0 {
		do = append(do, fmt.Sprintf("wait %g s", w.Wait))
	}
	return strings.Join(do, "; ")
}
