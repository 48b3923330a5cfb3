package paper

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/paper/sheet/browser"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/chart"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// phone is a narrow one. Source: common practice; 360 pixels is the least that phones of
// the last ten years have.
var phone = browser.Options{Width: 360, Height: 740}

// leastTarget is how large a thing to tap must be, in CSS pixels.
// Source: WCAG 2.2, success criterion 2.5.5 (level AAA).
const leastTarget = 44

// chartFile writes the charts of a circuit as an HTML file.
func chartFile(t *testing.T, b *Book) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, b.HTML(&out))
	file := filepath.Join(t.TempDir(), "chart.html")
	require.NoError(t, os.WriteFile(file, out.Bytes(), 0o600))
	return file
}

// wayTo gives the stops on the way to a fault, from the first check to the last proof.
func wayTo(t *testing.T, f *flow, id string) []*stop {
	t.Helper()
	m := f.book.Model
	fault, err := faultmodel.Find(m.Faults(), id)
	require.NoError(t, err)
	meter := m.Meter(fault)
	way := []*stop{f.stops[0]}
	for s := f.stops[0]; len(s.exits) > 0; way = append(way, s) {
		r, err := meter.Read(s.fork.Turn.Next.Check)
		require.NoError(t, err)
		require.True(t, r.Firm)
		r.Value = math.Round(r.Value*10) / 10
		for _, e := range s.exits {
			if e.way.Takes(r) {
				s = e.to
				break
			}
		}
	}
	require.Contains(t, way[len(way)-1].fork.Turn.Left, fault)
	return way
}

// Whoever taps the answers that a panel with a fault gives comes to that fault, at the
// width of a phone, with scripts and without; every screen fits, what is tapped is large
// enough, and where the power changes the caution stands there.
func TestChartTapped(t *testing.T) {
	for name, id := range map[string]string{"cold-store-alarm": "open-CR1:22-B1:1",
		"reversing": "open-PB1:12-PB2:13"} {
		b := builtinBook(t, name, chart.Options{Cut: 0.002})
		file := chartFile(t, b)
		f := b.Flows[0]
		way := wayTo(t, f, id)
		for _, noScript := range []bool{false, true} {
			o := phone
			o.NoScript = noScript
			w := browser.Open(t, o)
			w.Go(file)
			require.Contains(t, w.Text(".caution"), "Only qualified persons")
			w.Click(`#start .answers a[href="#` + way[0].ID("a") + `"]`)
			for i, s := range way {
				here := "#" + s.ID("a")
				opened(t, w, "location.hash", here)
				require.Empty(t, w.SticksOut(), here)
				smallest(t, w, here)
				focused(t, w, s, noScript)
				text := w.Text(here)
				switch f.notice(s).Kind {
				case talk.PowerOff:
					require.Contains(t, text, "Test the circuit dead, phase to phase and each to ground.")
				case talk.PowerBack:
					require.Contains(t, text, "See that all people are clear")
				}
				if i+1 < len(way) {
					require.Contains(t, text, lookOrLead(f.book.speak, s.fork.Turn.Next.Check))
					w.Click(here + ` .answers a[href="#` + way[i+1].ID("a") + `"]`)
				}
			}
			last := "#" + way[len(way)-1].ID("a")
			fault, _ := faultmodel.Find(b.Model.Faults(), id)
			require.Contains(t, w.Text(last), talk.Sentence(b.Model.Faults()[fault].Text))
			w.Click(last + " nav a")
			opened(t, w, "location.hash", "#"+way[len(way)-2].ID("a"))
			require.Contains(t, w.Text("#"+way[len(way)-2].ID("a")), "PROOF")
			w.Click("#" + way[len(way)-2].ID("a") + " nav a:nth-child(2)")
			opened(t, w, "location.hash", "#start")
			require.Contains(t, w.Text("#start"), "Nothing known")
		}
	}
}

// lookOrLead is what a screen must say of a check: where the red lead goes, or what to look at.
func lookOrLead(s *talk.Speaker, c log.Check) string {
	if leads := c.Leads(); len(leads) == 2 {
		return s.Lead(leads[0])
	}
	return talk.Called(s.Circuit.Device(c.Look))
}

// smallest holds that every link on a screen that is no part of a sentence is large enough.
func smallest(t *testing.T, w *browser.Browser, screen string) {
	t.Helper()
	var heights []float64
	w.Evaluate(`[...document.querySelectorAll("`+screen+` nav a, `+screen+` .big, `+screen+` > details > summary")].map(e => e.getBoundingClientRect().height)`, &heights)
	require.NotEmpty(t, heights)
	for _, h := range heights {
		require.GreaterOrEqual(t, h, float64(leastTarget), screen)
	}
}

