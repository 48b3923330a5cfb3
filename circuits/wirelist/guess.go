package wirelist

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/read"
)

// Question is something that a wire list does not tell.
type Question struct {
	ID      string   // device and what is asked of it, as "H1.type"
	Text    string   // the question, a sentence
	Choices []string // the answers that there are; none where it is typed
	Taken   string   // what is taken while there is no answer
	// Answered is set where Taken is an answer that was given.
	Answered bool
}

// AnswerError is an answer that does not fit its question, or a type that the list tells
// and that the terminals are not those of.
type AnswerError struct {
	ID  string
	Err error
}

// Error names the question and what is wrong with the answer.
func (e *AnswerError) Error() string { return fmt.Sprintf("%s: %v", e.ID, e.Err) }

// Draft is a circuit as far as a wire list tells it.
type Draft struct {
	Rows      []Row
	Devices   []Guessed
	Questions []Question // all of them, in the order of the devices
}

// Guessed is a device by what its designation and terminals look like.
type Guessed struct {
	Name, Type, Place string
	Terminals         []string // that wires land on
	Keys              []string // what the file says of it beside type and place, as "volts: 120"
	Untold            []string // the ids of questions without an answer
	bridges           [][2]string
	told              bool     // by a list of devices
	positions         []string // of an operator, the one at rest first
}

// Where gives the place in the list where the device of a question is first met.
func (d Draft) Where(id string) circuits.Problem {
	name, _, _ := strings.Cut(id, ".")
	for _, r := range d.Rows {
		for _, t := range []circuits.Terminal{r.From, r.To} {
			if device, _ := t.Split(); device == name {
				return circuits.Problem{Pos: r.at, Source: r.source}
			}
		}
	}
	return circuits.Problem{Pos: circuits.Pos{Line: 1, Column: 1}}
}

// guesser is the state of one guess.
type guesser struct {
	draft   *Draft
	answers map[string]string
	err     *AnswerError
	device  *Guessed
}

// Guess says what the devices of a wire list are, by the letters of their designations and
// the numbers of their terminals. What that does not tell is asked: the questions of the
// draft, each with what is taken while it has no answer. Answers are given by the id of
// their question. The error is an [*AnswerError] for the first answer that does not fit,
// circuits.Problems where the wires cannot be a circuit.
// Of what a list of devices tells nothing is guessed.
func Guess(file string, rows []Row, told []Told, answers map[string]string) (Draft, error) {
	d := Draft{Rows: rows}
	g := &guesser{draft: &d, answers: answers}
	index := make(map[string]int)
	types := make(map[string]string)
	meet := func(t circuits.Terminal, place, typ string) {
		device, name := t.Split()
		i, ok := index[device]
		if !ok {
			i = len(d.Devices)
			index[device] = i
			d.Devices = append(d.Devices, Guessed{Name: device, Place: place})
		}
		dev := &d.Devices[i]
		if dev.Place == "" {
			dev.Place = place
		}
		if types[device] == "" {
			types[device] = typ
		}
		if !slices.Contains(dev.Terminals, name) {
			dev.Terminals = append(dev.Terminals, name)
		}
	}
	for _, r := range rows {
		meet(r.From, r.FromPlace, r.FromType)
		meet(r.To, r.ToPlace, r.ToType)
	}
	list := make(map[string]*Told)
	for i := range told {
		t := &told[i]
		list[t.Name] = t
		if _, ok := index[t.Name]; !ok {
			index[t.Name] = len(d.Devices)
			d.Devices = append(d.Devices, Guessed{Name: t.Name})
		}
	}
	for i := range d.Devices {
		g.device = &d.Devices[i]
		slices.SortStableFunc(g.device.Terminals, byNumber)
		if t := list[g.device.Name]; t != nil {
			g.device.told, g.device.Type, g.device.Place, g.device.Keys = true, t.Type, t.Place, t.keys
			g.device.bridges = t.bridges
			continue
		}
		g.guess(types[g.device.Name])
		if g.device.Place == "" {
			g.device.Place = circuits.TypeNamed(g.device.Type).Place
		}
	}
	for _, r := range rows {
		if name, a := r.From.Split(); r.Bridge {
			_, b := r.To.Split()
			dev := &d.Devices[index[name]]
			if dev.told {
				continue
			}
			if !isBlock(dev.Type) {
				g.device = dev
				g.refuse("type", "the list has a bridge between %s and %s, and %s is taken as a %s, which has "+
					"none", a, b, name, dev.Type)
			}
			if !slices.Contains(dev.bridges, [2]string{a, b}) &&
				!slices.Contains(dev.bridges, [2]string{b, a}) {
				dev.bridges = append(dev.bridges, [2]string{a, b})
			}
		}
	}
	problems := g.bridgeParts(file, index)
	for i := range d.Devices {
		if dev := &d.Devices[i]; len(dev.bridges) > 0 && isBlock(dev.Type) && !dev.told {
			var parts []string
			for _, b := range dev.bridges {
				parts = append(parts, read.List(b[:]))
			}
			dev.Keys = append(dev.Keys, "bridges: ["+strings.Join(parts, ", ")+"]")
		}
	}
	g.device = nil
	if !slices.ContainsFunc(d.Devices, func(dev Guessed) bool { return isSource(dev.Type) }) {
		g.supply()
	}
	place := func(dev Guessed) int { // those that are told first, in the order of their list
		if i := slices.IndexFunc(told, func(t Told) bool { return t.Name == dev.Name }); i >= 0 {
			return i
		}
		return len(told)
	}
	slices.SortStableFunc(d.Devices, func(a, b Guessed) int { return cmp.Compare(place(a), place(b)) })
	switch {
	case g.err != nil:
		return d, g.err
	case len(problems) > 0:
		return d, problems
	}
	return d, nil
}

