// Package sketch changes the rungs of a circuit file while it is being drawn: an item is put in
// before or after another, or beside it as a branch, or taken away, and the rest of the file stays
// as it was written, but for the lines of that rung.
//
//	text ──► Ladder ──► what is tapped ──► Edit ──► text
package sketch

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// Ladder is the rungs of a file, as far as they can be read.
type Ladder struct {
	Rungs []Rung `json:"rungs"`
	Parts []Part `json:"parts"` // that can be put in
}

// Rung is one of them. A feed is drawn like a rung.
type Rung struct {
	Title string `json:"title,omitempty"`
	Feed  bool   `json:"feed,omitempty"`
	Line  []Item `json:"line"`

	at   *yaml.Node
	from int // its first line, from 0
	to   int // the line after its last
}

// Item is what stands in a rung: a text as the file has it, or branches side by side.
type Item struct {
	Text     string   `json:"text,omitempty"`
	Branches [][]Item `json:"branches,omitempty"`
}

// Where says where an item is put.
type Where string

const (
	Before Where = "before" // the item at the path
	After  Where = "after"
	Beside Where = "beside" // a branch around it
	Away   Where = "away"   // nothing is put in: the item at the path is taken out
	Below  Where = "below"  // a new rung below this one
)

// Edit is one change.
type Edit struct {
	Where Where `json:"where"`
	Rung  int   `json:"rung"` // from 0; -1 for below none
	// Path leads to an item: its place in the line of the rung; then, as often as there are branches
	// on the way, which branch, and the place in it. All count from 0.
	Path []int  `json:"path,omitempty"`
	Part string `json:"part,omitempty"` // a word of Parts
}

// file is a circuit file that is being changed.
type file struct {
	lines   []string
	top     *yaml.Node
	rungs   []Rung
	devices *yaml.Node
	below   int // the line after the devices
}

// Read gives the rungs of a file; the error says what there is no ladder for.
func Read(text []byte) (*Ladder, error) {
	f, err := open(text)
	if err != nil {
		return nil, err
	}
	return &Ladder{Rungs: f.rungs, Parts: f.parts()}, nil
}

// Change gives the text of the file after a change.
func Change(text []byte, e Edit) ([]byte, error) {
	f, err := open(text)
	if err != nil {
		return nil, err
	}
	if e.Rung < -1 || e.Rung >= len(f.rungs) || e.Rung < 0 && e.Where != Below {
		return nil, fmt.Errorf("there is no rung %d", e.Rung+1)
	}
	var put Item
	device := "" // a new one
	if e.Where != Away {
		if put.Text, device, err = f.part(e.Part); err != nil {
			return nil, err
		}
	}
	devices, rungs, before := f.below, f.rungs[0].from, len(f.lines)
	if e.Where == Below {
		f.addRung(e.Rung, put)
	} else if err := f.change(&f.rungs[e.Rung], e, put); err != nil {
		return nil, err
	}
	if devices > rungs {
		devices += len(f.lines) - before
	}
	if device != "" {
		f.lines = slices.Insert(f.lines, devices, strings.Repeat(" ", f.devices.Content[0].Column-1)+device)
	}
	return []byte(strings.Join(f.lines, "\n")), nil
}

// open reads a file that may have mistakes, as long as it is YAML.
func open(text []byte) (*file, error) {
	var doc yaml.Node
	if err := yaml.Unmarshal(text, &doc); err != nil {
		return nil, fmt.Errorf("the text is not YAML: %w", err)
	}
	if len(doc.Content) == 0 || doc.Content[0].Kind != yaml.MappingNode {
		return nil, errors.New("a circuit file has keys, as circuit and devices")
	}
	f := &file{lines: strings.Split(string(text), "\n"), top: doc.Content[0]}
	for i := 0; i+1 < len(f.top.Content); i += 2 {
		switch key, value := f.top.Content[i], f.top.Content[i+1]; {
		case key.Value == "devices" && len(value.Content) > 0 && value.Kind == yaml.MappingNode && value.Style&yaml.FlowStyle == 0:
			f.devices, f.below = value, f.end(i)
		case key.Value == "rungs" && len(value.Content) > 0 && value.Kind == yaml.SequenceNode && value.Style&yaml.FlowStyle == 0:
			if err := f.readRungs(value, f.end(i)); err != nil {
				return nil, err
			}
		}
	}
	switch {
	case f.devices == nil:
		return nil, errors.New("the file needs devices, a line each, to sketch with")
	case f.rungs == nil:
		return nil, errors.New("the file needs rungs, a line each, to sketch with; this one has none")
	}
	return f, nil
}

// end is the line after a value of the file, without blank lines and comments before the next key.
func (f *file) end(i int) int {
	end := len(f.lines)
	if i+2 < len(f.top.Content) {
		end = f.top.Content[i+2].Line - 1
	}
	return f.withoutBlank(end)
}

