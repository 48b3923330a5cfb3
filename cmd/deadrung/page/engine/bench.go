package engine

import (
	"context"
	"sync"
	"time"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// bench works circuits through, one at a time: the one that somebody waits for, else those that
// are likely to be opened, in their order. What it made it keeps.
type bench struct {
	tell   func(share float64)
	waited func() bool // somebody waits for an answer to be taken in
	breath breath

	mu      sync.Mutex
	kept    []*job // the one that was asked for last comes last
	queue   []Circuit
	running bool
	at      *job               // being worked through
	stop    context.CancelFunc // ends that
}

// Circuit is one that the page has.
type Circuit struct {
	Name string `json:"name"`
	Text string `json:"text"` // YAML
}

// job is a circuit as its text has it.
type job struct {
	text     string
	panel    *work.Panel // nil where there are problems
	faults   []faultmodel.Fault
	problems circuits.Problems
	made     chan struct{} // closed when the next two are there
	model    *diagnose.Model
	err      error
}

// mostKept is how many circuits are kept: the built-in ones, and some that are being written.
const mostKept = 24

// of reads a circuit, which must do what its text says; else the job has its problems.
func (b *bench) of(of Circuit) *job {
	b.mu.Lock()
	defer b.mu.Unlock()
	text := of.Text
	for i, j := range b.kept {
		if j.text == text {
			b.kept = append(append(b.kept[:i], b.kept[i+1:]...), j)
			return j
		}
	}
	j := &job{text: text, made: make(chan struct{})}
	c, problems := read.Read(of.Name, []byte(text))
	if j.problems = problems; problems.Err() == nil {
		p := work.Assemble(c)
		if j.problems = p.Verify([]byte(text)); len(j.problems) == 0 {
			j.panel, j.faults = p, faultmodel.List(p, faultmodel.Options{})
		}
	}
	if b.kept = append(b.kept, j); len(b.kept) > mostKept {
		b.kept = b.kept[1:]
	}
	return j
}

// likely has circuits worked through while nobody waits for one.
func (b *bench) likely(circuits []Circuit) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.queue = circuits
	b.begin()
}

// only has one circuit worked through, and no other until some are likely again.
func (b *bench) only(c Circuit) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.queue = []Circuit{c}
	if b.at != nil && b.at.text != c.Text {
		b.stop()
	}
	b.begin()
}

// begin begins to work where nothing is done.
func (b *bench) begin() {
	if !b.running {
		b.running = true
		go b.run()
	}
}

// run works until there is nothing more to do.
func (b *bench) run() {
	for {
		b.mu.Lock()
		if b.running = len(b.queue) > 0; !b.running {
			b.mu.Unlock()
			return
		}
		c := b.queue[0]
		b.queue = b.queue[1:]
		b.mu.Unlock()
		if j := b.of(c); j.panel != nil {
			b.work(j)
		}
		b.breath.take()
	}
}

// work makes the model of a circuit, and has it choose the first check, which it remembers.
func (b *bench) work(j *job) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	b.mu.Lock()
	b.at, b.stop = j, stop
	b.mu.Unlock()
	if j.model == nil {
		m, err := diagnose.New(ctx, j.panel, j.faults, diagnose.Options{Progress: b.progress()})
		if ctx.Err() == nil {
			j.model, j.err = m, err
			close(j.made)
		}
	}
	if j.model != nil {
		j.model.Turn(log.Log{}, diagnose.Choosing{By: diagnose.ByMinutes, Foresee: func() bool {
			b.breath.take()
			return ctx.Err() != nil || b.waited()
		}})
	}
	b.mu.Lock()
	b.at = nil
	b.mu.Unlock()
}

// whole waits for the model of a circuit.
func (j *job) whole(ctx context.Context) (*diagnose.Model, error) {
	select {
	case <-j.made:
		return j.model, j.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// progress tells how far a model is made, a few times a second.
func (b *bench) progress() *diagnose.Progress {
	p := &diagnose.Progress{}
	var last time.Time
	var mu sync.Mutex
	p.Told = func() {
		mu.Lock()
		defer mu.Unlock()
		b.breath.take()
		if now := time.Now(); now.Sub(last) > 200*time.Millisecond {
			last = now
			b.tell(p.Share())
		}
	}
	return p
}

// breath lets what came in meanwhile be taken in: where there is one thread only, as in a browser,
// nothing is while work goes on.
type breath struct {
	mu    sync.Mutex
	last  time.Time
	count int
}

// between is how long work goes on without a breath; the clock is looked at one time in so many
// that one might be taken.
const (
	between = 30 * time.Millisecond
	asks    = 8
)

func (b *breath) take() {
	b.mu.Lock()
	b.count++
	look := b.count%asks == 0 && time.Since(b.last) > between
	if look {
		b.last = time.Now().Add(time.Millisecond)
	}
	b.mu.Unlock()
	if look {
		time.Sleep(time.Millisecond)
	}
}