// focused holds that the focus is on the heading of the screen, or without a script on the
// screen itself, whose name is the heading.
func focused(t *testing.T, w *browser.Browser, s *stop, noScript bool) {
	t.Helper()
	want := s.ID("a") + "h"
	if noScript {
		want = s.ID("a")
	}
	opened(t, w, "document.activeElement.id", want)
}

// The chart is walked with the keyboard alone: Tab and Enter, and digits for the answers.
func TestChartByKeyboard(t *testing.T) {
	b := builtinBook(t, "two-lamp", chart.Options{})
	way := wayTo(t, b.Flows[0], "open-H1")
	w := browser.Open(t, phone)
	w.Go(chartFile(t, b))
	for _, s := range way {
		href := "#" + s.ID("a")
		for tabs := 0; ; tabs++ {
			require.Less(t, tabs, 30, "Tab does not come to %s", href)
			w.Press("\t")
			var at string
			w.Evaluate(`(document.activeElement.getAttribute("href") || "") + (document.activeElement.closest("nav") ? " back" : "")`, &at)
			if at == href {
				break
			}
		}
		w.Press("\r")
		opened(t, w, "location.hash", href)
	}
}

// The chart follows a dark screen, names its parts for a screen reader, and asks the
// network for nothing.
func TestChartPage(t *testing.T) {
	b := builtinBook(t, "cold-store-alarm", chart.Options{}, "each")
	file := chartFile(t, b)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.NotRegexp(t,
		regexp.MustCompile(`(?i)(src|href)="(https?:)?//|url\("[^d]|@import|<link|<script src`), string(text))
	assert.Less(t, len(text), 2_000_000)
	assert.Equal(t, 1, strings.Count(string(text), "data:image/svg+xml,"), "the drawing is there once")

	dark := phone
	dark.Dark = true
	w := browser.Open(t, dark)
	w.Go(file + "#a1")
	var paper, ink string
	w.Evaluate(`getComputedStyle(document.body).backgroundColor`, &paper)
	w.Evaluate(`getComputedStyle(document.body).color`, &ink)
	assert.Equal(t, "rgb(17, 17, 17)", paper)
	assert.Equal(t, "rgb(238, 238, 238)", ink)
	var unnamed, headings, landmarks int
	w.Evaluate(`[...document.querySelectorAll("section.stop")].filter(e => !document.getElementById(e.getAttribute("aria-labelledby"))).length`, &unnamed)
	w.Evaluate(`[...document.querySelectorAll("section.stop")].filter(e => e.querySelectorAll("h2").length != 1).length`, &headings)
	w.Evaluate(`["main", "header", "aside", "#a1 nav"].filter(s => document.querySelector(s)).length`,
		&landmarks)
	assert.Zero(t, unnamed)
	assert.Zero(t, headings)
	assert.Equal(t, 4, landmarks)
	var dead []string
	w.Evaluate(`[...document.querySelectorAll('a[href^="#"]')].map(a => a.hash.slice(1)).filter(id => !document.getElementById(id))`, &dead)
	assert.Empty(t, dead, "links that lead nowhere")
}

// A chart prints on as many pages as its lines take, and leads as many faults to a verdict there
// as on the screen; DEADRUNG_ALL=1 prints those of every circuit.
func TestChartPrinted(t *testing.T) {
	pages, err := exec.LookPath("pdfinfo")
	if err != nil {
		t.Skip("no pdfinfo is installed, and this test counts pages with it")
	}
	names := []string{"cold-store-alarm", "two-lamp", "annunciator"}
	if os.Getenv("DEADRUNG_ALL") != "" {
		names = circuits.Builtin()
	}
	w := browser.Open(t, browser.Options{})
	for _, name := range names {
		complaints := map[string][]string{"cold-store-alarm": {"each"}}[name]
		b := builtinBook(t, name, chart.Options{}, complaints...)
		w.Go(chartFile(t, b))
		pdf := filepath.Join(t.TempDir(), "chart.pdf")
		w.Print(pdf)
		out, err := exec.Command(pages, pdf).Output()
		require.NoError(t, err)
		most := 0
		for _, f := range b.Flows {
			s := f.sheet()
			most += (s.lines() + pageLines - 1) / pageLines
			assert.Equal(t, f.covered(), f.shorter(0).covered(), name)
			assert.Contains(t, s.Summary, "leads "+f.covered()+" to a verdict")
		}
		found := regexp.MustCompile(`(?m)^Pages: +(\d+)$`).FindStringSubmatch(string(out))
		require.NotNil(t, found, string(out))
		printed, err := strconv.Atoi(found[1])
		require.NoError(t, err)
		assert.GreaterOrEqual(t, printed, len(b.Flows), name)
		assert.LessOrEqual(t, printed, most, name)
	}
}
