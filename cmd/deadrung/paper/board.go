package paper

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"
	"time"

	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
)

// Board is a class at an exam or a practice that goes on, for the instructor's eyes alone.
type Board struct {
	Title   string
	By      string // the command that renews it
	Now     time.Time
	Renews  int  // seconds
	Stopped bool // nothing of it changes any more
	Seats   []BoardSeat
	Others  []string // what is not shown, and why

	Practice bool // nobody has a seat, or a time to end by
}

// BoardSeat is one candidate on the board.
type BoardSeat struct {
	Candidate exam.Candidate
	Of        int               // faults
	Task      int               // the one at which the candidate is, from one; zero before the first
	Glances   []exam.Glance     // of the faults up to there
	Here      bool              // the candidate's program is connected
	Left      *time.Duration    // at the fault; nil for no end
	Replay    string            // the page that is opened; none if empty
	Models    []*diagnose.Model // of the exam's circuits
}

// What a seat is at, from what needs somebody most to what needs nobody.
const (
	atBroken  = "log changed"
	atOver    = "time is over"
	atStuck   = "stuck"
	atAway    = "away"
	atIdle    = "idle"
	atMissing = "not here"
	atWork    = "at work"
	atDone    = "done"
)

// boardWords are all of them, in the order of the count at the head, with a sign that tells them
// apart without colour.
var boardWords = []struct{ word, sign string }{
	{atWork, "\u25B6"}, {atDone, "\u2713"}, {atMissing, "\u25CB"}, {atIdle, "\u2026"}, {atAway, "\u2298"},
	{atStuck, "\u21BA"}, {atOver, "\u25A0"}, {atBroken, "\u2260"},
}

// at is what a seat is at.
func (s BoardSeat) at(now time.Time) string {
	if s.Task == 0 {
		return atMissing
	}
	for _, g := range s.Glances {
		if g.Broken > 0 {
			return atBroken
		}
	}
	g := s.Glances[s.Task-1]
	switch {
	case g.State == exam.Complete && s.Task == s.Of:
		return atDone
	case s.Left != nil && *s.Left <= 0:
		return atOver
	case !s.Here:
		return atAway
	case g.Stuck():
		return atStuck
	case now.Sub(g.At) >= exam.IdleAfter:
		return atIdle
	}
	return atWork
}

type boardRow struct {
	BoardSeat
	At, Sign, Kind  string
	Named           string
	Last, Reading   string
	Whole           string // the last check with its step
	Possible        string
	Cleared         float64 // of the doubt
	Checks          int
	Unsafe          []string
	Quiet, TimeLeft string
	Told            int // checks that told nothing
	Needs           bool
	Begun           bool
}

func (b Board) row(s BoardSeat) boardRow {
	r := boardRow{BoardSeat: s, At: s.at(b.Now), Begun: s.Task > 0}
	for _, w := range boardWords {
		if w.word == r.At {
			r.Sign = w.sign
		}
	}
	r.Kind = strings.ReplaceAll(r.At, " ", "-")
	named, right := 0, 0
	for _, g := range s.Glances {
		if g.State == exam.Complete {
			named++
			if g.Right {
				right++
			}
		}
		r.Checks += g.Checks
		for _, u := range g.Unsafe {
			r.Unsafe = append(r.Unsafe, u.Kind.Text())
		}
	}
	if named > 0 {
		r.Named = fmt.Sprintf("%d named, %d right", named, right)
	}
	if !r.Begun {
		return r
	}
	g := s.Glances[s.Task-1]
	if g.Last != nil {
		speak := talk.NewSpeaker(s.Models[g.Circuit])
		r.Last, r.Whole = speak.Brief(g.Last.Check), speak.Entry(*g.Last)
		r.Reading = speak.Answer(g.Last.Check, g.Last.Answer)
	}
	r.Possible = talk.Count(g.Now.Groups, "group")
	if g.Start.Bits > 0 {
		r.Cleared = min(1, max(0, 1-g.Now.Bits/g.Start.Bits))
	}
	if r.At == atDone {
		return r
	}
	r.Told = g.Nothing
	if quiet := b.Now.Sub(g.At); quiet >= exam.IdleAfter {
		r.Quiet = fmt.Sprintf("%d min quiet", int(quiet.Minutes()))
	}
	switch {
	case s.Left == nil || g.State == exam.Complete:
	case *s.Left <= 0:
		r.TimeLeft = "none"
	default:
		r.TimeLeft = fmt.Sprintf("%.0f min", math.Ceil(s.Left.Minutes()))
	}
	r.Needs = r.At != atWork
	return r
}

// Write writes the board as a page that reads its file again by itself.
func (b Board) Write(w io.Writer) error {
	data := struct {
		Board
		Rows   []boardRow
		Counts []string
		Clock  string
		Made   int64 // in milliseconds since 1970
		Most   int64 // milliseconds that a page may be old
		Danger []string
	}{Board: b, Danger: CautionParagraphs, Clock: b.Now.Format("15:04:05"), Made: b.Now.UnixMilli(), Most: int64(b.Renews) * 4000}
	count := make(map[string]int)
	unsafe := 0
	for _, s := range b.Seats {
		r := b.row(s)
		data.Rows = append(data.Rows, r)
		count[r.At]++
		if len(r.Unsafe) > 0 {
			unsafe++
		}
	}
	for _, w := range boardWords {
		if n := count[w.word]; n > 0 {
			data.Counts = append(data.Counts, fmt.Sprintf("%s %d %s", w.sign, n, w.word))
		}
	}
	if unsafe > 0 {
		data.Counts = append(data.Counts, fmt.Sprintf("! %d unsafe", unsafe))
	}
	var body bytes.Buffer
	if err := boardBody.Execute(&body, data); err != nil {
		return err
	}
	page := sheet.Page{Title: b.Title + ": the board", Under: "For the instructor alone, on this machine.",
		Body: template.HTML(body.String()), Style: boardStyle}
	if !b.Stopped {
		page.Renews, page.Script = b.Renews, boardScript
	}
	return page.Write(w)
}

