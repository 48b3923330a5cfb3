package wirelist

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
)

// on makes a list in which each terminal of a device has a wire of its own.
func on(device string, terminals string) []Row {
	var rows []Row
	for i, n := range strings.Fields(terminals) {
		number := string(rune('a' + i))
		rows = append(rows,
			Row{Number: number, From: circuits.Terminal(device + ":" + n), To: circuits.Terminal("TB9:" + number)})
	}
	return rows
}

// Devices by designation and terminals: EN 50005 numbers, the letters of NEMA and IEC, the
// sockets of plug-in relays; see designations.go for the sources. A trailing ? marks what
// is asked.
func TestGuess(t *testing.T) {
	for _, c := range []struct{ device, terminals, want string }{
		// coils and contacts by EN 50005
		{"CR1", "A1 A2 11 12 14", "relay contacts: [{common: 11, nc: 12, no: 14}]"},
		{"CR1", "A1 A2 11 14 21 22", "relay contacts: [{common: 11, nc: 12, no: 14}, {common: 21, nc: 22, no: 24}]"},
		{"CR1", "A1 A2 13 14 21 22", "relay contacts: [{no: [13, 14]}, {nc: [21, 22]}]"},
		{"M1", "A1 A2 1 2 3 4 5 6 13 14", "contactor contacts: [{no: [13, 14]}, {no: [1, 2]}, {no: [3, 4]}, {no: [5, 6]}]"},
		{"1M", "A1 A2 L1 T1 43 44", "contactor contacts: [{no: [43, 44]}, {no: [L1, T1]}]"},
		{"TR1", "A1 A2 15 16 18", "timer delay: on? seconds: 10? contacts: [{common: 15, nc: 16, no: 18, timed: true}]"},
		{"TR1", "A1 A2 67 68 13 14", "timer delay: on? seconds: 10? contacts: [{no: [13, 14]}, {no: [67, 68], timed: true}]"},
		{"K1", "A1 A2 15 18", "timer delay: on? seconds: 10? contacts: [{common: 15, nc: 16, no: 18, timed: true}]"},
		{"K2", "A1 A2 13 14", "relay? contacts: [{no: [13, 14]}]"},
		{"CR2", "A1 A2", "relay"},
		{"CR3", "A1 A2 13", "relay contacts: [{no: [13, 14]}]"},
		// sockets
		{"CR4", "2 7 1 3 8 5", "relay coil: [2, 7] contacts: [{common: 1, nc: 4, no: 3}, {common: 8, nc: 5, no: 6}]"},
		{"CR5", "2 10 6 7", "relay coil: [2, 10] contacts: [{common: 6, nc: 5, no: 7}]"},
		{"CR6", "13 14 9 5", "relay coil: [13, 14] contacts: [{common: 9, nc: 1, no: 5}]"},
		// operators
		{"PB1", "13 14", "push-button contacts: [{no: [13, 14]}]"},
		{"PB1", "11 12 13 14", "push-button contacts: [{nc: [11, 12]}, {no: [13, 14]}]"},
		{"PB2", "1 2", "push-button contacts: [{nc: [1, 2]}]?"},
		{"LS1", "COM NO", "limit-switch contacts: [{no: [COM, NO]}]"},
		{"LS2", "C NC NO", "limit-switch contacts: [{common: C, nc: NC, no: NO}]"},
		{"LS3", "BK BL", "limit-switch contacts: [{no: [BK, BL]}]?"},
		{"LS4", "1 3 4 7", "limit-switch contacts: [{no: [3, 4]}, {no: [1, 7]}]??"},
		{"SS1", "13 14", "selector-switch positions: [off, on]? contacts: [{no: [13, 14]}]"},
		{"OL1", "95 96", "overload-relay"},
		{"OL2", "95 96 98", "overload-relay contacts: [{common: 95, nc: 96, no: 98}]"},
		{"F1", "95 96", "overload-relay"},
		{"S1", "13 14", "push-button? contacts: [{no: [13, 14]}]"},
		{"FS1", "13 14", "float-switch? contacts: [{no: [13, 14]}]"},
		{"PS1", "13 14", "pressure-switch contacts: [{no: [13, 14]}]"},
		// two ends
		{"F1", "1 2", "fuse"},
		{"FU1", "1 2", "fuse"},
		{"H1", "X1 X2", "lamp terminals: [X1, X2]"},
		{"H1", "1 2", "lamp"},
		{"LT1", "1", "lamp"},
		{"B1", "1 2", "horn"},
		{"M2", "1 2", "motor"},
		{"MTR2", "T1 T2 T3", "three-phase-motor"},
		{"CB2", "1 2 3 4 5 6", "breaker poles: [[1, 2], [3, 4], [5, 6]]"},
		{"OL2", "1 2 3 4 5 6 95 96", "overload-relay poles: [[1, 2], [3, 4], [5, 6]]"},
		{"PFR1", "L1 L2 L3 11 14", "phase-relay contacts: [{common: 11, nc: 12, no: 14}]"},
		{"Y1", "1 2", "solenoid"},
		// sources and ground
		{"T1", "X1 X2", "control-transformer volts: 120?"},
		{"T1", "H1 H4 X1 X2", "control-transformer volts: 120? primary: [H1, H4]"},
		{"PS1", "+ -", "supply volts: 24? current: dc"},
		{"G1", "L+ M", "supply volts: 24? current: dc terminals: [L+, M]"},
		{"PWS1", "N L1", "supply volts: 120? terminals: [L1, N]"},
		{"PE", "PE", "ground"},
		// blocks and plugs
		{"TB1", "1 2 10", "terminal-block terminals: [1, 2, 10]"},
		{"X1", "1 2", "terminal-block terminals: [1, 2]"},
		{"X2", "1a 1b 2a", "connector pins: [1, 2]"},
		// neither letters nor terminals tell
		{"ZZ1", "1 2", "terminal-block? terminals: [1, 2]"},
	} {
		rows := on(c.device, c.terminals)
		draft, err := Guess("w.csv", rows, nil, nil)
		require.NoError(t, err, c.device)
		d := draft.Devices[0]
		require.Equal(t, c.device, d.Name)
		// Questions of contacts are called by their terminals.
		marks := make(map[string]string)
		for _, id := range d.Untold {
			what := strings.TrimPrefix(id, d.Name+".")
			switch what {
			case "type", "volts", "delay", "seconds", "positions":
			default:
				what = "contacts"
			}
			marks[what] += "?"
		}
		got := d.Type + marks["type"]
		for _, k := range d.Keys {
			name, _, _ := strings.Cut(k, ":")
			got += " " + k + marks[name]
		}
		assert.Equal(t, c.want, got, "%s with %s: asked %v", c.device, c.terminals, d.Untold)
	}
}

