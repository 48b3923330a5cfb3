package wiring_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"deadrung/circuits/read"
	"deadrung/circuits/work"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// expression is a random network of button contacts: one contact, or others in series or
// side by side.
type expression struct {
	button   int // from 1; 0 for none
	nc       bool
	parallel bool
	of       []*expression
}

// drawExpression draws one with so many contacts, each on a button of its own.
func drawExpression(r *rand.Rand, contacts int, next *int, parallel bool) *expression {
	if contacts == 1 {
		*next++
		return &expression{button: *next, nc: r.IntN(3) == 0}
	}
	e := &expression{parallel: parallel}
	parts := 2 + r.IntN(min(contacts-1, 3))
	for left := contacts; left > 0 && len(e.of) < parts; {
		n := 1 + r.IntN(left-(parts-len(e.of))+1)
		if len(e.of) == parts-1 {
			n = left
		}
		e.of = append(e.of, drawExpression(r, n, next, !parallel))
		left -= n
	}
	return e
}

// closed says whether it conducts: in series all must, side by side any one.
func (e *expression) closed(pressed []bool) bool {
	switch {
	case e.button > 0:
		return pressed[e.button] != e.nc
	case e.parallel:
		return slices.ContainsFunc(e.of, func(o *expression) bool { return o.closed(pressed) })
	}
	return !slices.ContainsFunc(e.of, func(o *expression) bool { return !o.closed(pressed) })
}

// text writes it as items of a rung.
func (e *expression) text(r *rand.Rand) string {
	if e.button > 0 {
		switch {
		case r.IntN(2) == 0:
			return fmt.Sprintf("PB%d", e.button)
		case e.nc:
			return fmt.Sprintf("PB%d nc", e.button)
		}
		return fmt.Sprintf("PB%d no", e.button)
	}
	var parts []string
	for _, o := range e.of {
		s := o.text(r)
		if e.parallel && o.button == 0 && !o.parallel {
			s = "[" + s + "]"
		}
		parts = append(parts, s)
	}
	if e.parallel {
		return "{parallel: [" + strings.Join(parts, ", ") + "]}"
	}
	return strings.Join(parts, ", ")
}

// buttons writes the devices.
func (e *expression) buttons(b *strings.Builder, r *rand.Rand) {
	if e.button > 0 {
		form := "no: [13, 14]"
		if e.nc {
			form = "nc: [11, 12]"
		}
		fmt.Fprintf(b, "  PB%d: {type: push-button, place: %s, contacts: [{%s}]}\n", e.button,
			[]string{"panel", "door", "field", "yard"}[r.IntN(4)], form)
	}
	for _, o := range e.of {
		o.buttons(b, r)
	}
}

// A rung conducts as Boolean algebra has it, contacts in series as AND and side by side
// as OR (C. E. Shannon, A Symbolic Analysis of Relay and Switching Circuits, 1938),
// whatever places its contacts are at and whatever the wires go through; a new number
// follows every contact but where branches join.
func TestSeriesIsAndParallelIsOr(t *testing.T) {
	for seed := uint64(1); seed <= 150; seed++ {
		r := rand.New(rand.NewPCG(seed, 7))
		contacts := 2 + r.IntN(14)
		next := 0
		e := drawExpression(r, contacts, &next, r.IntN(2) == 0)
		require.Equal(t, contacts, next)
		var b strings.Builder
		b.WriteString("circuit: Law\nplaces: {yard: 5}\n")
		if through := []string{"", "{field: TB1}", "{field: TB1, yard: X1}",
			"{field: TB1, yard: [TB1, X1], door: X1}"}[r.IntN(4)]; through != "" {
			b.WriteString("through: " + through + "\n")
		}
		b.WriteString("devices:\n  T1: {type: control-transformer, volts: 120}\n  PE: {type: ground}\n  " +
			"F1: {type: fuse}\n  H1: {type: lamp, place: field}\n")
		var names []string
		for i := range 100 {
			names = append(names, fmt.Sprint(i+1))
		}
		all := strings.Join(names, ", ")
		fmt.Fprintf(&b, "  TB1: {type: terminal-block, terminals: [%s], bridges: [[1, 2, 3], [8, 9]]}\n "+
			" X1: {type: connector, pins: [%s]}\n", all, all)
		e.buttons(&b, r)
		fmt.Fprintf(&b, "rungs:\n  - {feed: [T1, F1], ground: PE}\n  - [%s, H1]\noperation:\n", e.text(r))
		pressed := make([]bool, contacts+1)
		for i := range 12 {
			fmt.Fprintf(&b, "  - step: %d\n", i)
			var set []string
			for k := 1; k <= contacts; k++ {
				pressed[k] = r.IntN(2) == 0
				set = append(set,
					fmt.Sprintf("PB%d: %s", k, map[bool]string{true: "pressed", false: "released"}[pressed[k]]))
			}
			fmt.Fprintf(&b, "    set: {%s}\n    expect: {H1: %s}\n", strings.Join(set, ", "),
				work.OnOff(e.closed(pressed)))
		}
		text := b.String()
		c, problems := read.Read("law.yaml", []byte(text))
		require.NoError(t, problems.Err(), text)
		for _, p := range problems {
			require.NotRegexp(t, `has \d+ wires`, p.What, "crowded") // TB1 and X1 may be unused
		}
		if !assert.Empty(t, work.Assemble(c).Verify([]byte(text)), text) {
			return
		}
		// Numbers: hot, grounded, behind the fuse, and one behind every contact less one
		// for every branch that joins.
		joins := 0
		var count func(e *expression)
		count = func(e *expression) {
			if e.parallel {
				joins += len(e.of) - 1
			}
			for _, o := range e.of {
				count(o)
			}
		}
		count(e)
		assert.Len(t, c.Numbers, 3+contacts-joins, text)
	}
}
