package wiring_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
)

// board is the devices of the cases below.
const boardOf = `circuit: Board
places: {yard: 6}
devices:
  T1: {type: control-transformer, volts: 120, primary-volts: 240}
  G1: {type: supply, volts: 240}
  PE: {type: ground}
  F1: {type: fuse}
  F2: {type: fuse}
  TB1: {type: terminal-block, terminals: [1, 2, 3, 4, 5, 6], bridges: [[5, 6]]}
  X1: {type: connector, pins: [1, 2, 3]}
  PB1: {type: push-button, place: door, contacts: [{nc: [11, 12]}]}
  PB2: {type: push-button, place: door, contacts: [{no: [13, 14]}]}
  LS1: {type: limit-switch, place: field, contacts: [{no: [13, 14]}]}
  LS2: {type: limit-switch, place: yard, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{common: 11, nc: 12, no: 14}, {common: 21, nc: 22, no: 24}]}
  CR2: {type: relay, contacts: [{no: [13, 14]}, {nc: [21, 22]}, {no: [33, 34]}]}
  H1: {type: lamp, place: door}
  H2: {type: lamp, place: field}
  H3: {type: lamp, place: yard}
  CR3: {type: relay, contacts: [{common: 11, nc: 12, no: 14}, {no: [23, 24]}]}
  CR4: {type: relay, contacts: [{common: 11, nc: 12, no: 14}, {nc: [31, 32]}]}
  JB1: {type: terminal-block, place: yard, terminals: [1, 2, 3, 4]}
`

// wiresOf gives the wires of a circuit as in a file, one number a line.
func wiresOf(c *circuits.Circuit) string {
	var b strings.Builder
	for i := range c.Numbers {
		var runs []string
		for _, run := range c.Numbers[i].Runs() {
			runs = append(runs, read.List(run))
		}
		fmt.Fprintf(&b, "%s: %s\n", c.Numbers[i].Name, strings.Join(runs, " "))
	}
	return b.String()
}

func readBoard(t testing.TB, rest string) *circuits.Circuit {
	t.Helper()
	c, problems := read.Read("board.yaml", []byte(boardOf+rest+"\noperation: [{step: rest}]\n"))
	require.NoError(t, problems.Err())
	return c
}

