package paper

import (
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/chart"
	"deadrung/diagnose/log"
)

// A printed chart is walked as a technician walks it, by what stands in the text alone: the
// check under the number, its answers in their order, where each leads.
type printedChart struct {
	title  string
	checks []printedCheck // by number, less one
}

type printedCheck struct {
	check   string
	notice  string // of the power, in bold
	answers []printedAnswer
}

type printedAnswer struct {
	reading string
	to      int    // the number of the next check; 0 for none
	end     string // else what is said there
	lines   []string
}

var (
	printedHead = regexp.MustCompile(`^### <a id="c1-(\d+)"></a>(\d+)\. (.*)$`)
	printedLine = regexp.MustCompile(`^- (.*?) \((?:below )?\d+ %\): (.*)$`)
	printedTo   = regexp.MustCompile(`go to \[(\d+)\]\(#c1-(\d+)\)`)
)

// readChart reads a printed chart of one complaint. It holds that checks are numbered from one
// without a hole, that each link goes to the number it shows, to a later check, and that each
// check but the first is led to from one place.
func readChart(t *testing.T, text string) printedChart {
	t.Helper()
	var c printedChart
	led := make(map[int]int)
	goTo := func(line string) int {
		m := printedTo.FindStringSubmatch(line)
		if m == nil {
			return 0
		}
		require.Equal(t, m[1], m[2], line)
		n, _ := strconv.Atoi(m[1])
		require.Greater(t, n, len(c.checks), "a chart goes on, not back")
		led[n]++
		return n
	}
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		if m := printedHead.FindStringSubmatch(line); m != nil {
			require.Equal(t, m[1], m[2])
			require.Equal(t, strconv.Itoa(len(c.checks)+1), m[2], "numbers run without a hole")
			c.checks = append(c.checks, printedCheck{check: m[3]})
			continue
		}
		if len(c.checks) == 0 {
			if strings.HasPrefix(line, "# ") {
				c.title = line
			}
			continue
		}
		at := &c.checks[len(c.checks)-1]
		switch m := printedLine.FindStringSubmatch(line); {
		case m != nil:
			a := printedAnswer{reading: m[1], end: m[2], to: goTo(m[2])}
			at.answers = append(at.answers, a)
		case strings.HasPrefix(line, "**"):
			require.Empty(t, at.answers)
			at.notice = line
		case strings.HasPrefix(line, "  "):
			a := &at.answers[len(at.answers)-1]
			a.lines = append(a.lines, line)
			if to := goTo(line); to > 0 {
				require.Zero(t, a.to)
				a.to = to
			}
		default:
			require.Empty(t, line)
		}
	}
	require.NotEmpty(t, c.checks)
	for n := range c.checks {
		want := 1
		if n == 0 {
			want = 0
		}
		require.Equal(t, want, led[n+1], "check %d", n+1)
	}
	return c
}

// Every fault's way through a printed chart ends where the guided search ends on the same
// readings. Every check on it may be made, and is made with the power as the cautions left it.
func TestPrintedChartLeadsToEveryFault(t *testing.T) {
	for _, name := range circuits.Builtin() {
		t.Run(name, func(t *testing.T) {
			b := builtinBook(t, name, chart.Options{Cut: 1e-6})
			var text strings.Builder
			require.NoError(t, b.Markdown(&text))
			c := readChart(t, text.String())
			require.Equal(t, b.Flows[0].checks, len(c.checks))
			const many, share = 60, 8 // of a large panel a share of the faults
			cut := 0.0
			for fault, f := range b.Model.Faults() {
				if fault%share != 0 && len(b.Model.Faults()) > many {
					continue
				}
				if walkPrinted(t, b, c, fault) {
					cut += f.Prior
				}
			}
			require.Less(t, cut, 0.01, "by weight, faults that the chart sends on to the search although they were found")
		})
	}
}

