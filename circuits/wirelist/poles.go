package wirelist

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// pole is one contact as the terminals show it.
type pole struct {
	form            string // "no", "nc" or "co"
	common, nc, no  string // nc and no: the second terminal; common: the first one
	timed           bool
	closed          []string // of a selector switch of more than two positions
	inNamedPosition bool
}

func (p pole) terminals() []string {
	var all []string
	for _, t := range []string{p.common, p.nc, p.no} {
		if t != "" {
			all = append(all, t)
		}
	}
	return all
}

// base is a relay's socket whose pins are counted round.
type base struct {
	pins  int
	coil  [2]string
	poles [][3]string // common, nc, no
}

var bases = []base{
	{8, [2]string{"2", "7"}, [][3]string{{"1", "4", "3"}, {"8", "5", "6"}}},
	{11, [2]string{"2", "10"}, [][3]string{{"1", "4", "3"}, {"6", "5", "7"}, {"11", "8", "9"}}},
	{14, [2]string{"13", "14"}, [][3]string{{"9", "1", "5"}, {"10", "2", "6"}, {"11", "3", "7"},
		{"12", "4", "8"}}},
}

// baseOf gives the socket that a relay's wired terminals are those of: both ends of the
// coil are wired and no terminal is beyond its pins.
func baseOf(terminals []string) *base {
	for i := range bases {
		b := &bases[i]
		fits := slices.Contains(terminals, b.coil[0]) && slices.Contains(terminals, b.coil[1])
		for _, t := range terminals {
			n, err := strconv.Atoi(t)
			fits = fits && err == nil && n >= 1 && n <= b.pins && strconv.Itoa(n) == t
		}
		if fits {
			return b
		}
	}
	return nil
}

// polesOf takes the terminals of a base apart.
func (b *base) polesOf(terminals []string) []pole {
	var out []pole
	for _, p := range b.poles {
		if slices.ContainsFunc(p[:], func(t string) bool { return slices.Contains(terminals, t) }) {
			out = append(out, pole{form: "co", common: p[0], nc: p[1], no: p[2]})
		}
	}
	return out
}

// function is a contact by the last digits of its terminals.
type function struct {
	form           string
	common, nc, no byte
	timed          bool
}

// functions are tried in order: those of more terminals before their parts.
var functions = []function{
	{"co", '1', '2', '4', false},
	{"co", '5', '6', '8', true},
	{"nc", '1', '2', 0, false},
	{"no", '3', 0, '4', false},
	{"nc", '5', '6', 0, true},
	{"no", '7', 0, '8', true},
	{"co", '1', 0, '4', false},
	{"co", '5', 0, '8', true},
}

// byFunction takes terminals apart by their function digits (EN 50005). What is left over
// is given back. Where a device has one changeover contact, its others are taken as such,
// for the poles of a relay are alike.
func byFunction(terminals []string) (poles []pole, left []string) {
	var tens []string
	units := make(map[string][]byte)
	for _, t := range terminals {
		n, err := strconv.Atoi(t)
		if err != nil || n < 10 || strconv.Itoa(n) != t {
			left = append(left, t)
			continue
		}
		ten := t[:len(t)-1]
		if units[ten] == nil {
			tens = append(tens, ten)
		}
		units[ten] = append(units[ten], t[len(t)-1])
	}
	changeover := false
	for _, ten := range tens {
		u := units[ten]
		has := func(c byte) bool { return slices.Contains(u, c) }
		changeover = changeover || has('1') && has('4') && !has('3') || has('5') && has('8') && !has('7')
	}
	for _, ten := range tens {
		u := units[ten]
		take := func(f function, cs ...byte) {
			p := pole{form: f.form, timed: f.timed, common: ten + string(f.common)}
			if f.nc != 0 {
				p.nc = ten + string(f.nc)
			}
			if f.no != 0 {
				p.no = ten + string(f.no)
			}
			if p.form == "co" { // whole, though part of it may be wired
				p.nc, p.no = ten+string(f.common+1), ten+string(f.common+3)
			}
			poles = append(poles, p)
			u = slices.DeleteFunc(u, func(c byte) bool { return slices.Contains(cs, c) })
		}
		has := func(cs ...byte) bool {
			for _, c := range cs {
				if c != 0 && !slices.Contains(u, c) {
					return false
				}
			}
			return true
		}
		for _, f := range functions {
			switch {
			case !has(f.common, f.nc, f.no):
			case f.form == "co" && f.nc != 0 && has(f.no-1): // 11 12 13 14: one of each
			case f.form == "nc" && changeover && !has(f.common+2):
				take(function{"co", f.common, f.nc, f.common + 3, f.timed}, f.common, f.nc)
			default:
				take(f, f.common, f.nc, f.no)
			}
		}
		for _, c := range slices.Clone(u) { // single ends: their partner has no wire
			i, known := endOf[c]
			switch {
			case !known:
				left = append(left, ten+string(c))
			case changeover && (c == '1' || c == '2' || c == '4'):
				take(functions[0], c)
			case changeover && (c == '5' || c == '6' || c == '8'):
				take(functions[1], c)
			default:
				take(functions[i], c)
			}
		}
	}
	return poles, left
}

