package wirelist

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/plan"
)

// The wire list of a circuit, read as somebody's plan, is right; so is a plan written and read.
func TestOwnListIsRight(t *testing.T) {
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		c := readText(t, name, text)
		list := Of(drawing.New(c))
		var b bytes.Buffer
		require.NoError(t, list.WriteCSV(&b))
		rows, problems := ReadPlan(name, b.Bytes(), nil)
		require.NoError(t, problems.Err())
		wires := PlanOf(c, rows)
		require.Empty(t, plan.Judge(c, wires).Mistakes, name)
		require.Len(t, wires, list.Wires())

		b.Reset()
		require.NoError(t, WritePlan(&b, wires))
		rows, problems = ReadPlan(name, b.Bytes(), nil)
		require.NoError(t, problems.Err())
		for i, w := range PlanOf(c, rows) {
			w.At, wires[i].At = circuits.Pos{}, circuits.Pos{}
			require.Equal(t, wires[i], w)
		}
		conductors := 0
		for _, r := range list.ByRung() {
			conductors += len(r.Conductors)
		}
		require.Equal(t, len(c.Numbers), conductors, name)
	}
}

// What is a mistake in a list is one of the plan, and told there.
func TestPlanMayBeWrong(t *testing.T) {
	const text = "wire,from,to\n1,PWS1:L,F1:1\n2,F1:1,F1:1\n,H1:1,H1:2\n"
	rows, problems := ReadPlan("plan.csv", []byte(text), nil)
	require.NoError(t, problems.Err())
	require.Len(t, rows, 3)
	_, problems = ReadCSV("plan.csv", []byte(text), nil)
	require.Error(t, problems.Err())
}
