package wiring

import (
	"strconv"

	"deadrung/circuits"
)

// giveNumbers gives every section its wire number: the fixed one, on both sides of a
// connector pin the same, those of the older circuit, and else the next whole number
// that is free, in the order in which the rungs are read: left to right, top to bottom,
// so that a new one begins after every contact, coil and fuse. Common practice, no
// source.
func (l *ladder) giveNumbers() {
	pins := l.pins()
	l.throughPins(pins)
	taken := make(map[string]bool)
	for _, number := range l.number {
		taken[number] = true
	}
	terminals := make(map[point][]circuits.Terminal)
	seen := make(map[circuits.Terminal]bool)
	for i := range l.seats {
		if t := l.terminal(&l.seats[i]); !seen[t] {
			seen[t] = true
			s := l.section(l.seats[i].at)
			terminals[s] = append(terminals[s], t)
		}
	}
	next := 1
	if l.Older != nil {
		l.keepNumbers(terminals, taken)
		l.throughPins(pins)
		for _, n := range l.Older.Numbers {
			taken[n.Name] = true
			if v, err := strconv.Atoi(digits(n.Name)); err == nil && v >= next {
				next = v + 1
			}
		}
	}
	for _, p := range l.order {
		s := l.section(p)
		if l.number[s] != "" {
			continue
		}
		for taken[strconv.Itoa(next)] {
			next++
		}
		l.number[s] = strconv.Itoa(next)
		taken[l.number[s]] = true
		l.throughPins(pins)
	}
	for _, p := range l.order {
		s := l.section(p)
		if n := len(terminals[s]); n == 1 {
			l.wrong(l.placeAt(s), "two terminals or more on every wire",
				"wire %s has a single terminal, %s", l.number[s], terminals[s][0])
			terminals[s] = nil
		}
	}
}

// digits gives the digits that a wire number begins with, but not more than a number of
// a panel can have.
func digits(number string) string {
	i := 0
	for i < len(number) && i < 9 && number[i] >= '0' && number[i] <= '9' {
		i++
	}
	return number[:i]
}

// throughPins lets the number of one side of a pin be that of the other, where that has
// none.
func (l *ladder) throughPins(pins [][2]point) {
	for again := true; again; {
		again = false
		for _, pin := range pins {
			a, b := l.section(pin[0]), l.section(pin[1])
			switch {
			case l.number[a] != "" && l.number[b] == "":
				l.number[b], again = l.number[a], true
			case l.number[a] == "" && l.number[b] != "":
				l.number[a], again = l.number[b], true
			}
		}
	}
}

// placeAt gives a place of a section in the file.
func (l *ladder) placeAt(s point) Place {
	for i := range l.seats {
		if l.section(l.seats[i].at) == s {
			return l.seats[i].place
		}
	}
	return Place{}
}