func TestRungsToWires(t *testing.T) {
	const fed = "rungs:\n  - {feed: [T1, F1], ground: PE}\n"
	for _, test := range []struct{ name, rungs, want string }{
		// Numbers: a new one after every contact, coil and fuse, left to right.
		{"series", "- [PB1, CR1 no, H1]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, H1:2] [T1:X2, PE:1]\n3: [F1:2, PB1:11]\n4: [PB1:12, CR1:11]\n5: " +
				"[CR1:14, H1:1]\n"},
		{"two rungs, top to bottom", "- [PB1, CR1]\n  - [PB2, CR2]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2, CR2:A2] [T1:X2, PE:1]\n3: [F1:2, PB1:11, PB2:13]\n4: " +
				"[PB1:12, CR1:A1]\n5: [PB2:14, CR2:A1]\n"},
		{"a seal: the number is kept where the drawing joins", "- [PB1, {parallel: [PB2, CR2 no]}, CR2]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR2:A2] [T1:X2, PE:1]\n3: [F1:2, PB1:11]\n4: [PB1:12, PB2:13, " +
				"CR2:13]\n5: [PB2:14, CR2:14, CR2:A1]\n"},
		{"the top line is read to its end before what is below",
			"- [{parallel: [PB1, [PB2, CR2 no]]}, CR1 no, CR2]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR2:A2] [T1:X2, PE:1]\n3: [F1:2, PB1:11, PB2:13]\n4: [PB1:12, " +
				"CR2:14, CR1:11]\n5: [CR1:14, CR2:A1]\n6: [PB2:14, CR2:13]\n"},
		{"a load with something behind it", "- [CR1, CR2 nc]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR2:22] [T1:X2, PE:1]\n3: [F1:2, CR1:A1]\n4: [CR1:A2, CR2:21]\n"},

		// Fixed numbers.
		{"a fixed number, and the others step over it", "- [PB1, wire 4, CR1 no, H1]\n  - [PB2, wire 2A, CR2]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR2:A2, H1:2] [T1:X2, PE:1]\n3: [F1:2, PB1:11, PB2:13]\n4: " +
				"[PB1:12, CR1:11]\n5: [CR1:14, H1:1]\n2A: [PB2:14, CR2:A1]\n"},
		{"a rung that begins and ends at numbers",
			"- [PB1, wire 50, CR1, wire 51, CR2 nc]\n  - [wire 50, CR2, wire 51]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR2:22] [T1:X2, PE:1]\n3: [F1:2, PB1:11]\n50: [PB1:12, CR1:A1, " +
				"CR2:A1]\n51: [CR1:A2, CR2:21, CR2:A2]\n"},
		{"a rung that begins at a terminal", "- [PB1, CR2 no, CR1]\n  - [CR2:14, H1]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2, H1:2] [T1:X2, PE:1]\n3: [F1:2, PB1:11]\n4: [PB1:12, " +
				"CR2:33]\n5: [CR2:34, CR1:A1]\n6: [CR2:14, H1:1]\n"},

		// Contacts.
		{"a changeover contact is shared where its common terminal fits", "- [CR1 no, H1]\n  - [CR1 nc, H2]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, H1:2, H2:2] [T1:X2, PE:1]\n3: [F1:2, CR1:11]\n4: [CR1:14, " +
				"H1:1]\n5: [CR1:12, H2:1]\n"},
		{"and not where it does not", "- [CR1 no, H1]\n  - [PB1, CR1 nc, H2]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, H1:2, H2:2] [T1:X2, PE:1]\n3: [F1:2, CR1:11, PB1:11]\n4: " +
				"[CR1:14, H1:1]\n5: [PB1:12, CR1:21]\n6: [CR1:22, H2:1]\n"},
		{"a plain contact before a changeover one", "- [CR3 no, H1]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, H1:2] [T1:X2, PE:1]\n3: [F1:2, CR3:23]\n4: [CR3:24, H1:1]\n"},
		{"unless that leaves another without", "- [CR4 nc, H1]\n  - [CR4 no, H2]\n  - [PB1, CR4 nc, H3]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, H1:2, H2:2, H3:2] [T1:X2, PE:1]\n3: [F1:2, CR4:11, PB1:11]\n4: " +
				"[CR4:12, H1:1]\n5: [CR4:14, H2:1]\n6: [PB1:12, CR4:31]\n7: [CR4:32, H3:1]\n"},
		{"a contact either way round", "- [CR1:14-11, H1]\n  - [CR1:12, H2]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, H1:2, H2:2] [T1:X2, PE:1]\n3: [F1:2, CR1:14]\n4: [CR1:11, " +
				"H1:1]\n5: [CR1:12, H2:1]\n"},

		// Landings.
		{"a forced landing", "- [PB1, TB1:3, CR1]\n  - [CR1:A2, TB1:4]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2, TB1:4] [T1:X2, PE:1]\n3: [F1:2, PB1:11]\n4: [PB1:12, " +
				"TB1:3, CR1:A1]\n"},
		{"wires that the file has itself",
			"- [PB1, CR1]\n  - [PB2, CR1:A1]\nwires:\n  3: [PB2:13, F1:2]\n  9: [PB2:14, PB1:12]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2] [T1:X2, PE:1]\n3: [F1:2, PB2:13, PB1:11]\n9: [PB1:12, " +
				"PB2:14, CR1:A1]\n"},
		{"a bridge joins what the drawing parts", "- [PB1, TB1:5, CR1]\n  - [PB2, TB1:6, CR2]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2, CR2:A2] [T1:X2, PE:1]\n3: [F1:2, PB1:11, PB2:13]\n4: " +
				"[PB1:12, PB2:14, TB1:5, CR2:A1] [TB1:6, CR1:A1]\n"},

		// Places: a lead from place to place, the panel in the middle.
		{"panel, door, field", "- [PB1, CR1]\n  - [CR2 no, H1]\n  - [LS1, CR2]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2, CR2:A2, H1:2] [T1:X2, PE:1]\n3: [F1:2, CR2:13, PB1:11] " +
				"[F1:2, LS1:13]\n4: [PB1:12, CR1:A1]\n5: [CR2:14, H1:1]\n6: [LS1:14, CR2:A1]\n"},
		{"a plug keeps the number", "- [LS1, X1:1b-1a, CR1]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2] [T1:X2, PE:1]\n3: [F1:2, LS1:13]\n4: [LS1:14, X1:1b] " +
				"[X1:1a, CR1:A1]\n"},
		{"but for another fixed one", "- [LS1, wire 4F, X1:1b-1a, wire 4, CR1]",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2] [T1:X2, PE:1]\n3: [F1:2, LS1:13]\n4F: [LS1:14, " +
				"X1:1b]\n4: [X1:1a, CR1:A1]\n"},
		{"the field by terminal block", "- [LS1, CR1]\n  - [CR1 no, H2]\nthrough: {field: TB1}",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2, TB1:1, H2:2] [T1:X2, PE:1]\n3: [F1:2, CR1:11, TB1:2, " +
				"LS1:13]\n4: [LS1:14, TB1:3, CR1:A1]\n5: [CR1:14, TB1:4, H2:1]\n"},
		{"where the drawing says at which terminal",
			"- {feed: [wire 3]}\n  - [F1:2, wire 3]\n  - [wire 3, TB1:4, LS1, TB1:1, CR1]\nthrough: {field: TB1}",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2] [T1:X2, PE:1]\n3: [F1:2, TB1:4, LS1:13]\n4: [LS1:14, " +
				"TB1:1, CR1:A1]\n"},
		{"a box of terminals out there", "- [LS2, CR1]\n  - [CR1 no, H3]\nthrough: {yard: JB1}",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2, JB1:1, H3:2] [T1:X2, PE:1]\n3: [F1:2, CR1:11, JB1:2, " +
				"LS2:13]\n4: [LS2:14, JB1:3, CR1:A1]\n5: [CR1:14, JB1:4, H3:1]\n"},
		{"two places from bridged terminals, one by a plug",
			"- [LS1, CR1]\n  - [LS2, CR2]\nthrough: {field: TB1, yard: [TB1, X1]}",
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2, CR2:A2] [T1:X2, PE:1]\n3: [F1:2, TB1:5, LS1:13] [TB1:6, " +
				"X1:1a] [X1:1b, LS2:13]\n4: [LS1:14, TB1:1, CR1:A1]\n5: [LS2:14, X1:2b] [CR2:A1, TB1:2, X1:2a]\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			assert.Equal(t, test.want, wiresOf(readBoard(t, fed+"  "+test.rungs)))
		})
	}
}