// Answers change what is guessed, raise further questions, and are refused in words.
func TestAnswers(t *testing.T) {
	guess := func(device, terminals string, answers ...string) (Draft, error) {
		given := make(map[string]string)
		for _, a := range answers {
			id, answer, _ := strings.Cut(a, "=")
			given[id] = answer
		}
		return Guess("w.csv", on(device, terminals), nil, given)
	}
	for _, c := range []struct {
		device, terminals string
		answers           []string
		want              string // keys, or what the refusal says
	}{
		{"S1", "13 14", []string{"S1.type=selector-switch", "S1.positions=hand off auto", "S1.13-14=auto"}, "positions: [hand, off, auto] contacts: [{terminals: [13, 14], closed: [auto]}]"},
		{"TR1", "A1 A2", []string{"TR1.seconds=2.5", "TR1.delay=off"}, "delay: off seconds: 2.5"},
		{"LS1", "a b c", []string{"LS1.contacts=co a-b-c"}, "contacts: [{common: a, nc: b, no: c}]"},
		{"LS1", "a b c d", []string{"LS1.contacts=no a-b, nc c-d"}, "contacts: [{no: [a, b]}, {nc: [c, d]}]"},
		{"LS1", "a b c d", []string{"LS1.contacts=off a-b, nc c-d"}, "is no contact"},
		// Beside a changeover the lone end of another contact is one of a changeover as well.
		{"TR1", "A1 A2 15 16 18 25", nil, "delay: on seconds: 10 contacts: [{common: 15, nc: 16, no: 18, timed: true}, {common: 25, nc: 26, no: 28, timed: true}]"},
		{"TR1", "A1 A2 15 16 18 26", nil, "delay: on seconds: 10 contacts: [{common: 15, nc: 16, no: 18, timed: true}, {common: 25, nc: 26, no: 28, timed: true}]"},
		{"TR1", "A1 A2 15 16 18 28", nil, "delay: on seconds: 10 contacts: [{common: 15, nc: 16, no: 18, timed: true}, {common: 25, nc: 26, no: 28, timed: true}]"},
		{"PB1", "1 2", []string{"PB1.1-2=no"}, "contacts: [{no: [1, 2]}]"},
		{"S1", "13 14", []string{"S1.type=lamp"}, `S1.type: "lamp" is not one of the answers`},
		{"TR1", "A1 A2", []string{"TR1.seconds=soon"}, "a number above zero is needed"},
		{"LS1", "a b c", []string{"LS1.contacts=no a-b"}, "terminal c is in none of the contacts"},
		{"LS1", "a b c", []string{"LS1.contacts=no a-b-c"}, "is no contact"},
		{"SS1", "13 14", []string{"SS1.positions=one"}, "two positions or more"},
		{"SS1", "13 14", []string{"SS1.positions=a b c", "SS1.13-14=d"}, `SS1 has no position "d"`},
	} {
		draft, err := guess(c.device, c.terminals, c.answers...)
		if err != nil {
			assert.ErrorContains(t, err, c.want)
			continue
		}
		assert.Equal(t, c.want, strings.Join(draft.Devices[0].Keys, " "))
	}
}

