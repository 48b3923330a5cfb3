package main

import (
	"io"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/checkout"
)

type checkOutOptions struct {
	noLifting bool
	ask       bool
	plain     bool
	log       string
	drop      bool // what a changed circuit has left of the log
	wrong     []string
	agreed    int
	large     bool
	site

	now func() time.Time
}

func (o *checkOutOptions) flags(f *pflag.FlagSet) {
	o.now = time.Now
	f.BoolVar(&o.noLifting, "no-lifting", false, "with --check-out: the same as --no-lift")
	o.siteFlags(f)
	largeFlag(f, &o.large)
	f.BoolVar(&o.ask, "ask", false, "with --check-out: ask for each check in turn")
	f.BoolVar(&o.plain, "plain", false, "with --ask: numbered lines, on a terminal as well")
	f.StringVar(&o.log, "log", "", "with --check-out: write the readings to this log, for find")
	written(f, "log")
	dropChangedFlag(f, &o.drop)
	f.StringArrayVar(&o.wrong, "wrong", nil, "with --log: check N read otherwise, as 7=OL; may be given more than once")
	f.IntVar(&o.agreed, "agreed", 0, "with --log: the checks up to this one agree; without it, those before the last wrong one")
}

// used tells whether any flag of the check-out is given.
func (o *checkOutOptions) used() bool {
	return o.noLifting || o.file != "" || len(o.rules.Flags()) > 0 || o.ask || o.log != "" || o.drop || len(o.wrong) > 0 || o.agreed > 0
}

func runCheckOut(cmd *cobra.Command, o wirelistOptions, s streams) error {
	switch {
	case !o.checkOut:
		return usagef("--ask, --log, --wrong and --agreed, and the rules of the site, as --no-lift, go with --check-out")
	case o.list != "":
		return usagef("one list at a time: --check-out or --list")
	case o.csv:
		return usagef("the check-out is text, --json or --html; --csv is the wire list")
	case o.ask && (o.json || o.html || len(o.wrong) > 0 || o.agreed > 0):
		return usagef("--ask takes the answers itself: leave the form, --wrong and --agreed out")
	case (len(o.wrong) > 0 || o.agreed > 0) && o.log == "":
		return usagef("--wrong and --agreed are written to a log: name it with --log")
	case o.drop && o.log == "":
		return usagef("--drop-changed is for a log: name it with --log")
	case o.log != "" && !o.ask && len(o.wrong) == 0 && o.agreed == 0:
		return usagef("--log needs readings: --ask asks for them, --wrong 7=OL gives them")
	}
	p, text, err := loadToWork(o.circuit, o.large, s)
	if err != nil {
		return err
	}
	if problems := p.Verify(text); len(problems) > 0 {
		return inputError{problems}
	}
	rules, err := o.rulesFor(p.Circuit, s)
	switch {
	case err != nil:
		return err
	case rules.LooksOnly:
		return usagef("a check-out is made with an ohmmeter: without --looks-only")
	}
	rules.NoLift = rules.NoLift || o.noLifting
	r := paper.NewCheckOut(o.circuit, p, rules)
	talk.Patiently(s.err, func() { r.Choose(checkout.Options{}) })
	switch {
	case o.ask:
		ctx, stop := talk.Interruptible(cmd.Context())
		defer stop()
		return askCheckOut(ctx, o, r, s)
	case o.log != "":
		return logCheckOut(o, r, s)
	}
	if o.sheets.pdf {
		return o.sheets.tables(o.output, p, text, "Check-out before first power", r.Sections(), s)
	}
	return output(o.output, s, func(out io.Writer) error {
		switch {
		case o.json:
			return printJSON(out, r.Machine())
		case o.html:
			return paper.WritePage(out, r.Page)
		}
		r.Print(talk.Sized(talk.NewPage(out), o.columns))
		return nil
	})
}
