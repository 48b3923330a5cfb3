//go:build !js

package talk

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

// Interruptible is a context that ends on Ctrl-C or a signal; a second one ends the
// program at once.
func Interruptible(parent context.Context) (context.Context, context.CancelFunc) {
	ctx, stop := signal.NotifyContext(parent, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}
