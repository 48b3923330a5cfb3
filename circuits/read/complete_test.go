package read

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/circuits"
)

// What may stand at a place, which is the bar in the text.
func TestComplete(t *testing.T) {
	const devices = "devices:\n  PB1: {type: push-button}\n  S1:\n    type: selector-switch\n    positions: [a, b]\n  H1: {type: lamp}\n"
	for _, c := range []struct {
		text string
		want []string // all of them, where the last is not "…"
	}{
		{"cir|", []string{"circuit: "}},
		{"circuit: x\nop|", []string{"operation: "}},
		{"devices:\n  H1: {ty|", []string{"type: "}},
		{"devices:\n  H1: {type: lam|", []string{"lamp"}},
		{"devices:\n  H1: {type: |", []string{"beacon", "…"}},
		{"devices:\n  PB1: {type: push-button, act|", []string{"action: "}},
		{"devices:\n  PB1: {type: push-button, action: m|", []string{"maintained", "momentary"}},
		{"devices:\n  S1:\n    type: selector-switch\n    pos|", []string{"positions: "}},
		{"devices:\n  CR1: {type: timer, contacts: [{no: [1, 2], timed: |", []string{"false", "true"}},
		{devices + "rungs:\n  - [P|", []string{"PB1"}},
		{devices + "rungs:\n  - ti|", []string{"title: "}},
		{devices + "rungs:\n  - [{par|", []string{"parallel: "}},
		{devices + "rungs:\n  - title: x\n    rung: [PB1, H|", []string{"H1"}},
		{devices + "operation:\n  - step: x\n    ex|", []string{"expect: "}},
		{devices + "operation:\n  - step: x\n    expect: {H|", []string{"H1"}},
		{devices + "operation:\n  - step: x\n    expect: {H1: o|", []string{"off", "on"}},
		{devices + "operation:\n  - step: x\n    set: {PB1: p|", []string{"pressed"}},
		{devices + "operation:\n  - step: x\n    set:\n      P|", []string{"PB1"}},
		{"circuit: x # na|", nil},
	} {
		at := strings.IndexByte(c.text, '|')
		got, typed := Complete([]byte(strings.Replace(c.text, "|", "", 1)), at)
		if n := len(c.want); n > 0 && c.want[n-1] == "…" {
			assert.Contains(t, got, c.want[0], c.text)
			assert.Greater(t, len(got), 20)
			continue
		}
		assert.Equal(t, c.want, got, c.text)
		if len(got) > 0 {
			assert.True(t, strings.HasSuffix(c.text[:at], got[0][:typed]), c.text)
		}
	}
}

// Every word of the built-in files is offered at its place, but for what is free text: keys and
// types.
func TestCompleteKnowsKeysAndTypes(t *testing.T) {
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		for _, word := range []string{"type: ", "contacts: ", "place: ", "rungs:", "operation:", "expect: ", "set: ", "parallel: "} {
			at := strings.Index(string(text), word)
			if at < 0 {
				continue
			}
			got, _ := Complete(text, at)
			assert.Contains(t, got, strings.TrimSpace(word)+" ", "%s at %d", name, at)
		}
	}
}

func FuzzComplete(f *testing.F) {
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		f.Add(text, len(text)/2)
	}
	f.Add([]byte("- - {a: [}: ]}"), 13)
	f.Fuzz(func(t *testing.T, text []byte, at int) {
		words, typed := Complete(text, at)
		for _, w := range words {
			assert.Greater(t, len(w), typed)
		}
	})
}
