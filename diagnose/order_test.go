package diagnose

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
	"deadrung/faultmodel"
)

// looksSplit gives a look that parts what is left for certain; empty if there is none.
func looksSplit(m *Model, left []int) string {
	for t, i := range m.table.checks {
		if m.checks[i].Kind != log.Look {
			continue
		}
		first := split.Any
		for _, f := range left {
			o := m.table.split.Outcome(split.Test(t), split.Hypothesis(f))
			switch {
			case o == split.Any:
			case first == split.Any:
				first = o
			case o != first:
				return m.book.Check(m.checks[i]).String()
			}
		}
	}
	return ""
}

// With nothing known no search begins with a lock-out while a look still parts what is
// possible, whatever the site allows and whatever is kept small.
func TestNoSearchBeginsWithALockOut(t *testing.T) {
	panels := make(map[string]string)
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		panels[name] = string(text)
	}
	for seed := range uint64(3) {
		panels[fmt.Sprintf("random %d", seed)] = generate.Panel(seed, generate.Options{Rungs: 5})
	}
	panels["rungs"] = generate.Rungs(12)
	for name, text := range panels {
		for _, r := range []log.Rules{{}, {NoLive: true}} {
			c, problems := read.Read(name+".yaml", []byte(text))
			require.NoError(t, problems.Err())
			p := work.Assemble(c)
			m, err := New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), Options{Rules: r})
			require.NoError(t, err)
			for _, by := range []By{ByMinutes, ByChecks} {
				turn := m.Turn(log.Log{}, Choosing{By: by})
				require.NotNil(t, turn.Next)
				if look := looksSplit(m, turn.Left); look != "" {
					assert.NotEqual(t, log.Ohms, turn.Next.Check.Kind(), "%s %v by %d: %s, and %s parts as well",
						name, r.Flags(), by, turn.Next.Check, look)
				}
			}
		}
	}
}
