package engine

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A session that was left says nothing more, but keeps what was answered before.
func TestLeftSaysNothing(t *testing.T) {
	p := &posted{TB: t}
	ctx, leave := context.WithCancel(context.Background())
	post := New(p.post, nil).posting(ctx, Order{Of: "one"})
	post(Message{Kind: Told})
	leave()
	for _, k := range []Kind{Told, Asking, Kept, Over} {
		post(Message{Kind: k})
	}
	assert.Equal(t, []Kind{Told, Kept}, p.all)
}
