package main

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
)

// logCheckOut writes the readings of a check-out to a log.
func logCheckOut(o wirelistOptions, r *paper.CheckOut, s streams) error {
	checks := r.Plan.Checks()
	readings := make(map[int]log.Reading)
	last := o.agreed
	for _, w := range o.wrong {
		number, typed, ok := strings.Cut(w, "=")
		n, err := strconv.Atoi(strings.TrimSpace(number))
		if !ok || err != nil {
			return usagef("--wrong is of the form 7=OL, not %q", w)
		}
		if n < 1 || n > len(checks) {
			return usagef("there is no check %d; the check-out has %d", n, len(checks))
		}
		reading, err := talk.ParseReading(log.Ohms, typed)
		if err != nil {
			return usagef("--wrong %s: %w", w, err)
		}
		if checks[n-1].Agrees(reading) {
			fmt.Fprintf(s.err, "check %d agrees with a good circuit: %s\n", n, paper.Agreeing(checks[n-1]))
		}
		readings[n] = reading
		if o.agreed == 0 {
			last = max(last, n)
		}
	}
	if last > len(checks) {
		return usagef("there is no check %d; the check-out has %d", last, len(checks))
	}
	file, history, problems, err := openLog(o.log, r.Model, s.files)
	if err != nil {
		return err
	}
	was := changedLog{m: r.Model, file: file, out: talk.NewPage(s.out), streams: s}
	if _, err := was.dropStale(history, o.drop); err != nil {
		file.Close()
		return err
	}
	printProblems(s, problems)
	for n := 1; n <= len(checks); n++ {
		reading, given := readings[n]
		if !given && n > last {
			continue
		}
		note := ""
		if !given {
			reading, note = checks[n-1].Usual, agreedNote
		}
		e, err := r.Model.Book().NewEntry(checks[n-1].Check, &reading)
		if err == nil {
			e.Note, e.At = note, o.now().Format(time.RFC3339)
			err = file.append(e.AppendTo)
		}
		if err != nil {
			file.Close()
			return err
		}
	}
	if err := file.Close(); err != nil {
		return fmt.Errorf("cannot close the log: %w", err)
	}
	fmt.Fprintln(s.out, paper.GoOn(o.circuit, o.log))
	return nil
}

// agreedNote marks what was ticked and not written down: the reading is the one that is
// expected.
const agreedNote = "ticked in the check-out, the reading is the expected one"
