package generate

import (
	"fmt"
	"strings"
)

// step is one step of the operation.
type step struct {
	name string
	set  []string // as written
	wait float64  // seconds
}

// shakes is more than the times that an operator is moved at random after all have been
// worked.
const shakes = 5

// operate works the operators: at rest, then those of every rung from the first on,
// rungs taken one or a few at a time, buttons let go after, timers waited for; then some
// that break what was made, in no order.
func (b *board) operate() []step {
	var steps []step
	at := make(map[*switched]int)
	say := func(name string, set []string, wait float64) {
		steps = append(steps, step{fmt.Sprintf("%d %s", len(steps)+1, name), set, wait})
	}
	move := func(s *switched, to int) string {
		at[s] = to
		return s.d.name + ": " + s.positions[to]
	}
	var longest float64
	for _, d := range b.relays {
		longest = max(longest, d.seconds)
	}
	wait := func() float64 {
		if longest == 0 || !b.chance(60) {
			return 0
		}
		return longest * pick(b, 0.5, 1, 1, 2)
	}
	say("at rest", nil, 0)
	size := 1 + len(b.rungs)/6
	for first := 0; first < len(b.rungs); first += size {
		var made, held []*switched
		for _, rung := range b.rungs[first:min(first+size, len(b.rungs))] {
			for _, s := range rung {
				if s.breaks {
					continue
				}
				made = append(made, s)
				if s.momentary {
					held = append(held, s)
				}
			}
		}
		if len(made) == 0 {
			continue
		}
		var set []string
		for _, s := range made {
			set = append(set, move(s, 1+b.r.IntN(len(s.positions)-1)))
		}
		say(made[0].d.name+" "+made[0].positions[at[made[0]]], set, wait())
		if len(held) > 0 {
			set = nil
			for _, s := range held {
				set = append(set, move(s, 0))
			}
			say(held[0].d.name+" let go", set, wait())
		}
	}
	if longest > 0 {
		say("later", nil, 2*longest)
	}
	var all []*switched
	for _, rung := range b.rungs {
		all = append(all, rung...)
	}
	for range b.r.IntN(shakes) {
		s := pick(b, all...)
		to := b.r.IntN(len(s.positions) - 1)
		if to >= at[s] {
			to++
		}
		say(s.d.name+" "+s.positions[to], []string{move(s, to)}, wait())
		if s.momentary && to > 0 && b.chance(60) {
			say(s.d.name+" let go", []string{move(s, 0)}, 0)
		}
	}
	return steps
}

// operationText writes the steps, with what each expects if that is known.
func operationText(steps []step, expect [][]string) string {
	var s strings.Builder
	s.WriteString("operation:\n")
	for i, st := range steps {
		fmt.Fprintf(&s, "  - step: %s\n", st.name)
		if len(st.set) > 0 {
			fmt.Fprintf(&s, "    set: {%s}\n", strings.Join(st.set, ", "))
		}
		if st.wait > 0 {
			fmt.Fprintf(&s, "    wait: %g\n", st.wait)
		}
		if expect != nil {
			fmt.Fprintf(&s, "    expect: {%s}\n", strings.Join(expect[i], ", "))
		}
	}
	return s.String()
}