func TestFeeds(t *testing.T) {
	for _, test := range []struct{ name, rungs, want string }{
		{"two supplies, a transformer between, two poles", `rungs:
  - {feed: [G1, F1], return: [G1:N, wire N]}
  - [T1:H1-H2]
  - {feed: [T1, F2], return: T1:X2, ground: PE}
  - [PB1, CR1]`,
			"1: [G1:L, F1:1]\nN: [G1:N, T1:H2]\n2: [F1:2, T1:H1]\n3: [T1:X1, F2:1]\n4: [T1:X2, CR1:A2] " +
				"[T1:X2, PE:1]\n5: [F2:2, PB1:11]\n6: [PB1:12, CR1:A1]\n"},
		{"a branch fuse", `rungs:
  - {feed: [T1, F1, wire 3]}
  - [PB1, CR1]
  - {feed: [wire 3, F2]}
  - [CR1 no, H1]`,
			"1: [T1:X1, F1:1]\n2: [T1:X2, CR1:A2, H1:2]\n3: [F1:2, F2:1, PB1:11]\n4: [PB1:12, CR1:A1]\n5: " +
				"[F2:2, CR1:11]\n6: [CR1:14, H1:1]\n"},
		{"the other terminal of a source is hot", `rungs:
  - {feed: T1:X2}
  - [H1]`, "1: [T1:X2, H1:1]\n2: [T1:X1, H1:2]\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			assert.Equal(t, test.want, wiresOf(readBoard(t, test.rungs)))
		})
	}
	// Without a feed it is the one source of the circuit, straight.
	text := "circuit: Plain\ndevices: {G1: {type: supply, volts: 24, current: dc}, H1: {type: " +
		"lamp}}\nrungs: [[H1]]\noperation: [{step: rest}]\n"
	c, problems := read.Read("plain.yaml", []byte(text))
	require.Empty(t, problems)
	assert.Equal(t, "1: [G1:+, H1:1]\n2: [G1:-, H1:2]\n", wiresOf(c))
	assert.False(t, c.Rungs[0].Feed, "the rungs are as the file has them")
}

