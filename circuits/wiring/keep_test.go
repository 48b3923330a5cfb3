package wiring_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"deadrung/circuits"
	"deadrung/circuits/read"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func keeping(t testing.TB, text string, old *circuits.Circuit) *circuits.Circuit {
	t.Helper()
	c, problems := read.ReadKeeping("new.yaml", []byte(text), old)
	require.NoError(t, problems.Err())
	return c
}

// One change each, and what it does to the numbers and wires of the panel.
func TestKeep(t *testing.T) {
	const before = `rungs:
  - {feed: [T1, F1], ground: PE}
  - [PB1, {parallel: [PB2, CR1 no]}, CR1]
  - [CR1 no, CR2]
  - [CR2 nc, H1]
  - [LS1, CR2 no, H2]
`
	old := readBoard(t, before)
	const was = "1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2, CR2:A2, H1:2, H2:2] [T1:X2, PE:1]\n3: [F1:2, " +
		"CR1:21, CR2:21, PB1:11] [F1:2, LS1:13]\n" +
		"4: [PB1:12, PB2:13, CR1:11]\n5: [PB2:14, CR1:14, CR1:A1]\n6: [CR1:24, CR2:A1]\n7: [CR2:22, H1:1]\n8: [LS1:14, CR2:13]\n9: [CR2:14, H2:1]\n"
	require.Equal(t, was, wiresOf(old))
	for _, test := range []struct{ name, from, to, want string }{
		{"nothing", "", "", was},
		{"a rung moved up",
			"  - [PB1, {parallel: [PB2, CR1 no]}, CR1]\n  - [CR1 no, CR2]\n  - [CR2 nc, H1]\n  - [LS1, CR2 no, H2]\n",
			"  - [LS1, CR2 no, H2]\n  - [CR1 no, CR2]\n  - [CR2 nc, H1]\n  - [PB1, {parallel: [PB2, CR1 " +
				"no]}, CR1]\n", was},
		{"a contact put in: one number more",
			"[CR1 no, CR2]", "[CR1 no, LS2, CR2]",
			strings.Replace(was, "6: [CR1:24, CR2:A1]\n", "6: [CR1:24, LS2:13]\n", 1) + "10: [LS2:14, CR2:A1]\n"},
		{"a contact taken out: one number less, that of the fewer terminals",
			"[LS1, CR2 no, H2]", "[CR2 no, H2]",
			strings.Replace(strings.Replace(was, "8: [LS1:14, CR2:13]\n", "", 1), " [F1:2, LS1:13]",
				" [F1:2, CR2:13]", 1)},
		{"a contact for another",
			"[CR2 nc, H1]", "[CR1 nc, H1]",
			strings.Replace(strings.Replace(was, "7: [CR2:22, H1:1]", "7: [CR1:22, H1:1]", 1),
				"CR1:21, CR2:21, PB1:11", "CR1:21, PB1:11", 1)},
		{"a rung put in before the others",
			"  - [PB1,", "  - [CR1 nc, H3]\n  - [PB1,",
			strings.Replace(was, "H2:2] [T1:X2, PE:1]", "H2:2, H3:2] [T1:X2, PE:1]", 1) + "10: [CR1:22, H3:1]\n"},
		{"a number fixed by hand",
			"[CR2 nc, H1]", "[CR2 nc, wire 70, H1]",
			strings.Replace(was, "7: [CR2:22, H1:1]\n", "", 1) + "70: [CR2:22, H1:1]\n"},
		{"a number of the panel fixed elsewhere",
			"[CR2 nc, H1]", "[CR2 nc, wire 9, H1]",
			strings.Replace(strings.Replace(was, "7: [CR2:22, H1:1]\n", "", 1), "9: [CR2:14, H2:1]\n",
				"9: [CR2:22, H1:1]\n10: [CR2:14, H2:1]\n", 1)},
	} {
		t.Run(test.name, func(t *testing.T) {
			require.Contains(t, before, test.from)
			text := boardOf + strings.Replace(before, test.from, test.to, 1) + "\noperation: [{step: rest}]\n"
			assert.Equal(t, test.want, wiresOf(keeping(t, text, old)))
		})
	}
	t.Run("the side with more terminals keeps the number", func(t *testing.T) {
		const feed = "rungs:\n  - {feed: [T1, F1]}\n"
		old := readBoard(t, feed+"  - [CR2 nc, {parallel: [CR1, H1, H2]}]")
		text := boardOf + feed + "  - [CR2 nc, PB1, {parallel: [CR1, H1, H2]}]\noperation: [{step: rest}]\n"
		assert.Contains(t, wiresOf(old), "4: [CR2:22, CR1:A1, H1:1] [CR2:22, H2:1]\n")
		got := wiresOf(keeping(t, text, old))
		assert.Contains(t, got, "4: [PB1:12, H1:1, CR1:A1, H2:1]\n")
		assert.Contains(t, got, "5: [CR2:22, PB1:11]\n")
	})
	t.Run("the field through a terminal block", func(t *testing.T) {
		text := boardOf + before + "through: {field: TB1}\noperation: [{step: rest}]\n"
		c := keeping(t, text, old)
		assert.Contains(t, wiresOf(c), "2: [T1:X2, CR1:A2, CR2:A2, H1:2, TB1:1, H2:2] [T1:X2, PE:1]\n")
		assert.Contains(t, wiresOf(c), "8: [LS1:14, TB1:3, CR2:13]\n", "the straight lead is gone")
		again := keeping(t, text, c)
		assert.Equal(t, wiresOf(c), wiresOf(again), "and then it stays")
	})
}