// walkPrinted walks a printed chart on a panel with a fault. Cut is set where the chart ends, for
// what is rare, at a reading after which the search is over.
func walkPrinted(t *testing.T, b *Book, c printedChart, fault int) (cut bool) {
	t.Helper()
	f, id := b.Flows[0], b.Model.Faults()[fault].ID
	meter, ghosts := b.Model.Meter(fault), rand.New(rand.NewPCG(3, uint64(fault)))
	var history log.Log
	locked := false
	for number := 1; ; {
		printed := c.checks[number-1]
		turn := b.Model.Turn(history, diagnose.Choosing{By: b.options.By, Most: -1})
		require.NotNil(t, turn.Next, id)
		check := turn.Next.Check
		require.Equal(t, talk.SentenceStart(b.speak.Condensed(check)), printed.check, id)
		switch printed.notice {
		case "**Lock out first.**":
			locked = true
		case "**Back to power first.**":
			locked = false
		default:
			require.Empty(t, printed.notice)
		}
		require.Equal(t, check.Kind().Off(), locked, "%s: check %d with the power as it is", id, number)
		s := f.stops[slices.IndexFunc(f.stops, func(s *stop) bool { return s.number == number })]
		require.Equal(t, check, s.fork.Turn.Next.Check, id)
		a := printed.answers[taken(t, b, printed, s, meter, ghosts, &history)]
		turn = b.Model.Turn(history, diagnose.Choosing{By: b.options.By, Most: -1})
		if strings.HasPrefix(a.end, "go to ") {
			number = a.to
			continue
		}
		said := a.end + strings.Join(a.lines, "\n")
		if turn.Status == diagnose.Healthy {
			require.Equal(t, "Every reading fits a good circuit", said, id)
			return false
		}
		require.Contains(t, turn.Left, fault, id)
		switch turn.Status {
		case diagnose.Unlisted:
			require.Contains(t, said, "No listed fault explains the readings", id)
			return false
		case diagnose.Continue:
			require.Contains(t, said, "rarer than 0.0001 %: go on with", id)
			return false
		}
		if strings.Contains(said, "rarer than 0.0001 %: go on with") {
			return true
		}
		require.Contains(t, []diagnose.Status{diagnose.Found, diagnose.GroupLeft}, turn.Status, id)
		if len(turn.Left) == 1 {
			require.Equal(t, "**"+talk.Marked(talk.Sentence(b.Model.Faults()[fault].Text))+"**", a.end)
			return false
		}
		apart := "apart"
		if turn.MayPart != nil {
			apart = "apart for certain"
			require.Contains(t, said, talk.Marked(talk.Sentence(b.speak.Condensed(*turn.MayPart))), id)
		}
		require.Equal(t, "**One of these "+strconv.Itoa(len(turn.Left))+"; no check tells them "+apart+":**", a.end, id)
		for i, left := range b.speak.Ranked(&turn) {
			if i < 8 {
				require.Contains(t, said, "- "+talk.Marked(left.Text)+" (")
			}
		}
		return false
	}
}

// taken makes a check, enters it and gives the place of the answer that it is.
func taken(
	t *testing.T, b *Book, printed printedCheck, s *stop, meter *diagnose.Meter, ghosts *rand.Rand,
	history *log.Log,
) int {
	t.Helper()
	check := s.fork.Turn.Next.Check
	r, err := meter.Read(check)
	require.NoError(t, err)
	if !r.Firm {
		most, err := b.Model.Stray(check)
		require.NoError(t, err)
		r.On, r.Value = ghosts.IntN(2) == 1, ghosts.Float64()*most
	}
	r.Value, r.Firm = math.Round(r.Value*10)/10, true
	found := -1
	for i, e := range s.exits {
		if e.way.Takes(r) && (found < 0 || !e.way.Stray) {
			found = i
		}
	}
	require.GreaterOrEqual(t, found, 0)
	require.Len(t, printed.answers, len(s.exits))
	require.True(t, printedFits(t, printed.answers[found].reading, r), "%v is not %q", r,
		printed.answers[found].reading)
	e, err := b.Model.Book().NewEntry(check, &r)
	require.NoError(t, err)
	history.Entries = append(history.Entries, e)
	return found
}

var printedSpan = regexp.MustCompile(`^([\d.]+)(?: (\w+))? to ([\d.]+) (\w+)$`)

// printedFits tells whether a reading is what an answer says.
func printedFits(t *testing.T, answer string, r log.Reading) bool {
	t.Helper()
	answer = strings.TrimPrefix(answer, "anything else, ")
	if r.Kind == log.Look {
		return answer == map[bool]string{true: "on", false: "off"}[r.On]
	}
	if least, ok := strings.CutSuffix(answer, " or more, or OL"); ok {
		if math.IsInf(r.Value, 1) {
			return true
		}
		answer = least + " to 1000 Mohm"
	}
	if answer == "OL" || math.IsInf(r.Value, 1) {
		return answer == "OL" && math.IsInf(r.Value, 1)
	}
	if most, ok := strings.CutPrefix(answer, "below "); ok {
		answer = "0 to " + most
	}
	m := printedSpan.FindStringSubmatch(answer)
	require.NotNil(t, m, answer)
	if m[2] == "" {
		m[2] = m[4]
	}
	value := func(figure, unit string) float64 {
		x, err := strconv.ParseFloat(figure, 64)
		require.NoError(t, err)
		times := map[string]float64{"V": 1, "ohm": 1, "kohm": 1e3, "Mohm": 1e6}[unit]
		require.NotZero(t, times, answer)
		return x * times
	}
	low, high := value(m[1], m[2]), value(m[3], m[4])
	rounded := func(x float64) float64 { return max(0.05, x*0.005) } // three figures are printed
	return r.Value >= low-rounded(low) && r.Value <= high+rounded(high)
}
