package paper

import (
	"fmt"
	"io"
	"strings"

	"deadrung/circuits"
)

// DeviceTypes writes the table of device types in Markdown, from their rows: what a file says
// of each, and what is taken where it does not.
func DeviceTypes(to io.Writer) {
	fmt.Fprintln(to, "# Device types")
	fmt.Fprintln(to)
	fmt.Fprintln(to,
		"Made from the rows of the program: `deadrung circuits --types`. What a file does not give is taken")
	fmt.Fprintln(to, "from here, but for the place: that is where most of them sit, and a file that gives none means the panel.")
	fmt.Fprintln(to, "Volt-amperes and ohms are those of a part for 120 V ac; "+
		"real parts lie between the factors given,")
	fmt.Fprintln(to, "and what is only assumed decides nothing finer than near zero, in between and open.")
	fmt.Fprintln(to)
	fmt.Fprintln(to, "| type | letters | terminals and contacts | positions | place | keys of its own |")
	fmt.Fprintln(to, "| --- | --- | --- | --- | --- | --- |")
	for _, t := range circuits.Types {
		fmt.Fprintf(to, "| `%s` | %s | %s | %s | %s | %s |\n", t.Name, letters(t), terminals(t),
			orNone(strings.Join(t.Positions, ", ")), t.Place, keys(t))
	}
	fmt.Fprintln(to)
	fmt.Fprintln(to, "| load | VA | ohms cold | real parts | source |")
	fmt.Fprintln(to, "| --- | --- | --- | --- | --- |")
	for _, t := range circuits.Types {
		if t.Kind == circuits.PassiveKind {
			continue // its own keys say what it takes
		}
		for _, l := range t.Loads {
			name := t.Called()
			if l.Kind != "" {
				name += ", " + l.Kind
			}
			ohms := fmt.Sprintf("%g", l.Ohms)
			if l.Dark() {
				ohms = "reads open"
			}
			fmt.Fprintf(to, "| %s | %g | %s | %g to %g times | %s |\n", name, l.VA, ohms, l.Low, l.High, l.Source)
		}
	}
}

func letters(t *circuits.Type) string {
	var all []string
	for _, l := range t.Letters {
		all = append(all, l.Letters)
	}
	return orNone(strings.Join(all, ", "))
}

func terminals(t *circuits.Type) string {
	all := append([]string(nil), t.Terminals...)
	all = append(all, t.Primary...)
	for i, c := range t.Coils {
		if i > 0 {
			all = append(all, c.Terminals...)
		}
	}
	for _, c := range t.Contacts {
		all = append(all, c.A+"-"+c.B)
	}
	return orNone(strings.Join(all, " "))
}

func keys(t *circuits.Type) string {
	var all []string
	for _, k := range t.Keys {
		all = append(all, "`"+k+"`")
	}
	return orNone(strings.Join(all, ", "))
}

func orNone(s string) string {
	if s == "" {
		return "–"
	}
	return s
}
