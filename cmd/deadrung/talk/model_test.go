package talk

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// inMemory is a page of a width in memory.
func inMemory(columns int) (*Page, *bytes.Buffer) {
	var b bytes.Buffer
	return Sized(NewPage(&b), columns), &b
}

// builtinModel is the model of a built-in circuit.
func builtinModel(t testing.TB, name string) *diagnose.Model {
	t.Helper()
	text, ok := circuits.BuiltinText(name)
	require.True(t, ok)
	c, problems := read.Read(name, text)
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	return m
}

// terms makes terminals of texts.
func terms(texts ...string) []circuits.Terminal {
	out := make([]circuits.Terminal, len(texts))
	for i, s := range texts {
		out[i] = circuits.Terminal(s)
	}
	return out
}
