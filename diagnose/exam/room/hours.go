package room

import (
	"fmt"
	"time"

	"deadrung/diagnose/exam"
)

// Hours are how long a served exam takes. A sitting begins when its candidate's program first
// connects, however late that is; from then on its time passes while the machine serves.
type Hours struct {
	Minutes float64                     // for each fault; zero for as long as it takes
	Extra   func(candidate int) float64 // minutes more for each fault, as they are now; nil for none
	Until   time.Time                   // the end for everybody, zero for none
}

// Left is how much time is left of a sitting, in seconds; below zero when it is over.
type Left float64

// Duration is the same as a duration.
func (l Left) Duration() time.Duration { return time.Duration(float64(l) * float64(time.Second)) }

// Remains is what is left to a candidate who has spent some time; nil where there is no end.
func (h Hours) Remains(candidate int, spent time.Duration, now time.Time) *Left {
	var left *Left
	least := func(d time.Duration) {
		if x := Left(d.Seconds()); left == nil || x < *left {
			left = &x
		}
	}
	if h.Minutes > 0 {
		allowed := h.Minutes
		if h.Extra != nil {
			allowed += h.Extra(candidate)
		}
		least(time.Duration(allowed*float64(time.Minute)) - spent)
	}
	if !h.Until.IsZero() {
		least(h.Until.Sub(now))
	}
	return left
}

// over is for how many minutes the exam has been over for everybody.
func (h Hours) over(now time.Time) float64 {
	if h.Until.IsZero() || now.Before(h.Until) {
		return 0
	}
	return now.Sub(h.Until).Minutes()
}

// timeOver is told to whom no check is answered any more.
func timeOver() string {
	return fmt.Sprintf("time is over, and no check is answered any more; name the fault within %.0f min of the end", exam.Grace.Minutes())
}