// What no wire joins but a bridge may is asked; what nothing can join is a mistake.
func TestParts(t *testing.T) {
	rows, problems := ReadCSV("w.csv", []byte("wire,from,to\n5,TB1:1,H1:1\n5,TB1:3,CR1:14\n"), nil)
	require.NoError(t, problems.Err())
	draft, err := Guess("w.csv", rows, nil, nil)
	require.NoError(t, err)
	assert.Contains(t, draft.Devices[0].Keys, "bridges: [[1, 3]]")
	_, err = Guess("w.csv", rows, nil, map[string]string{"TB1.1-3": "no"})
	assert.ErrorContains(t, err, "w.csv:3:3: wire 5 is in two parts: TB1:3 does not meet TB1:1")
}

// The abbreviations of the Joint Industrial Council, from the appendix of NMTBA
// specification EGP1-1967 as a fluid power maker's data sheet reprints them (Womack, "JIC
// standard symbols for electrical ladder diagrams"), for what a circuit file has a type.
func TestLettersOfTheJIC(t *testing.T) {
	for letters, typ := range map[string]string{
		"CB": "breaker", "CON": "contactor", "CR": "relay", "CS": "selector-switch", "F": "contactor",
		"FLS": "flow-switch",
		"FS":  "float-switch", "FTS": "push-button", "FU": "fuse", "GRD": "ground", "LS": "limit-switch",
		"LT": "lamp",
		"M":  "contactor", "MTR": "motor", "PB": "push-button", "PRS": "proximity-switch", "PS": "pressure-switch",
		"R": "contactor", "RECEP": "connector", "RSS": "selector-switch", "S": "selector-switch",
		"SOC": "connector",
		"SOL": "solenoid", "SS": "selector-switch", "T": "control-transformer", "TAS": "temperature-switch",
		"TB": "terminal-block", "TGS": "selector-switch", "TR": "timer", "VS": "pressure-switch",
	} {
		assert.Contains(t, typesOf(letters+"1"), typ, letters)
		assert.Contains(t, typesOf("1"+letters), typ, letters)
	}
}
