package page

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper/sheet/browser"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// A person who is quick: so long they take to choose a circuit, and to make a check.
const (
	choosing = 6 * time.Second
	checking = diagnose.LookMinutes * 60 * time.Second
	slowing  = 6
)

// waited tells the milliseconds from a tap to the next question.
const waited = `var waited = does => new Promise(done => {
	const begun = performance.now(), ask = document.getElementById("ask");
	does();
	const look = () => ask.hidden ? requestAnimationFrame(look) : done(performance.now() - begun);
	requestAnimationFrame(look);
}); `

// listening keeps the question that the engine asks last.
const listening = `(() => { const parse = JSON.parse; JSON.parse = text => { const m = parse(text);
	if (m && m.kind === "asked") window.lastAsked = m.asked; return m; } })()`

// How long a person waits, with all processors slowed sixfold, on a page of all built-in circuits:
// for the first question, for the first check, and for the next check in the mean and at worst. A
// benchmark, since a loaded machine is slower still.
func BenchmarkPage(b *testing.B) {
	for _, name := range circuits.Builtin() {
		b.Run(name, func(b *testing.B) {
			file := pageFile(b)
			text, _ := circuits.BuiltinText(name)
			c, problems := read.Read(name, text)
			require.NoError(b, problems.Err())
			p := work.Assemble(c)
			m, err := diagnose.New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
			require.NoError(b, err)
			for n := 0; b.Loop(); n++ {
				panel := training.NewSitting(m, n*7%len(m.Faults()), 1)
				w := browser.Open(b, browser.Options{Width: 390, Height: 800})
				w.Go(file)
				w.Slowed(slowing)
				w.Evaluate(listening, nil)
				time.Sleep(choosing)
				took := func(does string) (ms float64) {
					w.Evaluate(waited+"waited(() => "+does+")", &ms)
					return ms
				}
				find := fmt.Sprintf(`[...document.querySelectorAll("button")].find(b => b.getAttribute("aria-label") === %q).click()`,
					"Find what is wrong: "+c.Title)
				b.ReportMetric(took(find), "ms/first")
				var later []float64
				for range 30 {
					time.Sleep(checking)
					var asked struct {
						Place guide.Place
						Wait  bool
						Check *log.Check
					}
					var text string
					w.Evaluate("JSON.stringify(lastAsked)", &text)
					require.NoError(b, json.Unmarshal([]byte(text), &asked))
					answer := "ok"
					switch {
					case asked.Wait:
					case asked.Place == guide.Complaint:
						answer = "none"
					case asked.Check == nil || asked.Place != guide.Check:
						answer = ""
					default:
						shown, err := panel.Show(*asked.Check)
						require.NoError(b, err)
						answer = typedAs(*asked.Check, shown.Reading)
					}
					if answer == "" {
						break
					}
					ms := took(fmt.Sprintf(`{ document.getElementById("typed").value = %q;
						document.getElementById("ask").requestSubmit() }`, answer))
					if answer == "none" {
						b.ReportMetric(ms, "ms/check")
					} else if asked.Check != nil {
						later = append(later, ms)
					}
				}
				sum, most := 0.0, 0.0
				for _, ms := range later {
					sum, most = sum+ms, max(most, ms)
				}
				b.ReportMetric(sum/float64(len(later)), "ms/later")
				b.ReportMetric(most, "ms/most")
				b.ReportMetric(float64(len(later)), "checks")
			}
		})
	}
}

// typedAs is a reading as a person types it.
func typedAs(c log.Check, r log.Reading) string {
	switch {
	case c.Kind() == log.Look && r.On:
		return "on"
	case c.Kind() == log.Look:
		return "off"
	case r.Value == log.OL:
		return "OL"
	}
	return fmt.Sprintf("%.1f %s", r.Value, c.Kind().Unit())
}
