package diagnose

import (
	"deadrung/diagnose/log"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Minutes at the panel come from places, power switching, lifting, working the steps
// (interface: A check). Each sum is written out; the figures are common practice, no
// source, but for the minutes of a place, which are the format's.
func TestMinutes(t *testing.T) {
	m := fromText(t, "away.yaml", `circuit: Away
places: {pit: 6}
devices:
  G1: {type: supply, volts: 120}
  F1: {type: fuse, amps: 1}
  PB1: {type: push-button, place: door, contacts: [{no: [13, 14]}]}
  LS1: {type: limit-switch, place: field, contacts: [{no: [13, 14]}]}
  FS1: {type: float-switch, place: field, contacts: [{no: [13, 14]}]}
  FS2: {type: float-switch, place: pit, contacts: [{no: [13, 14]}]}
  H1: {type: lamp, place: pit}
  H2: {type: lamp, place: door}
  H3: {type: lamp, place: field}
wires:
  1: [G1:L, F1:1]
  2: [F1:2, PB1:13, LS1:13, FS1:13, FS2:13]
  3: [PB1:14, H1:1, H2:1]
  4: [LS1:14, H3:1, FS1:14, FS2:14]
  N: [G1:N, H1:2, H2:2, H3:2]
operation:
  - step: rest
  - step: pressed
    set: {PB1: pressed}
    wait: 90
  - step: both
    set: {LS1: operated}
  - step: let go
    set: {PB1: released, LS1: normal}
  - step: all at once
    set: {PB1: pressed, LS1: operated, FS1: operated, FS2: operated}
`)
	const (
		panel, door, field, pit = 0.5, 0.5, 4.0, 6.0 // minutes to a terminal
		wait                    = 1.5                // 90 s
		box, float              = 0.5, 2.0           // to move a limit switch, to lift a float
		held                    = HoldMinutes        // the button
	)
	for _, test := range []struct {
		what   string
		after  string // the check made before, "" for a panel as it was found
		check  string
		minute float64
	}{
		{"a look at rest, from as found", "", `{"look":"H2","step":"rest"}`, LookMinutes},
		{"a look after working on", "", `{"look":"H2","step":"both"}`, OperateMinutes + wait + box + field/2 + held + LookMinutes},
		{"a look where it stands", `{"look":"H2","step":"both"}`, `{"look":"H2","step":"both"}`, held + LookMinutes},
		{"an operator on the door", `{"look":"H2","step":"rest"}`, `{"look":"H2","step":"pressed"}`, OperateMinutes + wait + held + LookMinutes},
		{"one step on, to an operator in the field", `{"look":"H2","step":"pressed"}`, `{"look":"H2","step":"both"}`, box + field/2 + held + LookMinutes},
		{"a step that moves two operators", `{"look":"H2","step":"both"}`, `{"look":"H2","step":"let go"}`, OperateMinutes + box + field/2 + LookMinutes},
		{"a step that moves two at one place, and one at another", `{"look":"H2","step":"let go"}`, `{"look":"H2","step":"all at once"}`,
			OperateMinutes + box + 2*float + field/2 + pit/2 + held + LookMinutes},
		{"a look at an earlier step begins anew", `{"look":"H2","step":"both"}`, `{"look":"H2","step":"pressed"}`,
			RestartMinutes + OperateMinutes + wait + held + LookMinutes},
		{"a look in the field: half the way of a lead", "", `{"look":"H3","step":"rest"}`, field/2 + LookMinutes},
		{"a look at a place of the file", "", `{"look":"H1","step":"rest"}`, pit/2 + LookMinutes},
		{"a look where the person is", `{"look":"H1","step":"rest"}`, `{"look":"H1","step":"rest"}`, LookMinutes},
		{"a look from place to place, by way of the panel", `{"look":"H1","step":"rest"}`, `{"look":"H3","step":"rest"}`, pit/2 + field/2 + LookMinutes},
		{"a look while a second person holds the button", `{"look":"H2","step":"pressed"}`, `{"look":"H3","step":"pressed"}`,
			field/2 + HelperMinutes + LookMinutes},

		{"the first volts: get ready", "", `{"volts":["F1:2","G1:N"],"step":"rest"}`, ReadyMinutes + panel},
		{"volts to the return, where the black lead stays", `{"volts":["F1:1","G1:N"],"step":"rest","read":120}`, `{"volts":["F1:2","G1:N"],"step":"rest"}`, panel},
		{"volts after a look, the meter at hand", `{"volts":["F1:1","G1:N"],"step":"rest","read":120}|{"look":"H2","step":"rest"}`,
			`{"volts":["F1:2","G1:N"],"step":"rest"}`, panel},
		{"leads exchanged", "", `{"volts":["G1:N","F1:2"],"step":"rest"}`, ReadyMinutes + panel},
		{"volts on the door", "", `{"volts":["PB1:14","G1:N"],"step":"rest"}`, ReadyMinutes + door},
		{"volts in the field, two leads", "", `{"volts":["LS1:14","H3:2"],"step":"rest"}`, ReadyMinutes + field + panel},
		{"volts at a place of the file", "", `{"volts":["H1:1","H1:2"],"step":"rest"}`, ReadyMinutes + pit + panel},
		{"once more there", `{"volts":["H1:1","H1:2"],"step":"rest","read":0}`, `{"volts":["H1:1","H1:2"],"step":"rest"}`, 2 * panel},
		{"and back in the panel", `{"volts":["H1:1","H1:2"],"step":"rest","read":0}`, `{"volts":["F1:2","G1:N"],"step":"rest"}`, pit/2 + panel},
		{"volts across a contact: two leads", "", `{"volts":["PB1:13","PB1:14"],"step":"rest"}`, ReadyMinutes + 2*door},
		{"volts along a wire to another place: a long lead", "", `{"volts":["PB1:14","H1:1"],"step":"rest"}`,
			ReadyMinutes + LongLeadMinutes + door + pit + 2*panel},

		{"ohms: lock out first", "", `{"ohms":["F1:2","G1:N"],"step":"rest"}`, LockOutMinutes + panel},
		{"ohms with an operator held", "", `{"ohms":["F1:2","G1:N"],"step":"pressed"}`, LockOutMinutes + OperateMinutes + held + panel},
		{"ohms with two moved", "", `{"ohms":["F1:2","G1:N"],"step":"both"}`, LockOutMinutes + OperateMinutes + box + field/2 + held + panel},
		{"ohms with two moved at one place, and others elsewhere", "", `{"ohms":["F1:2","G1:N"],"step":"all at once"}`,
			LockOutMinutes + OperateMinutes + box + 2*float + field/2 + pit/2 + held + panel},
		{"ohms with one put back in the field", `{"ohms":["F1:2","G1:N"],"step":"both","read":0}`, `{"ohms":["F1:2","G1:N"],"step":"pressed"}`,
			box + field/2 + held + panel},
		{"ohms where the operators stand already", `{"look":"H2","step":"both"}`, `{"ohms":["F1:2","G1:N"],"step":"both"}`, LockOutMinutes + held + panel},
		{"ohms again: it is locked out", `{"ohms":["F1:2","G1:N"],"step":"rest","read":0}`, `{"ohms":["PB1:13","PB1:14"],"step":"rest"}`, 2 * door},
		{"ohms with a wire lifted", `{"ohms":["F1:2","G1:N"],"step":"rest","read":0}`, `{"ohms":["PB1:13","PB1:14"],"lifted":["PB1:14"],"step":"rest"}`, 2*door + LiftMinutes},
		{"ohms with two terminals lifted", `{"ohms":["F1:2","G1:N"],"step":"rest","read":0}`,
			`{"ohms":["PB1:13","PB1:14"],"lifted":["PB1:13","PB1:14"],"step":"rest"}`, 2*door + 2*LiftMinutes},
		{"back to power, and worked from its beginning", `{"ohms":["F1:2","G1:N"],"step":"rest","read":0}`, `{"look":"H2","step":"pressed"}`,
			RestoreMinutes + OperateMinutes + wait + held + LookMinutes},
		{"back to power, and volts", `{"ohms":["F1:2","G1:N"],"step":"rest","read":0}`, `{"volts":["F1:2","G1:N"],"step":"rest"}`,
			RestoreMinutes + ReadyMinutes + panel},
	} {
		var history log.Log
		if test.after != "" {
			var lines []string
			for _, line := range strings.Split(test.after, "|") {
				lines = append(lines, answeredOff(line))
			}
			history = readLog(t, m, lines...)
		}
		c := readLog(t, m, `{"cannot":`+test.check+`}`).Entries[0]
		assert.InDelta(t, test.minute, m.minutes(m.modeAfter(history), c.Located()), 1e-9, test.what)
	}
}

// answeredOff adds an answer to a look, which the rows leave out.
func answeredOff(check string) string {
	if check[2] == 'l' {
		return check[:len(check)-1] + `,"saw":"off"}`
	}
	return check
}

// What cannot be made takes no time and leaves the panel as it stands.
func TestModeAfter(t *testing.T) {
	m := bare(t)
	before := m.modeAfter(readLog(t, m, hornOff))
	assert.Equal(t, before, m.modeAfter(readLog(t, m, hornOff, `{"cannot":{"ohms":["F1:1","F1:2"]}}`)))
	assert.NotEqual(t, before, m.modeAfter(readLog(t, m, hornOff, coilOhms)))
	assert.Equal(t, before, m.modeAfter(readLog(t, m, hornOff, coilOhms, undo)))
	at := m.stands(before)
	assert.Equal(t, stand{m.panel.Circuit.Step("door left open"), untouched, 0, true}, at)
	assert.False(t, m.stands(m.modeAfter(log.Log{})).begun)
	at = m.stands(m.modeAfter(readLog(t, m, `{"ohms":["F1:1","F1:2"],"step":"store warm","read":0}`)))
	assert.Equal(t, stand{m.panel.Circuit.Step("store warm"), lockedOff, 0, true}, at)
}

// By checks every check counts as one; by minutes the time at the panel counts: a walk
// into the field is put off while the panel still tells something.
func TestByMinutesStaysInThePanel(t *testing.T) {
	m := coldStore()
	var mean [2]float64
	for _, by := range []By{ByMinutes, ByChecks} {
		for f := range m.faults {
			mean[by] += m.faults[f].Prior * truthful(t, m, f, by).minutes
		}
	}
	require.Positive(t, mean[ByMinutes])
	assert.Less(t, mean[ByMinutes], mean[ByChecks])
}