// ask puts a question, and gives its answer or what is taken.
func (g *guesser) ask(what, text string, choices []string, taken string, check func(string) error) string {
	id := what
	if g.device != nil {
		id = g.device.Name + "." + what
	}
	q := Question{ID: id, Text: text, Choices: choices, Taken: taken}
	if a, ok := g.answers[id]; ok {
		a = strings.TrimSpace(a)
		var err error
		switch {
		case len(choices) > 0 && !slices.Contains(choices, a):
			err = fmt.Errorf("%q is not one of the answers%s", a, circuits.Suggest(a, choices))
		case check != nil:
			err = check(a)
		}
		if err == nil {
			q.Taken, q.Answered = a, true
		} else if g.err == nil {
			g.err = &AnswerError{id, err}
		}
	}
	if !q.Answered && g.device != nil {
		g.device.Untold = append(g.device.Untold, id)
	}
	g.draft.Questions = append(g.draft.Questions, q)
	return q.Taken
}

// refuse notes that an answer, or what the list tells in its place, cannot be.
func (g *guesser) refuse(what, format string, args ...any) {
	if g.err == nil {
		g.err = &AnswerError{g.device.Name + "." + what, fmt.Errorf(format, args...)}
	}
}

// number asks for one.
func (g *guesser) number(what, text, taken string) string {
	return g.ask(what, text, nil, taken, func(a string) error {
		if x, err := strconv.ParseFloat(a, 64); err != nil || x <= 0 || x > 1e6 {
			return fmt.Errorf("a number above zero is needed, not %q", a)
		}
		return nil
	})
}

func (g *guesser) key(format string, args ...any) {
	g.device.Keys = append(g.device.Keys, fmt.Sprintf(format, args...))
}

// guess says what the device is. Told is its type where the list tells it.
func (g *guesser) guess(told string) {
	d := g.device
	t := circuits.TypeNamed(told)
	if t == nil {
		t = g.typ()
	}
	d.Type = t.Name
	switch t.Kind {
	case circuits.SourceKind:
		g.source(t)
	case circuits.GroundKind:
		g.ground()
	case circuits.LinkKind, circuits.LoadKind, circuits.PassiveKind:
		g.twoEnds(t)
	case circuits.ConnectorKind:
		g.connector()
	case circuits.BlockKind:
		d.Keys = append(d.Keys, "terminals: "+read.List(d.Terminals))
	case circuits.RelayKind:
		g.relay(t)
	case circuits.OperatorKind:
		g.operator(t)
	}
}

// typ finds the type by letters and terminals.
func (g *guesser) typ() *circuits.Type {
	d := g.device
	var fit []string
	meant := typesOf(d.Name)
	shown := shownTypes(d.Terminals)
	for _, t := range meant {
		if possible(t, d.Terminals) && (shown == nil || slices.Contains(shown, t)) &&
			!slices.Contains(fit, t) {
			fit = append(fit, t)
		}
	}
	if within(d.Terminals, []string{"1", "2"}) && slices.ContainsFunc(fit, isLoad) {
		// Contacts have numbers of their own: 1 and 2 are the ends of what is left.
		fit = slices.DeleteFunc(fit,
			func(t string) bool { return circuits.TypeNamed(t).Kind == circuits.OperatorKind })
	}
	var text string
	switch {
	case len(fit) == 1:
		return circuits.TypeNamed(fit[0])
	case len(fit) > 1:
		text = "What is %s, with %s?"
	case len(shown) == 1:
		return circuits.TypeNamed(shown[0])
	default:
		fit = slices.Clone(shown)
		for _, t := range circuits.Types {
			if possible(t.Name, d.Terminals) && !slices.Contains(fit, t.Name) {
				fit = append(fit, t.Name)
			}
		}
		if len(fit) == 0 {
			g.refuse("type", "no type of device has %s", terminalsText(d.Terminals))
			return circuits.FirstOf(circuits.BlockKind)
		}
		if len(shown) == 0 { // what fits anything is taken first
			slices.SortStableFunc(fit, func(a, b string) int { return first(isBlock(a)) - first(isBlock(b)) })
		}
		text = "Neither its letters nor its terminals tell what %s is, with %s. What is it?"
	}
	for _, t := range fit {
		if circuits.TypeNamed(t).Delays && possible(t, d.Terminals) && timedOnly(d.Terminals) {
			return circuits.TypeNamed(t)
		}
	}
	answer := g.ask("type", fmt.Sprintf(text, d.Name, terminalsText(d.Terminals)), fit, fit[0], nil)
	return circuits.TypeNamed(answer)
}

func terminalsText(names []string) string {
	if len(names) == 1 {
		return "terminal " + names[0]
	}
	return "terminals " + strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// byNumber orders terminals as they stand on a strip.
func byNumber(a, b string) int {
	digits := func(s string) int {
		n, err := strconv.Atoi(strings.TrimRight(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"))
		if err != nil || n < 0 {
			return 1 << 30
		}
		return n
	}
	return cmp.Or(cmp.Compare(digits(a), digits(b)), strings.Compare(a, b))
}

func isLoad(typ string) bool { return circuits.TypeNamed(typ).Kind == circuits.LoadKind }

func isSource(typ string) bool {
	t := circuits.TypeNamed(typ)
	return t != nil && t.Kind == circuits.SourceKind
}

func isBlock(typ string) bool { return circuits.TypeNamed(typ).Kind == circuits.BlockKind }

func first(yes bool) int {
	if yes {
		return 0
	}
	return 1
}
