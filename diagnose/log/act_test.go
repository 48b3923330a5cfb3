package log

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

func actBook(t *testing.T) *Book {
	t.Helper()
	text, _ := circuits.BuiltinText("two-lamp")
	c, problems := read.Read("two-lamp", text)
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	return NewBook(p, faultmodel.List(p, faultmodel.Options{}))
}

// TestActsInALog: acts are read back as they were written, in their place among the
// checks.
func TestActsInALog(t *testing.T) {
	m := actBook(t)
	step := m.Panel().Circuit.Steps[0].Name
	right := true
	look := Check{Look: "H1", Step: step}
	acts := []Act{
		{Kind: BeginAct, Hidden: "0123", Seed: 7}, {Kind: WorkAct, Step: step}, {Kind: LockOutAct, At: "2026-01-01T08:00:00Z"}, {Kind: SwitchOffAct},
		{Kind: TryAct}, {Kind: TestMeterAct}, {Kind: ProveDeadAct}, {Kind: HoldAct, Step: step}, {Kind: AttemptAct, Attempt: &look},
		{Kind: RestoreAct}, {Kind: HintAct, Strength: 2}, {Kind: StateAct, Fault: "open-H1"}, {Kind: RepairAct, Fault: "open-H1"},
		{Kind: ProveAct, Right: &right}, {Kind: StopAct, Note: "tired"}, {Kind: WorksAct, At: "2026-01-01T08:10:00Z"}, {Kind: FailsAct},
	}
	e, err := m.NewEntry(look, &Reading{Kind: Look, Firm: true})
	require.NoError(t, err)
	var text bytes.Buffer
	require.NoError(t, m.WriteHeader(&text))
	for i, a := range acts {
		require.NoError(t, a.AppendTo(&text))
		if i == 1 {
			require.NoError(t, e.AppendTo(&text))
		}
	}
	history, problems := m.ReadLog("log", text.Bytes())
	require.Empty(t, problems)
	require.Len(t, history.Acts, len(acts))
	for i, a := range history.Acts {
		want := acts[i]
		want.Line, want.Before = a.Line, min(1, max(0, i-1))
		assert.Equal(t, want, a)
	}
	assert.Len(t, history.ActsBefore(0), 2)
	assert.Len(t, history.ActsBefore(1), len(acts)-2)
	assert.Empty(t, history.ActsBefore(2))
}

// TestWrongActs: each mistake is told at its line.
func TestWrongActs(t *testing.T) {
	m := actBook(t)
	for line, want := range map[string]string{
		`{"act":"dance"}`:                                     `there is no act "dance": it is one of begin, lock-out,`,
		`{"act":"work"}`:                                      `the act "work" needs a "step"`,
		`{"act":"work","step":"nowhere"}`:                     `the operation has no step "nowhere"`,
		`{"act":"try","fault":"open-H1"}`:                     `the act "try" has no "fault"`,
		`{"act":"state","fault":"open-H9"}`:                   `no fault of this circuit is called "open-H9"`,
		`{"act":"hint","strength":4}`:                         `the strength of a hint is 1, 2 or 3, not 4`,
		`{"act":"attempt","attempt":{"look":"X"}}`:            `a look check needs the step`,
		`{"act":"prove"}`:                                     `the act "prove" needs a "right"`,
		`{"act":"try","seed":1}`:                              `the act "try" has no "seed"`,
		`{"act":"try","look":"H1"}`:                           `a line with "act" has no check beside it`,
		`{"act":"try","undo":true}`:                           `a line with "act" has no check beside it`,
		`{"fault":"open-H1"}`:                                 `belong to a line with "act"`,
		`{"look":"H1","step":"bay shut","saw":"on","seed":1}`: `belong to a line with "act"`,
	} {
		_, problems := m.ReadLog("log", []byte(line+"\n"))
		if assert.Len(t, problems, 1, line) {
			assert.Contains(t, problems[0].What, want, line)
		}
	}
}

// What comes and goes works from one act to the other; a repair ends it.
func TestWorking(t *testing.T) {
	m := actBook(t)
	look := `{"look":"H1","step":"` + m.Panel().Circuit.Steps[0].Name + `","saw":"off"`
	for text, want := range map[string]bool{
		"": false, `{"act":"works"}`: true, `{"act":"works"}` + "\n" + `{"act":"fails"}`: false,
		`{"act":"works"}` + "\n" + look + "}":                                          true,
		look + "}\n" + `{"act":"works"}` + "\n" + look + `,"repaired":true}`:           false,
		look + "}\n" + look + `,"repaired":true}` + "\n" + `{"act":"works"}`:           true,
		`{"act":"works"}` + "\n" + look + "}\n" + `{"undo":true}`:                      true,
		`{"act":"works"}` + "\n" + `{"act":"fails"}` + "\n" + `{"act":"works"}` + "\n": true,
	} {
		history, problems := m.ReadLog("log", []byte(text+"\n"))
		require.Empty(t, problems)
		assert.Equal(t, want, history.Working(), text)
	}
}
