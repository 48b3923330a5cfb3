package main

import (
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/chart"
	"deadrung/diagnose/log"
)

// chartSize says how much of a chart is laid out.
type chartSize struct {
	cut     string // as it was typed
	longest int

	share float64
}

// Where the command line does not say: the share below which branches of a large panel are
// cut, and the checks that a way has. The chart stays one that a person can leaf through. On a
// small panel only what is rarer than one in a million is cut: ways of readings that nobody
// can foretell, which would else be most of the chart.
const (
	smallCut     = 1e-6
	largeCut     = 0.005
	largeLongest = 12
)

// Of how many complaints "each" makes a chart at the most, the likeliest first; of a large
// panel fewer, whose charts are large ones.
const (
	mostComplaints  = 10
	largeComplaints = 4
)

// complaints reads the values of --complaint.
func complaints(m *diagnose.Model, words []string) ([]log.Log, error) {
	most := mostComplaints
	if paper.LargePanel(m) {
		most = largeComplaints
	}
	logs, err := talk.ParseComplaints(m, words, most)
	if err != nil {
		return nil, usageError{err}
	}
	return logs, nil
}

// flags are the flags that say how much of a chart is laid out.
func (c *chartSize) flags(f *pflag.FlagSet) {
	f.StringVar(&c.cut, "cut", "",
		"cut branches rarer than this share, as 0.01 or 1% (default 0.0001%, on a large panel 0.5%)")
	f.IntVar(&c.longest, "longest", 0,
		"cut ways after so many checks (default as many as it takes, on a large panel 12)")
}

// check reads what was typed.
func (c *chartSize) check() error {
	if c.longest < 0 {
		return usagef("--longest is a number of checks from 1 up, not %d", c.longest)
	}
	if c.cut == "" {
		return nil
	}
	var err error
	c.share, err = parseCut(c.cut)
	return err
}

// options gives what was asked for; where nothing was, what a person can leaf through.
func (c *chartSize) options(m *diagnose.Model, by diagnose.By) chart.Options {
	o := chart.Options{By: by, Cut: c.share, Longest: c.longest}
	if c.cut == "" {
		o.Cut = smallCut
	}
	if paper.LargePanel(m) && c.cut == "" {
		o.Cut = largeCut
		if c.longest == 0 {
			o.Longest = largeLongest
		}
	}
	return o
}

// parseCut reads the value of --cut: a share from 0 to 1, or per cent.
func parseCut(word string) (float64, error) {
	figures, percent := strings.CutSuffix(strings.ReplaceAll(word, " ", ""), "%")
	x, err := strconv.ParseFloat(figures, 64)
	if percent {
		x /= 100
	}
	if err != nil || !(x >= 0 && x < 1) {
		return 0, usagef("--cut is a share from 0 to 1, as 0.01 or 1%%, not %q", word)
	}
	return x, nil
}
