package paper

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/chart"
)

// builtinBook makes the charts of a built-in circuit.
func builtinBook(t testing.TB, name string, o chart.Options, complaints ...string) *Book {
	t.Helper()
	m := builtinModel(t, name)
	logs, err := talk.ParseComplaints(m, complaints, 10)
	require.NoError(t, err)
	return NewBook(m, name, "deadrung find "+name, logs, o)
}

func TestChartMarkdown(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t,
		builtinBook(t, "cold-store-alarm", chart.Options{Cut: 0.05}, "door left open: B1").Markdown(&out))
	golden(t, "chart/cold-store-alarm-horn.md", out.String())
}

// Every answer leads somewhere, each check is numbered once, and nothing is lost between
// the chart and what is printed.
func TestChartNumbers(t *testing.T) {
	for _, name := range []string{"cold-store-alarm", "reversing"} {
		b := builtinBook(t, name, chart.Options{Cut: 0.01}, "each")
		for _, f := range b.Flows {
			seen := 0
			for i, s := range f.stops {
				require.Equal(t, i+1, s.index)
				if s.number > 0 {
					seen++
					require.Equal(t, seen, s.number)
				}
				if !s.cut {
					require.Len(t, s.exits, len(s.fork.Ways))
				}
			}
			require.Equal(t, f.checks, seen)
		}
	}
}

// A drawn chart is well-formed, and no text runs into another or out of the picture.
func TestChartDrawn(t *testing.T) {
	for _, name := range circuits.Builtin() {
		var out bytes.Buffer
		require.NoError(t, builtinBook(t, name, chart.Options{}).Flows[0].SVG(&out))
		d := xml.NewDecoder(&out)
		type box struct {
			x, y, right, low float64
			text             string
		}
		var texts []box
		var width, height float64
		var at *box
		for {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			require.NoError(t, err, name)
			switch token := token.(type) {
			case xml.StartElement:
				number := func(key string) float64 {
					for _, a := range token.Attr {
						if a.Name.Local == key {
							x, err := strconv.ParseFloat(a.Value, 64)
							require.NoError(t, err)
							return x
						}
					}
					return 0
				}
				switch token.Name.Local {
				case "svg":
					width, height = number("width"), number("height")
				case "text":
					at = &box{x: number("x"), y: number("y") - 9, low: number("y") + 3}
				}
			case xml.CharData:
				if at != nil {
					at.text += string(token)
				}
			case xml.EndElement:
				if at != nil {
					// A character of DejaVu Sans Mono, the widest of the usual ones, is 0.602 em.
					const em, share = 11, 0.602
					at.right = at.x + em*share*float64(len([]rune(at.text)))
					texts = append(texts, *at)
					at = nil
				}
			}
		}
		require.NotEmpty(t, texts)
		for i, a := range texts {
			require.True(t, a.x >= 0 && a.y >= 0 && a.right <= width && a.low <= height, "%s: %q sticks out",
				name, a.text)
			for _, b := range texts[i+1:] {
				if a.x < b.right && b.x < a.right && a.y < b.low && b.y < a.low {
					require.Fail(t, "texts overlap", "%s: %q and %q", name, a.text, b.text)
				}
			}
		}
	}
}

// The graph is one that the DOT language allows; every edge joins two boxes that are there.
func TestChartGraph(t *testing.T) {
	dot, noDot := exec.LookPath("dot")
	for _, name := range circuits.Builtin() {
		complaints := map[string][]string{"cold-store-alarm": {"each"}}[name]
		var out bytes.Buffer
		require.NoError(t, builtinBook(t, name, chart.Options{}, complaints...).DOT(&out))
		g, err := readGraph(out.String())
		require.NoError(t, err, name)
		require.NotEmpty(t, g.nodes)
		arrives := make(map[string]int)
		for _, e := range g.edges {
			require.True(t, g.nodes[e[0]] && g.nodes[e[1]], "%s: %v", name, e)
			arrives[e[1]]++
		}
		for n := range g.nodes {
			require.LessOrEqual(t, arrives[n], 1, "a tree")
		}
		if noDot == nil {
			c := exec.Command(dot, "-Tcanon")
			c.Stdin = &out
			text, err := c.CombinedOutput()
			require.NoError(t, err, "%s", text)
		}
	}
	if noDot != nil {
		t.Log("no dot is installed: the graphs were read by the grammar below alone")
	}
}

// graph is what a text in the DOT language says.
type graph struct {
	nodes map[string]bool
	edges [][2]string
}