// ladderText is a ladder of n rungs with contacts by kind, as somebody draws it.
func ladderText(n int) (devices string, rungs []string) {
	var b strings.Builder
	b.WriteString("circuit: Ladder\ndevices:\n  T1: {type: control-transformer, volts: 120}\n  F1: " +
		"{type: fuse}\n  PE: {type: ground}\n")
	for i := 1; i <= n; i++ {
		fmt.Fprintf(&b, "  SB%d: {type: push-button, place: door, contacts: [{nc: [11, 12]}]}\n", i)
		fmt.Fprintf(&b, "  PB%d: {type: push-button, place: door, contacts: [{no: [13, 14]}]}\n", i)
		fmt.Fprintf(&b, "  LS%d: {type: limit-switch, place: field, contacts: [{no: [13, 14]}]}\n", i)
		fmt.Fprintf(&b, "  CR%d: {type: relay, contacts: [{common: 11, nc: 12, no: 14}, {no: [23, 24]}, "+
			"{no: [33, 34]}, {nc: [41, 42]}]}\n", i)
		fmt.Fprintf(&b, "  H%d: {type: lamp, place: field}\n", i)
	}
	for i := 1; i <= n; i++ {
		k := max(1, i-1)
		switch i % 3 {
		case 0:
			rungs = append(rungs, fmt.Sprintf("[SB%d, {parallel: [PB%d, CR%d no]}, CR%d no, CR%d]", i, i, i, k, i))
		case 1:
			rungs = append(rungs, fmt.Sprintf("[LS%d, {parallel: [CR%d, H%d]}]", i, i, i))
		default:
			rungs = append(rungs, fmt.Sprintf("[{parallel: [PB%d, [CR%d no, LS%d]]}, CR%d nc, CR%d]", i, i, i, k, i))
		}
		if i%3 != 1 {
			rungs = append(rungs, fmt.Sprintf("[CR%d no, H%d]", i, i))
		}
	}
	return b.String(), rungs
}

func ladderFile(devices string, rungs []string) string {
	return devices + "rungs:\n  - {feed: [T1, F1], ground: PE}\n  - " + strings.Join(rungs, "\n  - ") +
		"\noperation: [{step: rest}]\n"
}