var boardBody = template.Must(template.New("board").Funcs(sheetFunctions).Parse(`
<p id="as-of" data-made="{{.Made}}" data-most="{{.Most}}">{{if .Stopped}}<b>Stopped at {{.Clock}}.</b>{{else}}As of <b>{{.Clock}}</b>, renewed every {{.Renews}} s.{{end}} <b id="old" hidden>NOT RENEWED: is {{.By}} running?</b></p>
<p class="counts">{{range .Counts}}<span>{{.}}</span> {{end}}</p>
<table class="board"><thead><tr><th class="number">{{if .Practice}}No.{{else}}Seat{{end}}</th><th>{{if .Practice}}Name{{else}}Candidate{{end}}</th><th>Now</th><th>Fault</th><th>Last check</th><th>Still possible</th><th class="number">Checks</th><th>Unsafe</th>{{if not .Practice}}<th class="number">Time left</th>{{end}}</tr></thead><tbody>
{{range .Rows}}<tr class="{{.Kind}}{{if .Needs}} needs{{end}}"><td class="number">{{.Candidate.Number}}</td><th scope="row" class="cut">{{if .Replay}}<a href="{{.Replay}}">{{.Candidate.Name}}</a>{{else}}{{.Candidate.Name}}{{end}}</th><td class="now">{{.Sign}} {{.At}}{{if ge .Told 2}} <span class="soft">{{.Told}} told nothing</span>{{end}}{{with .Quiet}} <span class="soft">{{.}}</span>{{end}}</td><td>{{if .Begun}}{{.Task}} of {{.Of}}{{end}}{{with .Named}} <span class="soft">{{.}}</span>{{end}}</td><td class="last cut" title="{{.Whole}}">{{with .Last}}{{.}}: {{end}}<b>{{.Reading}}</b></td><td class="possible">{{if .Begun}}{{bar .Cleared}} {{.Possible}}{{end}}</td><td class="number" data-label="checks">{{if .Begun}}{{.Checks}}{{end}}</td><td class="danger cut"{{with .Unsafe}} title="{{range .}}{{.}}; {{end}}"{{end}}>{{with .Unsafe}}<b>! {{len .}}</b> {{index . (add (len .) -1)}}{{end}}</td>{{if not $.Practice}}<td class="number" data-label="left">{{.TimeLeft}}</td>{{end}}</tr>
{{end}}</tbody></table>
<p class="soft">The bar is the part of the doubt that the checks have cleared. A name opens what {{if .Practice}}that person{{else}}that candidate{{end}} has done so far. Stuck: the last checks told nothing, and more than one thing is possible.</p>
{{with .Others}}<p>Not shown:</p><ul>{{range .}}<li>{{.}}</li>{{end}}</ul>{{end}}
<aside class="caution printed">{{range .Danger}}<p>{{.}}</p>{{end}}</aside>`))

// boardScript says when the page is old, as when the program that writes it was killed.
const boardScript template.JS = `
var asOf = document.getElementById("as-of");
document.getElementById("old").hidden = Date.now() - asOf.dataset.made < asOf.dataset.most;
`

const boardStyle template.CSS = `
body { max-width: 90rem; padding: .5rem 1rem; }
header { display: flex; flex-wrap: wrap; align-items: baseline; gap: 0 1rem; }
h1 { font-size: 1.2rem; }
.under, #as-of, .counts { margin: 0; }
.counts { display: flex; flex-wrap: wrap; gap: .25rem .5rem; margin: .4rem 0; }
.counts span { border: 1.5px solid var(--ink); padding: 0 .5rem; font-weight: bold; white-space: nowrap; }
#old { border: 3px solid var(--ink); padding: 0 .4rem; }
.board { font-size: .8rem; line-height: 1.2; margin: 0; }
.board td, .board th { padding: .1rem .4rem; vertical-align: middle; }
.board tbody th { font-weight: normal; text-align: left; }
.board .soft { font-size: .9em; }
.board .needs td.now, .board .danger:not(:empty) { background: var(--ink); color: var(--paper); print-color-adjust: exact; }
.board .needs .now .soft { color: inherit; }
.board .done, .board .not-here { color: var(--soft); }
.board td, .board th { white-space: nowrap; }
.cut { overflow: hidden; text-overflow: ellipsis; max-width: 11rem; }
.last { max-width: 19rem; }
.bar { fill: var(--soft); }
.rest { fill: none; stroke: var(--line); }
.board td svg { max-width: none; vertical-align: -.1em; }
@media screen { .printed { display: none; } }
@media screen and (max-width: 60rem) {
  .board thead { display: none; }
  .board, .board tbody { display: block; }
  .board tr { display: flex; flex-wrap: wrap; gap: 0 .5rem; border-bottom: 1px solid var(--line); padding: .15rem 0; }
  .board td, .board th { border: 0; padding: 0; }
  .board .needs td.now, .board .danger:not(:empty) { padding: 0 .3rem; }
  .board td:empty { display: none; }
  .board td.last, .board td.possible, .board td.danger { flex-basis: 100%; }
  .board td, .board th { white-space: normal; max-width: none; }
  .board td[data-label]:not(:empty)::after { content: " " attr(data-label); }
}
@media print {
  @page { size: landscape; margin: 8mm; }
  .board { font-size: 7.5pt; }
  .board th, .board td { padding: .05rem .2rem; white-space: normal; max-width: none; }
}
`
