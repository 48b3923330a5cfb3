package wirelist

import (
	"cmp"
	"slices"
	"strings"

	"deadrung/circuits"
)

// Letters is what the letters of a designation stand for, likeliest type first.
type Letters struct {
	Letters string   `json:"letters"`
	Types   []string `json:"types"`
	Source  string   `json:"source"`
}

// Designations is the table of letters, out of the table of device types. Whoever reads PB1 on
// a drawing knows what it is by them. Those of two letters and more are unlike in the
// American and the European standards; single letters are shared, and their terminals part
// them.
func Designations() []Letters {
	type claim struct {
		circuits.Letter
		typ string
	}
	var claims []claim
	for _, t := range circuits.Types {
		for _, l := range t.Letters {
			claims = append(claims, claim{l, t.Name})
		}
	}
	slices.SortStableFunc(claims, func(a, b claim) int {
		return cmp.Or(cmp.Compare(a.Letters, b.Letters), cmp.Compare(a.Rank, b.Rank))
	})
	var rows []Letters
	for _, c := range claims {
		if n := len(rows); n > 0 && rows[n-1].Letters == c.Letters {
			last := &rows[n-1]
			last.Types = append(last.Types, c.typ)
			if !strings.Contains(last.Source, c.Source) {
				last.Source += "; " + c.typ + ": " + c.Source
			}
			continue
		}
		rows = append(rows, Letters{c.Letter.Letters, []string{c.typ}, c.Source})
	}
	return rows
}

// typesOf gives the types that the letters of a designation may stand for. 1M and M1 are
// both M; of KM12A it is KM.
func typesOf(name string) []string {
	name = strings.ToUpper(strings.TrimLeft(name, "0123456789"))
	word := name
	if i := strings.IndexAny(name, "0123456789"); i >= 0 {
		word = name[:i]
	}
	var types []string
	for _, row := range Designations() {
		if row.Letters == word {
			types = append(types, row.Types...)
		}
	}
	return types
}

// Practice is a way in which terminals are numbered.
type Practice struct {
	What   string `json:"what"`
	Source string `json:"source"`
}

// Numbering is the table of terminal numbering that contacts and types are told by.
var Numbering = []Practice{
	{"coil A1 A2", "EN 50005, IEC 60947-1 annex L"},
	{"last digit 1-2 normally closed, 3-4 normally open; the digits before it count the contacts",
		"EN 50005"},
	{"last digit 5-6 and 7-8: normally closed and open with a special function, taken as timed", "EN 50005"},
	{"last digit 1-2-4 changeover, 5-6-8 timed changeover, the first the common one",
		"EN 50005, EN 50011 for relays"},
	{"1-2, 3-4, 5-6, L1-T1, L2-T2, L3-T3: main contacts of a contactor",
		"EN 50005; L and T: NEMA ICS 2; from memory"},
	{"95-96 normally closed, 97-98 normally open: overload relay", "EN 50005"},
	{"X1 X2 secondary, H1 H2 primary of a control transformer", "NEMA ST 1; from memory"},
	{"X1 X2: indicator lamp", "EN 50005"},
	{"8-pin octal base: coil 2-7, changeovers 1-4-3 and 8-5-6 (common, NC, NO)",
		"relay makers' data sheets; from memory"},
	{"11-pin base: coil 2-10, changeovers 1-4-3, 6-5-7 and 11-8-9 (common, NC, NO)",
		"relay makers' data sheets; from memory"},
	{"14-blade base: coil 13-14, changeovers 9-1-5, 10-2-6, 11-3-7, 12-4-8 (common, NC, NO)",
		"relay makers' data sheets; from memory"},
	{"COM NC NO", "common practice, no source"},
}
