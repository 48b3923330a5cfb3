package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/diagnose"
)

type chartOptions struct {
	circuit    string
	complaints []string
	by         string
	cut        string
	longest    int
	svg        bool
	dot        bool
	html       bool
	json       bool
	given
	output string
}

func newChart(s streams) *cobra.Command {
	var o chartOptions
	c := &cobra.Command{
		Use:   "chart CIRCUIT",
		Short: "The whole fault-finding chart, to print and hang in the panel door",
		Long: `Chart lays out all that "find" would ask, check by check, down to every verdict: from a
complaint, or from nothing. Without a flag it is Markdown; --html is one file that works
on a phone without a network, one check a screen, and prints on one page a complaint.

A complaint names a step and what was wrong at its end, as the first question of "find"
does: --complaint "door left open: B1". --complaint each makes one chart for each of the
likeliest complaints, and one from nothing.

` + caution,
		Args: oneCircuit,
		RunE: func(_ *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runChart(o, s)
		},
	}
	f := c.Flags()
	f.StringArrayVar(&o.complaints, "complaint", nil, "what is known to be wrong: \"STEP: DEVICE\", a step by its name or number; may be given more than once; or each")
	f.StringVar(&o.by, "by", "minutes", "what to keep small: minutes or checks")
	f.StringVar(&o.cut, "cut", "", "cut branches rarer than this share, as 0.01 or 1%; 0 cuts none (default 0, on a large panel 2%)")
	f.IntVar(&o.longest, "longest", 0, "cut ways after so many checks (default as many as it takes, on a large panel 12)")
	f.BoolVar(&o.svg, "svg", false, "the chart as a drawing")
	f.BoolVar(&o.dot, "dot", false, "the chart as a graph in the DOT language")
	f.BoolVar(&o.html, "html", false, "the chart as one HTML file, for the phone and for paper")
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	o.faultFlags(f)
	o.meterFlags(f)
	f.StringVarP(&o.output, "output", "o", "", "write the result to this file")
	c.MarkFlagsMutuallyExclusive("svg", "dot", "html", "json")
	return c
}

// Where the command line does not say: the share below which branches of a large panel are
// cut, and the checks that a way has. The chart stays one that a person can leaf through.
// A panel is large from diagnose.AheadFaults up.
const (
	largeCut     = 0.02
	largeLongest = 12
)

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

func runChart(o chartOptions, s streams) error {
	by, err := parseBy(o.by)
	if err != nil {
		return err
	}
	cut := 0.0
	if o.cut != "" {
		if cut, err = parseCut(o.cut); err != nil {
			return err
		}
	}
	if o.longest < 0 {
		return usagef("--longest is a number of checks from 1 up, not %d", o.longest)
	}
	m, err := loadModel(o.circuit, o.given, s)
	if err != nil {
		return err
	}
	complaints, err := parseComplaints(m, o.complaints)
	if err != nil {
		return err
	}
	if o.svg && len(complaints) > 1 {
		return usagef("--svg draws one chart: give one complaint, not each")
	}
	book := newChartBook(m, o.circuit, complaints, chartSize(m, by, o.cut == "", cut, o.longest))
	return output(o.output, s, func(out io.Writer) error {
		switch {
		case o.json:
			return printJSON(out, book.machine())
		case o.svg:
			return book.flows[0].svg(out)
		case o.dot:
			return book.dot(out)
		case o.html:
			return book.html(out)
		}
		return book.markdown(out)
	})
}

// chartSize tells how much of a chart is laid out: what was asked for; where nothing was,
// all of it, or on a large panel what a person can leaf through.
func chartSize(m *diagnose.Model, by diagnose.By, usual bool, cut float64, longest int) diagnose.ChartOptions {
	o := diagnose.ChartOptions{By: by, Cut: cut, Longest: longest}
	if large := len(m.Faults()) > diagnose.AheadFaults; large && usual {
		o.Cut = largeCut
		if longest == 0 {
			o.Longest = largeLongest
		}
	}
	return o
}

// parseComplaints reads the values of --complaint: a log for each chart to be made.
func parseComplaints(m *diagnose.Model, words []string) ([]diagnose.Log, error) {
	const mostComplaints = 10
	if len(words) == 1 && fold(words[0]) == "each" {
		logs := []diagnose.Log{{}}
		for _, c := range m.Complaints(mostComplaints) {
			c.Entry.Note = complaintNote
			logs = append(logs, diagnose.Log{Entries: []diagnose.Entry{c.Entry}})
		}
		return logs, nil
	}
	var log diagnose.Log
	for _, w := range words {
		e, err := parseComplaint(m, w)
		if err != nil {
			return nil, usageError{fmt.Errorf("--complaint %q: %w", w, err)}
		}
		log.Entries = append(log.Entries, e)
	}
	return []diagnose.Log{log}, nil
}

// parseComplaint reads one complaint: "STEP: DEVICE", which is other there than it should
// be, or "STEP: DEVICE on".
func parseComplaint(m *diagnose.Model, word string) (diagnose.Entry, error) {
	c := m.Panel().Circuit
	at := strings.LastIndex(word, ":")
	if at < 0 {
		return diagnose.Entry{}, fmt.Errorf("a complaint is \"STEP: DEVICE\", as \"%s: %s\"", c.Steps[len(c.Steps)-1].Name, firstVisible(m))
	}
	step := strings.TrimSpace(word[:at])
	if n, err := strconv.Atoi(step); err == nil && c.Step(step) < 0 && n >= 1 && n <= len(c.Steps) {
		step = c.Steps[n-1].Name
	}
	fields := strings.Fields(word[at+1:])
	if len(fields) == 0 || len(fields) > 2 || len(fields) == 2 && fields[1] != "on" && fields[1] != "off" {
		return diagnose.Entry{}, fmt.Errorf("name one device after the step, as \"%s: %s\", with on or off behind it if you like", step, firstVisible(m))
	}
	check := diagnose.Check{Look: fields[0], Step: step}
	good, err := m.Usual(check)
	switch {
	case err != nil:
		return diagnose.Entry{}, err
	case len(fields) == 2:
		good.On = fields[1] == "on"
	case !good.Firm:
		return diagnose.Entry{}, fmt.Errorf("nothing is certain of %s in that step even on a good circuit: say on or off behind it", fields[0])
	default:
		good.On = !good.On
	}
	e, err := m.NewEntry(check, &diagnose.Reading{Kind: diagnose.Look, On: good.On, Firm: true})
	e.Note = complaintNote
	return e, err
}

// firstVisible names a device for an example.
func firstVisible(m *diagnose.Model) string {
	for _, d := range m.Panel().Visible() {
		return d.Name
	}
	return "H1"
}
