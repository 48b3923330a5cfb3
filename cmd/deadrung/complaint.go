package main

import (
	"github.com/spf13/pflag"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

func complaintsFlag(f *pflag.FlagSet, words *[]string) {
	f.StringArrayVar(words, "complaint", nil, "what is known to be wrong, as \"STEP: DEVICE\" or "+
		"\"horn silent in step 3\"; may be given more than once")
}

// complaintsOf reads what a search is told to be wrong.
func complaintsOf(m *diagnose.Model, words []string) ([]log.Entry, error) {
	var known []log.Entry
	for _, word := range words {
		logs, err := talk.ParseComplaints(m, []string{word}, 1)
		switch {
		case err != nil:
			return nil, usageError{err}
		case len(logs) != 1:
			return nil, usagef("--complaint each is for chart: name what is wrong")
		}
		known = append(known, logs[0].Entries...)
	}
	return known, nil
}