func (f *file) withoutBlank(end int) int {
	for end > 0 {
		if line := strings.TrimSpace(f.lines[end-1]); line != "" && line[0] != '#' {
			break
		}
		end--
	}
	return end
}

func (f *file) readRungs(value *yaml.Node, end int) error {
	for i, n := range value.Content {
		r := Rung{at: n, from: n.Line - 1, to: end}
		if i+1 < len(value.Content) {
			r.to = f.withoutBlank(value.Content[i+1].Line - 1)
		}
		line := n
		if n.Kind == yaml.MappingNode {
			line = nil
			for k := 0; k+1 < len(n.Content); k += 2 {
				switch v := n.Content[k+1]; n.Content[k].Value {
				case "rung", "feed":
					line, r.Feed = v, n.Content[k].Value == "feed"
				case "title":
					r.Title = v.Value
				}
			}
		}
		if line == nil {
			return fmt.Errorf("rung %d has no items", i+1)
		}
		var err error
		if r.Line, err = lineOf(line); err != nil {
			return fmt.Errorf("rung %d: %w", i+1, err)
		}
		f.rungs = append(f.rungs, r)
	}
	return nil
}

// lineOf reads items in series.
func lineOf(n *yaml.Node) ([]Item, error) {
	if n.Kind != yaml.SequenceNode {
		item, err := itemOf(n)
		return []Item{item}, err
	}
	line := []Item{}
	for _, c := range n.Content {
		item, err := itemOf(c)
		if err != nil {
			return nil, err
		}
		line = append(line, item)
	}
	return line, nil
}

func itemOf(n *yaml.Node) (Item, error) {
	switch {
	case n.Kind == yaml.ScalarNode:
		return Item{Text: n.Value}, nil
	case n.Kind == yaml.MappingNode && len(n.Content) == 2 && n.Content[0].Value == "parallel" && n.Content[1].Kind == yaml.SequenceNode:
		var item Item
		for _, b := range n.Content[1].Content {
			line, err := lineOf(b)
			if err != nil {
				return item, err
			}
			item.Branches = append(item.Branches, line)
		}
		return item, nil
	}
	return Item{}, fmt.Errorf("line %d is no item of a rung", n.Line)
}

// change changes the line of a rung.
func (f *file) change(r *Rung, e Edit, put Item) error {
	line, err := changed(r.Line, e.Path, e.Where, put)
	if err != nil {
		return err
	}
	if r.Line = line; len(line) == 0 {
		if len(f.rungs) == 1 {
			return errors.New("this is the last item, and a file keeps at least one")
		}
		f.lines = slices.Delete(f.lines, r.from, r.to)
		return nil
	}
	f.lines = slices.Replace(f.lines, r.from, r.to, r.written(f.lines[r.from])...)
	return nil
}

// changed gives a line with a change at a path.
func changed(line []Item, path []int, where Where, put Item) ([]Item, error) {
	if len(path) == 0 || path[0] < 0 || path[0] >= len(line) {
		return nil, errors.New("there is no such item")
	}
	i := path[0]
	line = slices.Clone(line)
	if len(path) > 1 {
		branches := slices.Clone(line[i].Branches)
		b := path[1]
		if b < 0 || b >= len(branches) {
			return nil, errors.New("there is no such branch")
		}
		if where == Beside && len(branches[b]) == 1 && len(path) == 3 && path[2] == 0 { // one branch more
			line[i].Branches = slices.Insert(branches, b+1, []Item{put})
			return line, nil
		}
		inner, err := changed(branches[b], path[2:], where, put)
		if err != nil {
			return nil, err
		}
		if branches[b] = inner; len(inner) == 0 {
			branches = slices.Delete(branches, b, b+1)
		}
		if len(branches) == 1 {
			return slices.Replace(line, i, i+1, branches[0]...), nil
		}
		line[i].Branches = branches
		return line, nil
	}
	switch where {
	case Before:
		return slices.Insert(line, i, put), nil
	case After:
		return slices.Insert(line, i+1, put), nil
	case Beside:
		if len(line[i].Branches) > 0 {
			line[i].Branches = append(slices.Clip(line[i].Branches), []Item{put})
		} else {
			line[i] = Item{Branches: [][]Item{{line[i]}, {put}}}
		}
		return line, nil
	case Away:
		return slices.Delete(line, i, i+1), nil
	}
	return nil, fmt.Errorf("%q is not a place to put a part", where)
}

// addRung puts a rung below another, or first.
func (f *file) addRung(below int, put Item) {
	at, like := f.rungs[0].from, f.lines[f.rungs[0].from]
	if below >= 0 {
		at = f.rungs[below].to
	}
	f.lines = slices.Insert(f.lines, at, indentOf(like)+"- ["+put.written()+"]")
}