// A small change of one rung of a large ladder leaves the numbers of all but the wires
// at that place alone, and nearly all wires. Without the older circuit it does not.
func TestSmallChangeKeepsTheRest(t *testing.T) {
	devices, rungs := ladderText(40)
	devices += "  LS99: {type: limit-switch, place: field, contacts: [{no: [13, 14]}]}\n  H99: " +
		"{type: lamp, place: door}\n"
	old := keeping(t, ladderFile(devices, rungs), nil)
	had := old.NumberOf()
	afresh := 0
	for seed := uint64(0); seed < 60; seed++ {
		r := rand.New(rand.NewPCG(seed, 1))
		k := r.IntN(len(rungs))
		changed := slices.Clone(rungs)
		limit := 4 // terminals that may get another number
		what := []string{"insert a contact", "take a contact out", "take the rung out", "put a rung in",
			"move the rung"}[seed%5]
		switch seed % 5 {
		case 0:
			changed[k] = "[LS99, " + changed[k][1:]
		case 1:
			_, rest, _ := strings.Cut(changed[k], ", ")
			if strings.HasPrefix(changed[k], "[{parallel") || strings.HasPrefix(rest, "H") ||
				strings.HasPrefix(rest, "{parallel: [CR") {
				continue
			}
			changed[k] = "[" + rest
		case 2:
			changed = slices.Delete(changed, k, k+1)
		case 3:
			changed = slices.Insert(changed, k, "[CR3 nc, H99]")
			limit = 0
		case 4:
			moved := changed[k]
			changed = slices.Insert(slices.Delete(changed, k, k+1), r.IntN(len(changed)), moved)
			limit = 0
		}
		text := ladderFile(devices, changed)
		relabelled := func(c *circuits.Circuit) int {
			n := 0
			for at, number := range c.NumberOf() {
				if had[at] != "" && had[at] != number {
					n++
				}
			}
			return n
		}
		name := fmt.Sprintf("seed %d: %s at rung %d", seed, what, k)
		c := keeping(t, text, old)
		assert.LessOrEqual(t, relabelled(c), limit, name)
		moved := 0
		wires := make(map[[2]circuits.Terminal]bool)
		for _, n := range old.Numbers {
			for _, w := range n.Wires {
				wires[[2]circuits.Terminal{w.From, w.To}], wires[[2]circuits.Terminal{w.To, w.From}] = true, true
			}
		}
		for _, n := range c.Numbers {
			for _, w := range n.Wires {
				if !wires[[2]circuits.Terminal{w.From, w.To}] {
					moved++
				}
			}
		}
		assert.LessOrEqual(t, moved, 6, "%s: new wires", name)
		if seed%5 == 4 {
			assert.Zero(t, moved, name)
		}
		afresh += relabelled(keeping(t, text, nil))
	}
	assert.Greater(t, afresh, 1000, "what is relabelled without the older circuit")
}

// Keeping is at rest: what was kept is kept again.
func TestKeepTwice(t *testing.T) {
	devices, rungs := ladderText(12)
	old := keeping(t, ladderFile(devices, rungs), nil)
	slices.Reverse(rungs)
	text := ladderFile(devices, rungs)
	once := keeping(t, text, old)
	assert.Equal(t, wiresOf(once), wiresOf(keeping(t, text, once)))
}

// A ladder of a hundred rungs is read, numbered and wired well under a second.
func BenchmarkRungs100(b *testing.B) {
	devices, rungs := ladderText(60)
	text := []byte(ladderFile(devices, rungs))
	require.Len(b, rungs, 100)
	old, problems := read.Read("ladder.yaml", text)
	require.NoError(b, problems.Err())
	b.Run("afresh", func(b *testing.B) {
		for b.Loop() {
			read.Read("ladder.yaml", text)
		}
	})
	b.Run("keeping", func(b *testing.B) {
		for b.Loop() {
			read.ReadKeeping("ladder.yaml", text, old)
		}
	})
	b.Run("written", func(b *testing.B) {
		for b.Loop() {
			read.Wired(text, old, nil)
		}
	})
}
