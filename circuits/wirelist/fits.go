package wirelist

import (
	"slices"
	"strings"

	"deadrung/circuits"
)

var (
	coilNames      = []string{"A1", "A2"}
	secondaryNames = []string{"X1", "X2", "X3", "X4"}
	primaryNames   = []string{"H1", "H2", "H3", "H4"}
	hotNames       = []string{"L", "L1", "+", "L+", "V+", "24V", "L2"}
	returnNames    = []string{"N", "-", "L-", "V-", "M", "0V"}
	directNames    = []string{"+", "-", "L+", "L-", "V+", "V-", "M", "24V", "0V"}
	groundNames    = []string{"PE", "GND", "E"}
)

func within(names []string, sets ...[]string) bool {
	for _, n := range names {
		if !slices.ContainsFunc(sets, func(s []string) bool { return slices.Contains(s, n) }) {
			return false
		}
	}
	return true
}

// anyOf tells whether one of the names at least is among others.
func anyOf(names, of []string) bool {
	return slices.ContainsFunc(names, func(n string) bool { return slices.Contains(of, n) })
}

// shownTypes gives the types that terminals alone tell, nil where they tell none.
func shownTypes(names []string) []string {
	switch {
	case anyOf(names, coilNames):
		return typesThat(func(t *circuits.Type) bool { return t.Kind == circuits.RelayKind && twoCoils(t, names) })
	case ownContacts(names):
		return typesThat(func(t *circuits.Type) bool { return anyOf(names, contactNames(t)) })
	case sides(names):
		return typesThat(func(t *circuits.Type) bool { return t.Kind == circuits.ConnectorKind })
	case within(names, secondaryNames, primaryNames):
		return typesThat(func(t *circuits.Type) bool {
			return t.Primary != nil && !t.DC || t.Numbered != nil && within(names, t.Numbered)
		})
	case len(names) <= 2 && within(names, hotNames, returnNames):
		return typesThat(func(t *circuits.Type) bool { return t.Kind == circuits.SourceKind && t.Primary == nil })
	case len(names) == 1 && within(names, groundNames):
		return typesThat(func(t *circuits.Type) bool { return t.Kind == circuits.GroundKind })
	}
	return nil
}

func typesThat(fit func(*circuits.Type) bool) []string {
	var names []string
	for _, t := range circuits.Types {
		if fit(t) {
			names = append(names, t.Name)
		}
	}
	return names
}

// twoCoils tells whether a relay of several coils has one of its further coils among
// terminals, or has one coil alone.
func twoCoils(t *circuits.Type, names []string) bool {
	return t.Coils == nil || slices.ContainsFunc(t.Coils[1].Terminals, func(n string) bool {
		return slices.Contains(names, n) && !slices.Contains(t.Coils[0].Terminals, n)
	})
}

// contactNames are the terminals of the contacts that a type has by itself.
func contactNames(t *circuits.Type) []string {
	var names []string
	if t.Loads != nil {
		return nil // of a sensor: plain numbers, which tell nothing by themselves
	}
	for _, c := range t.Contacts {
		names = append(names, c.A, c.B)
	}
	return names
}

// ownContacts tells whether terminals are those of the contacts that some type has by itself.
func ownContacts(names []string) bool {
	return slices.ContainsFunc(circuits.Types,
		func(t *circuits.Type) bool { return anyOf(names, contactNames(t)) })
}

// sides tells whether terminals are the two sides of a connector's pins: 1a, 1b.
func sides(names []string) bool {
	both := false
	for _, n := range names {
		pin, side := n[:len(n)-1], n[len(n)-1]
		if pin == "" || side != 'a' && side != 'b' {
			return false
		}
		both = both || side == 'b' && slices.Contains(names, pin+"a")
	}
	return both
}

// possible tells whether a device of a type can have such terminals.
func possible(typ string, names []string) bool {
	t := circuits.TypeNamed(typ)
	poles, left := byFunction(names)
	if t.Phases {
		return len(names) > 2 && (within(names, t.Terminals) || t.Numbered != nil && within(names, t.Numbered)) || t.Kind == circuits.RelayKind && anyOf(names, t.Terminals) && len(poles) > 0
	}
	contacts := len(poles) > 0 && len(left) == 0
	coil := anyOf(names, coilNames)
	switch t.Kind {
	case circuits.SourceKind:
		if t.DC {
			return within(names, t.Terminals, t.Primary)
		}
		if t.Primary != nil {
			return within(names, secondaryNames, primaryNames) && len(names) <= len(secondaryNames)+2
		}
		return len(names) <= 2 && !contacts && !coil && !within(names, secondaryNames)
	case circuits.GroundKind:
		return len(names) == 1 && !contacts && !coil
	case circuits.LinkKind, circuits.LoadKind, circuits.PassiveKind:
		if t.Kind == circuits.PassiveKind && (t.Terminals[0] == "A" || t.Primary != nil) {
			return within(names, t.Terminals, t.Primary)
		}
		if t.Poles && len(names) > 2 {
			main, rest := byPairs(names, mainPairs)
			return len(main) > 1 && len(rest) == 0
		}
		return len(names) <= 2 && !contacts && !coil && !sides(names)
	case circuits.ConnectorKind:
		return sides(names)
	case circuits.BlockKind:
		return !slices.ContainsFunc(names, func(n string) bool { return strings.Contains(n, "-") }) && !coil
	case circuits.RelayKind:
		if !twoCoils(t, names) {
			return false
		}
		_, rest := byPairs(names, mainPairs)
		return coil || contacts || t.Inputs() && t.Coils != nil || baseOf(names) != nil || t.Mains && len(rest) == 0 &&
			anyOf(names, []string{"L1", "L2", "L3"})
	case circuits.OperatorKind:
		if t.Loads != nil {
			return len(names) > 2 && anyOf(names, t.Terminals[1:]) && within(names, t.Terminals, outputsOf(t))
		}
		if t.Contacts != nil {
			return anyOf(names, contactNames(t))
		}
		return !coil && !sides(names) && !within(names, secondaryNames) &&
			!within(names, hotNames, returnNames) && !ownContacts(names)
	}
	panic("wirelist: a type of no kind")
}

// sensorOutputs are the outputs of a sensor of three or four wires: NO and NC. Source: IEC 60947-5-2,
// from memory.
var sensorOutputs = []string{"4", "2"}

// outputsOf are the outputs of what has to be fed: those of a sensor, or the one that its row has.
func outputsOf(t *circuits.Type) []string {
	if out := t.Contacts[0].B; !slices.Contains(sensorOutputs, out) {
		return []string{out}
	}
	return sensorOutputs
}

// timedOnly tells whether a relay's contacts are numbered as those of a timer.
func timedOnly(names []string) bool {
	poles, _ := byFunction(slices.DeleteFunc(slices.Clone(names),
		func(n string) bool { return slices.Contains(coilNames, n) }))
	return slices.ContainsFunc(poles, func(p pole) bool { return p.timed })
}
