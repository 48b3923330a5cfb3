package wirelist

import "strings"

// Letters is what the letters of a designation stand for, likeliest type first.
type Letters struct {
	Letters string   `json:"letters"`
	Types   []string `json:"types"`
	Source  string   `json:"source"`
}

// Sources of the letters.
const (
	jic  = "JIC abbreviations, NMTBA specification EGP1-1967"
	nema = "NEMA ICS 1 and ICS 19, device designations; from memory"
	ieee = "IEEE 315, class designation letters; from memory"
	iec  = "IEC 81346-2 and IEC 60750 before it, letter codes; from memory"
	nfpa = "NFPA 79, annex of device designations; from memory"
	used = "common practice, no source"
)

// Designations is the table of letters. Whoever reads PB1 on a drawing knows what it is
// by them. Those of two letters and more are unlike in the American and the European
// standards; single letters are shared, and their terminals part them.
var Designations = []Letters{
	{"CR", []string{"relay"}, jic},
	{"R", []string{"contactor", "relay"}, jic + ": reverse; a relay by common practice"},
	{"CON", []string{"contactor"}, jic},
	{"K", []string{"relay", "contactor", "timer"}, iec},
	{"KA", []string{"relay"}, used},
	{"KF", []string{"relay"}, iec},
	{"KM", []string{"contactor"}, used},
	{"KT", []string{"timer"}, used},
	{"TR", []string{"timer"}, jic},
	{"TD", []string{"timer"}, used},
	{"M", []string{"contactor", "motor"}, jic},
	{"MS", []string{"contactor"}, nema},
	{"F", []string{"contactor", "fuse", "overload-relay"}, jic + ": forward; a fuse in " + iec},
	{"Q", []string{"breaker", "contactor"}, iec},
	{"QA", []string{"contactor"}, iec},
	{"QM", []string{"breaker"}, used},
	{"MTR", []string{"motor"}, jic},
	{"MA", []string{"motor"}, iec},
	{"FU", []string{"fuse"}, jic},
	{"FC", []string{"breaker", "fuse"}, iec},
	{"CB", []string{"breaker"}, jic},
	{"OL", []string{"overload-relay"}, nema},
	{"FR", []string{"overload-relay"}, used},
	{"PB", []string{"push-button"}, jic},
	{"SB", []string{"push-button"}, used},
	{"ES", []string{"push-button"}, used},
	{"S", []string{"push-button", "selector-switch", "limit-switch"}, iec},
	{"SF", []string{"push-button", "selector-switch"}, iec},
	{"SS", []string{"selector-switch"}, jic},
	{"SA", []string{"selector-switch"}, used},
	{"RSS", []string{"selector-switch"}, jic},
	{"CS", []string{"selector-switch"}, jic + ": cam switch"},
	{"TGS", []string{"selector-switch"}, jic + ": toggle switch"},
	{"FTS", []string{"push-button"}, jic + ": foot switch"},
	{"VS", []string{"pressure-switch"}, jic + ": vacuum switch"},
	{"LS", []string{"limit-switch"}, jic},
	{"SQ", []string{"limit-switch"}, used},
	{"BG", []string{"limit-switch", "proximity-switch"}, iec},
	{"FS", []string{"float-switch", "flow-switch"}, jic},
	{"BL", []string{"float-switch"}, iec},
	{"FLS", []string{"flow-switch"}, jic},
	{"BF", []string{"flow-switch"}, iec},
	{"PS", []string{"pressure-switch", "supply"}, jic},
	{"BP", []string{"pressure-switch"}, iec},
	{"TS", []string{"temperature-switch"}, used},
	{"TAS", []string{"temperature-switch"}, jic},
	{"THS", []string{"temperature-switch"}, nema},
	{"BT", []string{"temperature-switch"}, iec},
	{"PRS", []string{"proximity-switch"}, jic},
	{"PRX", []string{"proximity-switch"}, used},
	{"B", []string{"horn", "proximity-switch", "limit-switch"}, "IEC 60750 has both a horn and a sensor as B; from memory"},
	{"LT", []string{"lamp"}, jic},
	{"PL", []string{"lamp", "connector"}, used},
	{"DS", []string{"lamp"}, ieee},
	{"H", []string{"lamp"}, iec + "; an audible signal is H as well, but mostly B or P"},
	{"HL", []string{"lamp"}, used},
	{"P", []string{"lamp", "horn", "connector"}, iec + "; a plug in " + ieee},
	{"PF", []string{"lamp"}, iec},
	{"PJ", []string{"horn"}, iec},
	{"AH", []string{"horn"}, nema},
	{"ALM", []string{"horn"}, used},
	{"HN", []string{"horn"}, used},
	{"HA", []string{"horn"}, used},
	{"SOL", []string{"solenoid"}, jic},
	{"Y", []string{"solenoid"}, iec},
	{"YV", []string{"solenoid"}, used},
	{"L", []string{"solenoid", "lamp"}, ieee},
	{"T", []string{"control-transformer", "timer"}, jic},
	{"TA", []string{"control-transformer"}, iec},
	{"TC", []string{"control-transformer"}, used},
	{"CPT", []string{"control-transformer"}, used},
	{"XF", []string{"control-transformer"}, used},
	{"XFMR", []string{"control-transformer"}, used},
	{"G", []string{"supply"}, iec},
	{"GB", []string{"supply"}, iec},
	{"PWS", []string{"supply"}, nema},
	{"BAT", []string{"supply"}, nema},
	{"BT", []string{"supply"}, ieee},
	{"TB", []string{"terminal-block"}, jic},
	{"XT", []string{"terminal-block"}, used},
	{"X", []string{"terminal-block", "connector"}, iec},
	{"XD", []string{"terminal-block"}, iec},
	{"J", []string{"connector"}, ieee},
	{"PLG", []string{"connector"}, nema},
	{"RECP", []string{"connector"}, nema},
	{"RECEP", []string{"connector"}, jic},
	{"SOC", []string{"connector"}, jic},
	{"XS", []string{"connector"}, used},
	{"PE", []string{"ground"}, "IEC 60445, protective earth"},
	{"GND", []string{"ground"}, nema},
	{"GRD", []string{"ground"}, jic},
	{"E", []string{"ground"}, used},
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
	for _, row := range Designations {
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
	{"last digit 1-2 normally closed, 3-4 normally open; the digits before it count the contacts", "EN 50005"},
	{"last digit 5-6 and 7-8: normally closed and open with a special function, taken as timed", "EN 50005"},
	{"last digit 1-2-4 changeover, 5-6-8 timed changeover, the first the common one", "EN 50005, EN 50011 for relays"},
	{"1-2, 3-4, 5-6, L1-T1, L2-T2, L3-T3: main contacts of a contactor", "EN 50005; L and T: NEMA ICS 2; from memory"},
	{"95-96 normally closed, 97-98 normally open: overload relay", "EN 50005"},
	{"X1 X2 secondary, H1 H2 primary of a control transformer", "NEMA ST 1; from memory"},
	{"X1 X2: indicator lamp", "EN 50005"},
	{"8-pin octal base: coil 2-7, changeovers 1-4-3 and 8-5-6 (common, NC, NO)", "relay makers' data sheets; from memory"},
	{"11-pin base: coil 2-10, changeovers 1-4-3, 6-5-7 and 11-8-9 (common, NC, NO)", "relay makers' data sheets; from memory"},
	{"14-blade base: coil 13-14, changeovers 9-1-5, 10-2-6, 11-3-7, 12-4-8 (common, NC, NO)", "relay makers' data sheets; from memory"},
	{"COM NC NO", "common practice, no source"},
}
