package read

import (
	"testing"

	"deadrung/circuits"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func readFile(t *testing.T, name string) *circuits.Circuit {
	t.Helper()
	c, problems := Read(name, files(t, "testdata/ok/*.yaml")[name])
	require.NoError(t, problems.Err())
	return c
}

// The example of the format. The numbers are counted by hand from the file.
func TestReadColdStore(t *testing.T) {
	c := readFile(t, "cold-store-alarm.yaml")
	assert.Equal(t, "cold-store-alarm.yaml", c.File)
	assert.Equal(t, "Cold-store alarm", c.Title)
	assert.Equal(t,
		"Beacon and horn when the door of a walk-in cold store is left open, or when the store gets warm. "+
			"The horn can be muted; the beacon stays on until the cause is gone.", c.About)
	assert.Empty(t, c.Warnings)
	assert.Equal(t, map[string]float64{"panel": 0.5, "door": 0.5, "field": 4}, c.Places)

	var names []string
	for _, d := range c.Devices {
		names = append(names, d.Name)
	}
	assert.Equal(t, []string{"T1", "PE", "F1", "LS1", "TS1", "TR1", "CR1", "PB1", "H1", "B1"}, names)

	wires := make(map[string]int)
	total := 0
	for _, n := range c.Numbers {
		wires[n.Name] = len(n.Wires)
		total += len(n.Wires)
	}
	assert.Equal(t, map[string]int{"1": 1, "2": 5, "3": 3, "4": 1, "5": 5, "6": 2, "7": 1}, wires)
	assert.Equal(t, 18, total)
	assert.Equal(t, circuits.Wire{From: "TR1:A2", To: "CR1:A2", At: circuits.Pos{Line: 21, Column: 15}},
		c.Numbers[1].Wires[1])
	assert.Equal(t, circuits.Pos{Line: 20, Column: 3}, c.Numbers[1].At)

	t1 := c.Device("T1")
	assert.Equal(t, [2]string{"X1", "X2"}, t1.Ends)
	assert.Equal(t, [2]string{"H1", "H2"}, t1.Primary)
	assert.Equal(t, []string{"X1", "X2", "H1", "H2"}, t1.Terminals)
	assert.Equal(t, 120.0, t1.Volts)
	assert.Equal(t, 0.8, t1.Amps)
	assert.Equal(t, 60.0, t1.Hertz)
	assert.Equal(t, "panel", t1.Place)
	assert.Equal(t, 1.0, t1.Odds)
	assert.Equal(t, circuits.Pos{Line: 7, Column: 3}, t1.At)

	ls1 := c.Device("LS1")
	assert.Equal(t, "field", ls1.Place)
	assert.Equal(t, "held operated by the shut door", ls1.Note)
	assert.Equal(t, []string{"normal", "operated"}, ls1.Positions)
	assert.Equal(t, []circuits.Contact{{A: "11", B: "12", Closed: []bool{true, false},
		Form: circuits.NormallyClosed, At: circuits.Pos{Line: 10, Column: 54}}}, ls1.Contacts)

	tr1 := c.Device("TR1")
	assert.Equal(t, 30.0, tr1.Seconds)
	assert.False(t, tr1.OffDelay)
	assert.Equal(t, []string{"A1", "A2", "15", "16", "18"}, tr1.Terminals)
	assert.Equal(t, []circuits.Contact{
		{A: "15", B: "16", Closed: []bool{true, false}, Form: circuits.NormallyClosed, Timed: true, At: circuits.Pos{Line: 12, Column: 73}},
		{A: "15", B: "18", Closed: []bool{false, true}, Form: circuits.NormallyOpen, Timed: true, At: circuits.Pos{Line: 12, Column: 73}},
	}, tr1.Contacts)

	require.Len(t, c.Steps, 7)
	assert.Equal(t, circuits.Step{
		Name: "door left open",
		Wait: 30,
		Expect: []circuits.Expectation{{Device: c.Device("H1"), On: true,
			At: circuits.Pos{Line: 40, Column: 14}},
			{Device: c.Device("B1"), On: true, At: circuits.Pos{Line: 40, Column: 22}}},
		At: circuits.Pos{Line: 38, Column: 11},
	}, c.Steps[2])
	assert.Equal(t, []circuits.Setting{{Device: c.Device("PB1"), Position: 1,
		At: circuits.Pos{Line: 42, Column: 11}}}, c.Steps[3].Set)
	assert.Equal(t, 3, c.Step("mute pressed"))
	assert.Equal(t, -1, c.Step("mute"))
	assert.Nil(t, c.Device("PB9"))
}

func TestReadEveryType(t *testing.T) {
	c := readFile(t, "every-type.yaml")
	assert.Equal(t, "Two paragraphs, of which this\n\nis the second.\n", c.About)
	assert.Equal(t,
		map[string]float64{"panel": 0.5, "door": 0.75, "field": 4, "attic": 6, "gallery": 3, "roof, north side": 9}, c.Places)
	assert.Equal(t, map[string]string{"door": "panel", "gallery": "attic"}, c.Joins)
	assert.Equal(t, "attic", c.Area("gallery"))
	assert.False(t, c.Device("PB1").Momentary)
	assert.Equal(t, 20.0, c.Device("FS1").Makes)
	assert.False(t, c.Device("FS1").NotAtWill)
	var types []string
	for _, d := range c.Devices {
		types = append(types, d.Type.Name)
	}
	for _, row := range circuits.Types {
		assert.Contains(t, types, row.Name)
	}

	d := c.Device
	g2 := d("G2")
	assert.True(t, g2.DC)
	assert.Zero(t, g2.Hertz)
	assert.Equal(t, [2]string{"V+", "V-"}, g2.Ends)
	assert.Equal(t, 50.0, d("G1").Hertz)
	assert.Equal(t, [2]string{"L", "N"}, d("G1").Ends)
	assert.Equal(t, []string{"X1", "X4", "H1", "H4"}, d("T1").Terminals)
	assert.Equal(t, 230.0, d("T1").PrimaryVolts)
	assert.Equal(t, 1.5, d("T1").Ohms)
	assert.Equal(t, []string{"1"}, d("PE").Terminals)
	assert.Equal(t, [2]string{"L1", "T1"}, d("F1").Ends)
	assert.Equal(t, 2.5, d("PB1").Odds)

	ss1 := d("SS1")
	assert.Equal(t, []string{"hand", "off", "auto 1"}, ss1.Positions)
	assert.Equal(t, 1, ss1.Rest)
	assert.Equal(t, []string{"1", "2", "3"}, ss1.Terminals, "a terminal that two contacts share is there once")
	assert.Equal(t, []bool{true, false, false}, ss1.Contacts[0].Closed)
	assert.Equal(t, []bool{true, false, true}, ss1.Contacts[1].Closed)
	assert.Equal(t, circuits.InPositions, ss1.Contacts[1].Form)

	require.Len(t, d("OL1").Contacts, 2)
	assert.Equal(t, []string{"95", "96", "97", "98"}, d("OL1").Terminals)
	assert.Equal(t, []bool{true, false}, d("OL1").Contacts[0].Closed)
	assert.Equal(t, []string{"1", "2"}, d("OL2").Terminals)

	cr1 := d("CR1")
	assert.Equal(t, [2]string{"2", "7"}, cr1.Ends)
	assert.Equal(t, []string{"2", "7", "8", "5", "6"}, cr1.Terminals)
	assert.Equal(t, 0.75, cr1.PullIn)
	assert.Equal(t, 0.3, cr1.DropOut)
	assert.Equal(t, []string{"released", "operated"}, cr1.Positions)
	assert.Equal(t, [2]string{"A1", "A2"}, d("1M").Ends)
	assert.Zero(t, d("1M").DropOut, "not given")

	tr1 := d("TR1")
	assert.Equal(t, []bool{true, true, false},
		[]bool{tr1.Contacts[0].Timed, tr1.Contacts[1].Timed, tr1.Contacts[2].Timed})
	assert.True(t, d("TR2").OffDelay)
	assert.Equal(t, 0.5, d("TR2").Seconds)
	assert.Equal(t, "led", d("H1").LoadKind)
	assert.Equal(t, "filament", d("H2").LoadKind)
	assert.Equal(t, 1.0, d("H1").VA)
	assert.Equal(t, []string{"1a", "1b", "Aa", "Ab", "B-2a", "B-2b", "3*a", "3*b"}, d("X1").Terminals)
	assert.Equal(t, []string{"1", "A", "B-2", "3*"}, d("X1").Pins)
	assert.Equal(t, [][2]string{{"1", "2"}, {"2", "3"}}, d("TB1").Bridges)

	assert.Equal(t, [2]string{"A", "K"}, d("D1").Ends)
	assert.Equal(t, [2]string{"a", "k"}, d("D2").Ends)
	assert.True(t, d("D2").OneWay())
	assert.False(t, d("R1").OneWay())
	assert.Equal(t, 2200.0, d("R1").Ohms)
	assert.Equal(t, 0.47, d("RCS2").Microfarads)
	assert.Zero(t, d("RCS1").Microfarads, "not given")

	assert.Equal(t, []string{"L1", "L2", "L3", "N"}, d("G3").Terminals)
	assert.Equal(t, circuits.HighLeg, d("G4").Joined)
	assert.Equal(t, "0", d("G4").Neutral())
	assert.Equal(t, [][2]string{{"1", "2"}, {"3", "4"}, {"5", "6"}}, d("Q2").Links())
	assert.Equal(t, [][2]string{{"1", "2"}, {"3", "4"}, {"5", "6"}}, d("OL3").Links())
	assert.Equal(t, [][2]string{{"U", "V"}, {"V", "W"}, {"W", "U"}}, d("M3").Coils())
	assert.Equal(t, circuits.Delta, d("M4").Joined)
	assert.Equal(t, [][2]string{{"1", "2"}, {"1", "2"}}, d("M2").Coils())

	// Wire numbers and step names are text, whatever YAML may make of them.
	var numbers []string
	for _, n := range c.Numbers {
		numbers = append(numbers, n.Name)
	}
	assert.Equal(t, []string{"L1", "N", "01", "1", "1.5", "no", "null", "+24", "0V (common)", "3L1", "3L2",
		"3L3", "3N", "4L1", "4L2", "4L3", "U", "V", "W", "W1", "71", "72", "73", "74", "A", "B", "B1", "C", "30", "31", "32", "33", "34", "38", "39", "40",
		"35", "36", "37", "58", "59", "60", "61", "62", "63", "41", "44", "45", "47", "48", "49", "52", "50", "51", "46", "43", "54+", "54-", "55", "56"}, numbers)
	assert.Equal(t, "1", c.Steps[0].Name)
	assert.Equal(t, "on", c.Steps[1].Name)
	assert.Equal(t, "nothing of this is worked here", c.Steps[1].Note)
}

func TestReadAliases(t *testing.T) {
	c := readFile(t, "aliases.yaml")
	assert.Equal(t, c.Title, c.About)
	assert.Equal(t, 24.0, c.Device("CR1").Volts)
	assert.Equal(t, c.Device("CR1").Contacts, c.Device("CR2").Contacts)
	assert.Equal(t, "contactor", c.Device("1M").Type.Name)
	assert.Len(t, c.Device("1M").Contacts, 1)
	assert.Equal(t, "3", c.Numbers[2].Name)
	assert.Equal(t, c.Steps[0].Expect, c.Steps[1].Expect)
}
