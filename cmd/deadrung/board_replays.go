package main

import "sync"

// replays writes what somebody of a class has done so far, each as a page beside the board, one at
// a time, for on a large panel one takes a while.
type replays[K comparable] struct {
	failed func(error)

	writing sync.WaitGroup // the one that is written, if any
	mu      sync.Mutex
	busy    bool
	sizes   map[K]int64 // how much of somebody's log the page shows, in bytes
}

func newReplays[K comparable](failed func(error)) *replays[K] {
	return &replays[K]{failed: failed, sizes: make(map[K]int64)}
}

// shown is how much of a log its page shows, nothing where there is none yet.
func (r *replays[K]) shown(who K) int64 {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.sizes[who]
}

// begin begins a page of so much of a log, where none is being written.
func (r *replays[K]) begin(who K, size int64, write func() error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.busy {
		return
	}
	r.busy = true
	r.writing.Go(func() {
		if err := write(); err != nil {
			r.failed(err)
		}
		r.mu.Lock()
		defer r.mu.Unlock()
		r.busy, r.sizes[who] = false, size
	})
}

// wait waits for the page that is written.
func (r *replays[K]) wait() { r.writing.Wait() }