// lineText writes items in series as a file would have them.
func lineText(line []circuits.Item) string {
	side := circuits.Item{Kind: circuits.ParallelItem, Branches: [][]circuits.Item{line}}
	return strings.TrimSuffix(strings.TrimPrefix(side.Text(), "{parallel: ["), "]}")
}

// What a rung holds for those who draw it.
func TestRungsAsDrawn(t *testing.T) {
	c := readBoard(t, `rungs:
  - {feed: [T1, F1], ground: PE, title: supply}
  - {title: start, note: sealed in, rung: [PB1, {parallel: [PB2, [CR1 no, TB1:1]]}, wire 9, CR1]}`)
	require.Len(t, c.Rungs, 2)
	feed, rung := c.Rungs[0], c.Rungs[1]
	assert.True(t, feed.Feed)
	assert.Equal(t, "supply", feed.Title)
	assert.Equal(t, "[T1:X1, F1:1-2]", lineText(feed.Line))
	assert.Equal(t, "[T1:X2]", lineText(feed.Return))
	require.NotNil(t, feed.Ground)
	assert.Equal(t, "PE:1", feed.Ground.Text())
	assert.Equal(t, "2", feed.Ground.Number)
	assert.Equal(t, "[PB1:11-12, {parallel: [[PB2:13-14], [CR1:11-14, TB1:1]]}, wire 9, CR1:A1-A2]",
		lineText(rung.Line))
	assert.True(t, rung.OnHot)
	assert.True(t, rung.OnGrounded)
	assert.Equal(t, "start", rung.Title)
	assert.Equal(t, "sealed in", rung.Note)
	contact := rung.Line[1].Branches[1][0]
	assert.True(t, contact.Chosen)
	assert.Equal(t, 1, contact.Contact, "the NO half of the first contact")
	assert.Equal(t, circuits.Pos{Line: 25, Column: 67}, contact.At)
	assert.Equal(t, []string{"4", "9"}, []string{contact.Number, contact.OutNumber})
	assert.Equal(t, []string{"9", "2"}, []string{rung.Line[3].Number, rung.Line[3].OutNumber})
	var seen []string
	circuits.Items(rung.Line, func(it *circuits.Item) { seen = append(seen, it.Written) })
	assert.Equal(t, []string{"PB1", "", "PB2", "CR1 no", "TB1:1", "wire 9", "CR1"}, seen)
	assert.Equal(t, []string{"TB1:2", "TB1:3", "TB1:4", "TB1:5", "TB1:6", "X1:1", "X1:2", "X1:3",
		"LS1:13-14", "LS2:13-14", "CR1:21-22-24", "CR2:13-14", "CR2:21-22", "CR2:33-34", "CR3:11-12-14",
		"CR3:23-24", "CR4:11-12-14", "CR4:31-32", "JB1:1", "JB1:2", "JB1:3", "JB1:4"}, c.Spare())
	choices := c.Choices()
	require.Len(t, choices, 1)
	assert.Equal(t, []string{"CR1 no", "CR1:11-14"}, []string{choices[0].Written, choices[0].Text()})
	assert.Equal(t, contact.At, choices[0].At)
}