// readGraph reads the part of the DOT language that charts are written in. Source: the
// grammar of the DOT language, graphviz.org/doc/info/lang.html, with names that are letters
// and digits, and double-quoted strings.
//
//	graph     : "digraph" ID "{" stmt_list "}"
//	stmt_list : [ stmt [";"] stmt_list ]
//	stmt      : node_stmt | edge_stmt | attr_stmt | ID "=" ID | subgraph
//	edge_stmt : ID "->" ID [ attr_list ]
//	attr_list : "[" [ ID "=" ID [";" | ","] ... ] "]"
func readGraph(text string) (*graph, error) {
	tokens, err := graphTokens(text)
	if err != nil {
		return nil, err
	}
	r := &graphReader{tokens: tokens, g: &graph{nodes: make(map[string]bool)}}
	r.want("digraph")
	r.name()
	r.statements()
	if r.err == nil && len(r.tokens) > 0 {
		r.err = fmt.Errorf("%q after the end", r.tokens[0])
	}
	return r.g, r.err
}

func graphTokens(text string) ([]string, error) {
	var tokens []string
	for i := 0; i < len(text); {
		switch c := text[i]; {
		case strings.ContainsRune(" \t\n", rune(c)):
			i++
		case strings.ContainsRune("{}[]=;,", rune(c)):
			tokens = append(tokens, string(c))
			i++
		case strings.HasPrefix(text[i:], "->"):
			tokens = append(tokens, "->")
			i += 2
		case c == '"':
			end := i + 1
			for end < len(text) && text[end] != '"' {
				if text[end] == '\\' {
					end++
				}
				end++
			}
			if end >= len(text) {
				return nil, fmt.Errorf("a string does not end")
			}
			tokens = append(tokens, text[i:end+1])
			i = end + 1
		default:
			end := i
			for end < len(text) && (text[end] == '_' || text[end] >= '0' && text[end] <= '9' ||
				text[end]|32 >= 'a' && text[end]|32 <= 'z') {
				end++
			}
			if end == i {
				return nil, fmt.Errorf("%q is not expected", text[i])
			}
			tokens = append(tokens, text[i:end])
			i = end
		}
	}
	return tokens, nil
}

type graphReader struct {
	tokens []string
	g      *graph
	err    error
}

func (r *graphReader) peek() string {
	if len(r.tokens) == 0 {
		return ""
	}
	return r.tokens[0]
}

func (r *graphReader) take() string {
	t := r.peek()
	if len(r.tokens) > 0 {
		r.tokens = r.tokens[1:]
	}
	return t
}

func (r *graphReader) want(t string) {
	if got := r.take(); got != t && r.err == nil {
		r.err = fmt.Errorf("%q in place of %q", got, t)
	}
}

// name takes a name or a string.
func (r *graphReader) name() string {
	t := r.take()
	if (t == "" || strings.ContainsAny(t[:1], "{}[]=;,-")) && r.err == nil {
		r.err = fmt.Errorf("%q in place of a name", t)
	}
	return t
}

func (r *graphReader) statements() {
	r.want("{")
	for r.err == nil && r.peek() != "}" {
		switch first := r.name(); {
		case first == "subgraph":
			r.name()
			r.statements()
		case r.peek() == "=":
			r.take()
			r.name()
		case r.peek() == "->":
			r.take()
			r.g.edges = append(r.g.edges, [2]string{first, r.name()})
			r.attributes()
		case first == "node" || first == "edge" || first == "graph":
			r.attributes()
		default:
			r.g.nodes[first] = true
			r.attributes()
		}
		if r.peek() == ";" {
			r.take()
		}
	}
	r.want("}")
}

func (r *graphReader) attributes() {
	if r.peek() != "[" {
		return
	}
	r.take()
	for r.err == nil && r.peek() != "]" {
		r.name()
		r.want("=")
		r.name()
		if r.peek() == "," || r.peek() == ";" {
			r.take()
		}
	}
	r.want("]")
}

// The reader of graphs refuses what the language does.
func TestReadGraph(t *testing.T) {
	for _, wrong := range []string{"", "digraph a", "digraph a {", "digraph a { b -> }",
		"digraph a { b [label=] }", "digraph a { b [label=\"x] }", "digraph a {} c", "graph a {}"} {
		_, err := readGraph(wrong)
		require.Error(t, err, wrong)
	}
	g, err := readGraph(`digraph a { node [shape=box]; b [label="say \"x\""]; b -> c [label=d]; subgraph e { c } }`)
	require.NoError(t, err)
	require.Equal(t, map[string]bool{"b": true, "c": true}, g.nodes)
	require.Equal(t, [][2]string{{"b", "c"}}, g.edges)
}
