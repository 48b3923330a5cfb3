package paper

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

var (
	//go:embed chart_page.html
	chartBody string
	//go:embed chart_page.css
	chartStyle string
	//go:embed chart_page.js
	chartScript string

	chartLayout = template.Must(template.New("chart").Parse(chartBody))
)

// chartPage is what the HTML file of charts shows: a screen for every check and every end,
// and a sheet of paper for every complaint.
type chartPage struct {
	Starts  []startLink
	Screens []chartScreen
	Sheets  []chartSheet
	Ending  ending
	Find    string // how to go on where the chart ends
	Program template.HTML
}

// startLink is a complaint that can be chosen on the first screen.
type startLink struct{ To, Text, Under string }

// chartScreen is one check or one end.
type chartScreen struct {
	ID, Back string
	Title    string
	Notice   *talk.Notice // the caution before it
	Verdict  []labelled
	Drawing  template.HTML
	Points   []labelled
	Answers  []screenAnswer
	Possible []labelled
	Count    string // of what is still possible
	SoFar    []pastAnswer
	Repair   []string
	Cut      string // how to go on, at the end of a branch that goes no further
	Check    bool
	Proof    bool   // the check proves a verdict
	Worked   bool   // the operation proves the repair
	Log      string // the answers so far as lines of a log, where the program goes on with them
}

// labelled is a point of an instruction or a verdict.
type labelled struct{ Label, Text string }

func labels(points []talk.Point) []labelled {
	var out []labelled
	for _, p := range points {
		out = append(out, labelled{talk.SentenceStart(strings.ToLower(p.Label) + " ")[:len(p.Label)],
			p.Line()})
	}
	return out
}

type screenAnswer struct{ To, Text, Under string }

type pastAnswer struct{ To, Check, Answer string }

// ending is the proof of operation after a repair.
type ending struct {
	Power talk.Notice
	Rest  string
	Steps []worksRight
}

type worksRight struct{ Step, Must string }

// HTML writes the charts as one HTML file.
func (b *Book) HTML(out io.Writer) error {
	return WritePage(out, b.page)
}

// page lays the charts out.
func (b *Book) page() (sheet.Page, error) {
	p := chartPage{Find: b.find, Ending: b.ending(), Program: enclosed(b.Program)}
	marks := newLeadMarks(b.speak.Circuit)
	for i, f := range b.Flows {
		name := chartName(i)
		p.Starts = append(p.Starts, startLink{f.stops[0].ID(name), f.complaint(), f.summary()})
		for _, s := range f.stops {
			screen := f.screen(name, s, marks)
			if b.Program != "" {
				var err error
				if screen.Log, err = b.logOf(s.fork.Log); err != nil {
					return sheet.Page{}, err
				}
			}
			p.Screens = append(p.Screens, screen)
		}
		p.Sheets = append(p.Sheets, f.sheet())
	}
	var body bytes.Buffer
	if err := chartLayout.Execute(&body, p); err != nil {
		return sheet.Page{}, err
	}
	return sheet.Page{
		Title:    "Fault-finding chart: " + b.speak.Circuit.Title,
		Under:    b.speak.Circuit.About,
		Cautions: append([]string{talk.CautionOf(b.speak.Model.Panel()).Line()}, b.liveCautions()...),
		Body:     template.HTML(body.String()),
		Style:    template.CSS(chartStyle) + marks.style,
		Script:   template.JS(chartScript),
	}, nil
}

// enclosed is a page as it can stand in a script; the script of the chart takes it out again.
func enclosed(page string) template.HTML {
	return template.HTML(strings.NewReplacer("</script", `<\/script`, "<!--", `<\!--`).Replace(page))
}

// logOf writes the answers that lead to a stop as a log.
func (b *Book) logOf(history log.Log) (string, error) {
	var lines strings.Builder
	if err := b.Model.Book().WriteHeader(&lines); err != nil {
		return "", err
	}
	for _, e := range history.Entries {
		if err := e.AppendTo(&lines); err != nil {
			return "", err
		}
	}
	return lines.String(), nil
}

// chartName begins the ids of a chart's screens: a, b, c, …
func chartName(i int) string { return string(rune('a' + i)) }

// ID names the screen of a stop.
func (s *stop) ID(chart string) string { return fmt.Sprintf("%s%d", chart, s.index) }

