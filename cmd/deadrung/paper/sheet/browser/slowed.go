//go:build unix

package browser

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/chromedp/chromedp"
)

// slice is how long a slowed browser runs between two stops.
const slice = 4 * time.Millisecond

// Slowed makes all that a page does so many times slower, its workers too: the processes that show
// pages run for a slice of time and are stopped for the rest. The browser's own slowing leaves
// workers as they are.
func (b *Browser) Slowed(times int) {
	b.t.Helper()
	shows := renderers(chromedp.FromContext(b.ctx).Browser.Process().Pid)
	if len(shows) == 0 {
		b.t.Skip("the processes of the browser are not found, and this test slows them")
	}
	ended, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		for {
			for _, s := range []struct {
				signal syscall.Signal
				length time.Duration
			}{{syscall.SIGSTOP, slice * time.Duration(times-1)}, {syscall.SIGCONT, slice}} {
				for _, pid := range shows {
					syscall.Kill(pid, s.signal)
				}
				time.Sleep(s.length)
			}
			select {
			case <-ended:
				return
			default:
			}
		}
	}()
	b.t.Cleanup(func() {
		close(ended)
		<-gone // they run now
	})
}

// renderers are the processes below another that show pages.
func renderers(root int) (found []int) {
	parent := make(map[int]int)
	all, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, file := range all {
		text, err := os.ReadFile(file)
		if err != nil {
			continue // it has ended
		}
		pid, _ := strconv.Atoi(filepath.Base(filepath.Dir(file)))
		var state string
		var of int
		if _, err := fmt.Sscan(string(text[bytes.LastIndexByte(text, ')')+1:]), &state, &of); err == nil {
			parent[pid] = of
		}
	}
	for pid := range parent {
		below := false
		for at := pid; at > 1 && !below; at = parent[at] {
			below = parent[at] == root
		}
		line, _ := os.ReadFile(fmt.Sprintf("/proc/%d/cmdline", pid))
		if below && strings.Contains(string(line), "--type=renderer") {
			found = append(found, pid)
		}
	}
	return found
}