// endOf gives the contact that a function digit by itself is an end of: an index into
// functions.
var endOf = map[byte]int{'1': 2, '2': 2, '3': 3, '4': 3, '5': 4, '6': 4, '7': 5, '8': 5}

// byName takes terminals apart that are named for what they are: COM NC NO.
func byName(terminals []string) (poles []pole, left []string) {
	named := make(map[string]string)
	for _, t := range terminals {
		switch strings.ToUpper(t) {
		case "C", "COM", "NC", "NO":
			named[strings.ToUpper(t)[:min(2, len(t))]] = t
		default:
			left = append(left, t)
		}
	}
	common := named["C"]
	if common == "" {
		common = named["CO"]
	}
	if common == "" || named["NC"] == "" && named["NO"] == "" {
		return nil, terminals
	}
	p := pole{form: "co", common: common, nc: named["NC"], no: named["NO"]}
	switch {
	case p.nc == "":
		p.form = "no"
	case p.no == "":
		p.form = "nc"
	}
	return []pole{p}, left
}

// byPairs takes terminals apart that are known in pairs: the single digits of contact
// blocks and main contacts.
func byPairs(terminals []string, pairs [][3]string) (poles []pole, left []string) {
	left = slices.Clone(terminals)
	for _, p := range pairs {
		if !slices.Contains(left, p[0]) || !slices.Contains(left, p[1]) {
			continue
		}
		left = slices.DeleteFunc(left, func(t string) bool { return t == p[0] || t == p[1] })
		poles = append(poles, plainPole(p[2], p[0], p[1]))
	}
	return poles, left
}

func plainPole(form, a, b string) pole {
	p := pole{form: form, common: a, no: b}
	if form == "nc" {
		p.nc, p.no = b, ""
	}
	return p
}

// Pairs with their form: contact blocks of push buttons and switches, and the main
// contacts of contactors. Many a block is numbered 1 and 2 whatever its form, so that is
// asked.
var (
	blockPairs = [][3]string{{"1", "2", "nc"}, {"3", "4", "no"}}
	mainPairs  = [][3]string{{"1", "2", "no"}, {"3", "4", "no"}, {"5", "6", "no"}, {"L1", "T1", "no"},
		{"L2", "T2", "no"}, {"L3", "T3", "no"}}
)

// inTurn takes terminals two by two, as they come.
func inTurn(terminals []string) []pole {
	var poles []pole
	for i := 0; i+1 < len(terminals); i += 2 {
		poles = append(poles, plainPole("no", terminals[i], terminals[i+1]))
	}
	return poles
}

// polesText writes contacts as an answer to a question: "no 1-2, co 5-6-7".
func polesText(poles []pole) string {
	var parts []string
	for _, p := range poles {
		parts = append(parts, p.form+" "+strings.Join(p.terminals(), "-"))
	}
	return strings.Join(parts, ", ")
}

// parsePoles reads contacts as an answer: "no 1-2, nc 3-4, co 5-6-7", the common one, the
// normally closed, the normally open one of a changeover; timed before those of a timer
// that wait.
func parsePoles(typed string, terminals []string) ([]pole, error) {
	var poles []pole
	taken := make(map[string]bool)
	for _, part := range strings.FieldsFunc(typed, func(c rune) bool { return c == ',' || c == ';' }) {
		words := strings.Fields(part)
		timed := len(words) == 3 && words[0] == "timed"
		if timed {
			words = words[1:]
		}
		if len(words) != 2 {
			return nil, fmt.Errorf("%q is no contact; write no 1-2, nc 3-4 or co 5-6-7",
				strings.TrimSpace(part))
		}
		ends := strings.Split(words[1], "-")
		var p pole
		switch {
		case (words[0] == "no" || words[0] == "nc") && len(ends) == 2:
			p = plainPole(words[0], ends[0], ends[1])
		case words[0] == "co" && len(ends) == 3:
			p = pole{form: "co", common: ends[0], nc: ends[1], no: ends[2]}
		default:
			return nil, fmt.Errorf("%q is no contact; write no 1-2, nc 3-4 or co 5-6-7",
				strings.TrimSpace(part))
		}
		for _, t := range ends {
			if taken[t] {
				return nil, fmt.Errorf("terminal %s is in two contacts", t)
			}
			taken[t] = true
		}
		p.timed = timed
		poles = append(poles, p)
	}
	for _, t := range terminals {
		if !taken[t] {
			return nil, fmt.Errorf("terminal %s is in none of the contacts", t)
		}
	}
	return poles, nil
}
