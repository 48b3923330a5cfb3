package wiring_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"deadrung/circuits/read"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever rungs somebody draws, reading ends with mistakes at their places, or with
// wires that the stricter reading of wires takes as well: each number one node, no
// terminal on two numbers, two wires a terminal.
func TestRandomRungs(t *testing.T) {
	const seeds = 4000
	items := []string{"F1", "F2", "PB1", "PB2", "PB1:12-11", "LS1", "LS2", "CR1", "CR2", "CR1 no",
		"CR1 nc", "CR2 no", "CR2 nc", "CR1:11-14", "CR1:12-11", "CR2:33-34",
		"H1", "H2", "H3", "T1:H1-H2", "X1:1", "X1:2", "X1:3b-3a", "wire 1", "wire 3", "wire 9", "wire L",
		"TB1:1", "TB1:5", "TB1:6", "CR1:14", "CR1:A1", "PE", "T1:X2", "G1:N"}
	good := 0
	for seed := uint64(1); seed <= seeds; seed++ {
		r := rand.New(rand.NewPCG(seed, 3))
		used := make(map[string]bool)
		var item func(depth int) string
		line := func(depth, most int) string {
			var out []string
			for range 1 + r.IntN(most) {
				if it := item(depth); it != "" {
					out = append(out, it)
				}
			}
			return "[" + strings.Join(out, ", ") + "]"
		}
		item = func(depth int) string {
			if depth < 3 && r.IntN(5) == 0 {
				return fmt.Sprintf("{parallel: [%s, %s]}", line(depth+1, 3), line(depth+1, 3))
			}
			it := items[r.IntN(len(items))]
			if used[it] && !strings.Contains(it, "wire") {
				return ""
			}
			used[it] = true
			return it
		}
		var b strings.Builder
		b.WriteString("rungs:\n")
		if r.IntN(3) > 0 {
			used["F1"], used["PE"] = true, true
			b.WriteString("  - {feed: [T1, F1], ground: PE}\n")
		}
		for range 1 + r.IntN(5) {
			if r.IntN(8) == 0 {
				b.WriteString("  - {feed: [G1, wire L], return: [G1:N, wire 9]}\n")
			}
			load := []string{"CR1", "CR2", "H1", "H2", "H3"}[r.IntN(5)]
			rung := line(0, 4)
			if !used[load] {
				used[load] = true
				rung = strings.TrimSuffix(rung, "]") + ", " + load + "]"
			}
			b.WriteString("  - " + strings.Replace(rung, "[, ", "[", 1) + "\n")
		}
		if r.IntN(3) == 0 {
			b.WriteString("through: {field: TB1, yard: [TB1, X1]}\n")
		}
		if r.IntN(4) == 0 {
			b.WriteString("wires:\n  9: [H1:2, CR1:A2]\n  L: [PB1:11, PB2:13, LS1:13]\n")
		}
		text := []byte(boardOf + b.String() + "operation: [{step: rest}]\n")
		c, problems := read.Read("random.yaml", text)
		for _, p := range problems {
			require.Positive(t, p.Pos.Line, "seed %d: %s\n%s", seed, p, text)
			require.NotRegexp(t, `has \d+ wires`, p.What, "seed %d: crowded\n%s", seed, text)
		}
		if c == nil {
			continue
		}
		good++
		wired := read.Wired(text, c, nil)
		again, problems := read.Read("wired.yaml", wired)
		require.NoError(t, problems.Err(), "seed %d\n%s\n%s", seed, text, wired)
		require.Equal(t, wiresOf(c), wiresOf(again), "seed %d\n%s", seed, text)
		kept, problems := read.ReadKeeping("random.yaml", text, c)
		require.NoError(t, problems.Err())
		require.Equal(t, wiresOf(c), wiresOf(kept), "seed %d: kept\n%s", seed, text)
	}
	assert.Greater(t, good, seeds/20, "rungs without a mistake")
	t.Logf("%d of %d without a mistake", good, seeds)
}
