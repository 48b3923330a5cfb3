package paper

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/chart"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// namedPanel is a small circuit whose title, notes and steps are words from anywhere.
const namedPanel = `circuit: %[1]s
about: %[1]s
devices:
  PWS1: {type: supply, volts: 120, note: %[2]s}
  PB1: {type: push-button, contacts: [{no: [13, 14]}], note: %[2]s}
  H1: {type: lamp, note: %[2]s}
wires:
  1: [PWS1:L, PB1:13]
  2: [PWS1:N, H1:2]
  3: [PB1:14, H1:1]
operation:
  - step: %[3]s
    expect: {H1: off}
  - step: %[4]s
    set: {PB1: pressed}
    expect: {H1: on}
`

// namedBook makes the chart of it; nil where a word may not stand there.
func namedBook(t testing.TB, title, note, step string) *Book {
	t.Helper()
	quoted := func(word string) string {
		text, err := json.Marshal(word)
		require.NoError(t, err)
		return string(text)
	}
	text := fmt.Sprintf(namedPanel, quoted(title), quoted(note), quoted(step+" 1"), quoted(step+" 2"))
	c, problems := read.Read("named.yaml", []byte(text))
	if problems.Err() != nil {
		return nil
	}
	p := work.Assemble(c)
	m, err := diagnose.New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	logs, err := talk.ParseComplaints(m, nil, 10)
	require.NoError(t, err)
	return NewBook(m, "named.yaml", "deadrung find named.yaml", logs, chart.Options{Cut: 0.05})
}

var (
	tags       = regexp.MustCompile(`(?s)<[^>]*>`)
	attributes = regexp.MustCompile(`(?s)="[^"]*"`)
)

// frames are the tags of a page with the names of their attributes, without what stands in them.
func frames(page string) map[string]bool {
	all := make(map[string]bool)
	for _, tag := range tags.FindAllString(page, -1) {
		all[attributes.ReplaceAllString(tag, "=")] = true
	}
	return all
}

// wellFormed holds that a text is XML from its beginning to its end.
func wellFormed(t testing.TB, text []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(text))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else {
			require.NoError(t, err, "%s", text)
		}
	}
}

// pages are all sheets of a folder by their files.
func pages(t testing.TB, b *Book) map[string]string {
	t.Helper()
	all := make(map[string]string)
	checkOut := func() *CheckOut { return NewCheckOut("named.yaml", b.Model.Panel(), log.Rules{}) }
	for _, s := range Folder(b, checkOut, diagnose.ByMinutes, drawing.Options{Symbols: drawing.IEC, Upright: true}, func() []string { return []string{LadderSheet} }) {
		text, err := s.Write()
		require.NoError(t, err)
		all[s.File()] = string(text)
	}
	return all
}

// FuzzPages: what a circuit file calls things is a text on a page, and never a part of it: no
// tag, style, script or link comes from it, and every picture is whole.
func FuzzPages(f *testing.F) {
	allowed := make(map[string]map[string]bool)
	plain := make(map[string]string)
	for _, word := range []string{"pump", strings.Repeat("a long word or two ", 12)} {
		for file, text := range pages(f, namedBook(f, word, word, word)) {
			if allowed[file] == nil {
				allowed[file] = make(map[string]bool)
			}
			for tag := range frames(text) {
				allowed[file][tag] = true
			}
			plain[file] = text
		}
	}
	for _, word := range []string{"</style><script>alert(1)</script>", `"><img src=x onerror=alert(1)>`, "javascript:alert(1)",
		"]]>", "--><b>", "&lt;&amp;&#x3c;", "{{.}}", "%3Csvg%3E</svg>", "'); } * { color: red; }", "\u2028\u202e", "`|*_#[x](y)", `\"`} {
		f.Add(word, "note", "step")
		f.Add("title", word, "step")
		f.Add("title", "note", word)
	}
	f.Fuzz(func(t *testing.T, title, note, step string) {
		b := namedBook(t, title, note, step)
		if b == nil {
			return
		}
		for file, text := range pages(t, b) {
			for tag := range frames(text) {
				require.True(t, allowed[file][tag], "%s: %s", file, tag)
			}
			for _, end := range []string{"</style", "</script", "</title", "</svg>"} {
				if end == "</svg>" && strings.Count(plain[file], end) == 0 {
					continue // pictures in the style are quoted
				}
				require.Equal(t, strings.Count(plain[file], end), strings.Count(text, end), "%s: %s", file, end)
			}
			for _, picture := range regexp.MustCompile(`data:image/svg\+xml,([^"]*)"`).FindAllStringSubmatch(text, -1) {
				svg, err := url.PathUnescape(picture[1])
				require.NoError(t, err)
				wellFormed(t, []byte(svg))
			}
			for _, link := range regexp.MustCompile(`(?:href|src)="([^"]*)"`).FindAllStringSubmatch(text, -1) {
				require.Regexp(t, `^(#[a-z0-9-]*|[a-z]+\.(html|yaml|pdf))$`, link[1])
			}
		}
		wellFormed(t, drawing.New(b.speak.Circuit).SVG(drawing.Options{}))
		for _, flow := range b.Flows {
			var out bytes.Buffer
			require.NoError(t, flow.SVG(&out))
			wellFormed(t, out.Bytes())
		}
		require.NoError(t, b.DOT(io.Discard))
		require.NoError(t, b.Markdown(io.Discard))
		_, err := json.Marshal(b.Machine())
		require.NoError(t, err)
	})
}