// screen lays out the screen of a stop.
func (f *flow) screen(name string, s *stop, marks *leadMarks) chartScreen {
	speak, t := f.book.speak, &s.fork.Turn
	out := chartScreen{ID: s.ID(name), Back: "start", Check: len(s.exits) > 0, Count: talk.Remaining(t)}
	if s.from != nil {
		out.Back = s.from.ID(name)
	}
	for at := s; at.from != nil; at = at.from {
		out.SoFar = append(out.SoFar, pastAnswer{at.from.ID(name),
			speak.Condensed(at.from.fork.Turn.Next.Check), at.way})
	}
	for i, k := 0, len(out.SoFar)-1; i < k; i, k = i+1, k-1 {
		out.SoFar[i], out.SoFar[k] = out.SoFar[k], out.SoFar[i]
	}
	const listed = 10
	switch {
	case s.cut:
		out.Title = "The chart ends here"
		out.Cut = "This branch is " + f.whyCut(s) + " and is not laid out."
		out.Possible = labels(speak.Possible(t, listed))
		return out
	case !out.Check:
		return f.endScreen(out, s)
	}
	check := t.Next.Check
	out.Title, out.Proof = f.title(s), s.proving()
	if n := f.notice(s); n.Kind != talk.NoNotice {
		out.Notice = &n
	}
	if s.proving() && !s.further() {
		out.Verdict = labels(speak.Verdict(t))
	}
	out.Points = labels(speak.Instruction(check, f.standing(s)))
	out.Drawing = marks.on(check)
	if !s.proving() {
		out.Possible = labels(speak.Possible(t, listed))
	}
	for _, e := range s.exits {
		text := e.text
		if check.Kind() == log.Look {
			text = fmt.Sprintf("%s is %s (%s)", strings.TrimSpace(check.Look+" "+check.Part), e.text,
				speak.LookOf(check).Says(e.text == "on"))
		}
		out.Answers = append(out.Answers, screenAnswer{e.to.ID(name), talk.SentenceStart(text),
			f.under(s, e)})
	}
	return out
}

// standing is where the circuit stands before the check of a stop, once its caution has
// been followed.
func (f *flow) standing(s *stop) guide.Standing {
	switch f.notice(s).Kind {
	case talk.PowerOff:
		return guide.Standing{Step: -1, Locked: true, Held: -1}
	case talk.PowerBack:
		return guide.AsFound
	}
	return s.stand
}

// under tells what an answer means.
func (f *flow) under(s *stop, e exit) string {
	switch {
	case s.proving() && e.to.fork.Turn.Status == diagnose.Found:
		return "bears the verdict out"
	case e.way.Good && len(e.way.Candidates) == 0:
		return "as in a good circuit"
	}
	text := "leaves " + talk.Count(len(e.way.Candidates), "fault")
	if e.way.Good {
		text += ", or none at all"
	}
	return text
}

// endScreen is a screen where no check is left to make.
func (f *flow) endScreen(out chartScreen, s *stop) chartScreen {
	speak, t := f.book.speak, &s.fork.Turn
	switch t.Status {
	case diagnose.Found, diagnose.GroupLeft:
		out.Title = "Verdict"
		if t.Proved {
			out.Title = "Verdict, proved"
		}
		if t.Status == diagnose.GroupLeft {
			for _, line := range speak.GroupLeft(t, 0) {
				out.Points = append(out.Points, labelled{"", line})
			}
		}
		out.Verdict = labels(speak.Verdict(t))
		if proof := talk.ProofWords(t); proof != "" {
			out.Points = append(out.Points, labelled{"Proof", proof})
		}
		out.Repair, out.Worked = speak.Repair(t), true
		if !s.stand.Locked {
			lockOut := talk.LockOutOf(speak.Model.Panel(), talk.BeforeRepair)
			out.Notice = &lockOut
		}
	case diagnose.Healthy:
		out.Title = "No fault that a check shows"
		for _, line := range speak.Healthy() {
			out.Points = append(out.Points, labelled{"", line})
		}
	case diagnose.Unlisted:
		out.Title = "The readings fit no fault that is listed"
		for _, p := range speak.Contradiction(t, s.fork.Log) {
			out.Points = append(out.Points, labelled{"", p.Text})
		}
	default:
		out.Title = "The readings contradict each other"
		out.Cut = "No single fault fits every reading. Measure the doubtful ones again."
	}
	return out
}

// ending tells how the operation is worked after a repair.
func (b *Book) ending() ending {
	e := ending{Power: talk.BackToPower(talk.ToProve), Rest: b.speak.FromRest()}
	for i := range b.speak.Circuit.Steps {
		e.Steps = append(e.Steps, worksRight{b.speak.StepLine(i), b.speak.MustBe(i)})
	}
	return e
}
