package read

import (
	"bytes"
	"encoding/json"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"deadrung/circuits"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
)

func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft7)
	require.NoError(t, c.AddResource("circuit.json", doc))
	s, err := c.Compile("circuit.json")
	require.NoError(t, err)
	return s
}

// asJSON gives what a file holds by the core schema of YAML 1.2.
func asJSON(n *yaml.Node) any {
	n = follow(n)
	switch n.Kind {
	case yaml.SequenceNode:
		out := []any{}
		for _, child := range n.Content {
			out = append(out, asJSON(child))
		}
		return out
	case yaml.MappingNode:
		out := make(map[string]any)
		for i := 0; i+1 < len(n.Content); i += 2 {
			if key := follow(n.Content[i]).Value; out[key] == nil {
				out[key] = asJSON(n.Content[i+1])
			}
		}
		return out
	}
	switch s := n.Value; {
	case isNull(n):
		return nil
	case !isPlain(n):
		return s
	case strings.EqualFold(s, "true"), strings.EqualFold(s, "false"):
		return strings.EqualFold(s, "true")
	case decimal.MatchString(s):
		if v, err := strconv.ParseFloat(s, 64); err == nil {
			return v
		}
		return json.Number("1e999")
	case hex.MatchString(s), octal.MatchString(s):
		base := map[byte]int{'x': 16, 'o': 8}[s[1]]
		v, err := unsigned(s[2:], base)
		if err != nil {
			return json.Number("1e999")
		}
		return v
	}
	return n.Value
}

// Parts of a file whose entries are held against the schema one by one.
var entriesOf = []string{"devices", "wires", "operation", "rungs", "ladder", "places", "through", "cables", "conductors"}

// entryAt is one entry of a file, as devices/H1 or operation/3, and where it begins.
type entryAt struct {
	path string
	at   circuits.Pos
}

func fileEntries(root *yaml.Node) []entryAt {
	var out []entryAt
	for i := 0; i+1 < len(root.Content); i += 2 {
		key, value := follow(root.Content[i]).Value, follow(root.Content[i+1])
		out = append(out, entryAt{key, posOf(root.Content[i])})
		if !slices.Contains(entriesOf, key) {
			continue
		}
		for k, child := range value.Content {
			switch {
			case value.Kind == yaml.SequenceNode:
				out = append(out, entryAt{key + "/" + strconv.Itoa(k), posOf(child)})
			case k%2 == 0:
				out = append(out, entryAt{key + "/" + follow(child).Value, posOf(child)})
			}
		}
	}
	return out
}

// refusedBySchema gives the entries that the schema refuses.
func refusedBySchema(s *jsonschema.Schema, root *yaml.Node) map[string]bool {
	refused := make(map[string]bool)
	doc, _ := asJSON(root).(map[string]any)
	var collect func(e *jsonschema.ValidationError)
	collect = func(e *jsonschema.ValidationError) {
		at := e.InstanceLocation
		name := func(extra ...string) {
			path := append(slices.Clone(at), extra...)
			if len(path) > 1 && slices.Contains(entriesOf, path[0]) {
				refused[path[0]+"/"+path[1]] = true
			} else if len(path) > 0 {
				refused[path[0]] = true
			} else {
				refused[""] = true
			}
		}
		switch k := e.ErrorKind.(type) {
		case *kind.PropertyNames: // its location is not to be relied on
			for _, part := range entriesOf {
				if held, ok := doc[part].(map[string]any); ok {
					if _, ok := held[k.Property]; ok {
						refused[part+"/"+k.Property] = true
					}
				}
			}
			return
		case *kind.Not: // the only two keys of which one excludes the other
			name("ladder")
			return
		case *kind.Dependency:
			name(k.Prop)
			return
		case *kind.AdditionalProperties:
			for _, p := range k.Properties {
				name(p)
			}
			return
		}
		if len(e.Causes) == 0 {
			name()
		}
		for _, cause := range e.Causes {
			collect(cause)
		}
	}
	if err := s.Validate(doc); err != nil {
		collect(err.(*jsonschema.ValidationError))
	}
	return refused
}

// semantic are the problems that the schema does not see, with the reason.
var semantic = []struct{ says, reason string }{
	{`there is no device|interlocked with|cannot be set|nothing can be expected|and not at the beginning of a feed|is no ground|is (an?) [a-z-]+$`,
		"designations and their types are looked up elsewhere in the file"},
	{`has no terminal|names no terminal|has no contact|has nothing between|which (pin|terminal|contact) of .* (is not said|this is, the rung does not say)|is no part of a rung|has no contacts$`,
		"terminals are looked up in the device"},
	{`has no position`, "positions are looked up in the device"},
	{`count as one already|has no minutes`, "which places there are already is not in the schema"},
	{`unknown place|within the panel`, "places are looked up elsewhere in the file"},
	{`twice|is already (on|in a rung)|already (has|bridges|runs)|is given twice|each once`, "what is given once is counted over the whole file, and JSON has each key once"},
	{`in two parts|are one|to itself|with itself|single terminal,|already on wire|on another wire`, "what the wires join is worked out"},
	{`too few for the wires`, "what goes through a terminal block is worked out"},
	{`^the circuit has no source|which of .* feeds this rung|where the rungs of this feed end`, "sources are looked for by their type"},
	{`of another frequency or of unknown phase`, "sources are counted over the whole file"},
	{`^no contact .* is left`, "contacts are counted over the rungs"},
	{`without a load|^a rung has no part|^a (feed|return) begins at`, "ways through a rung are followed"},
	{`two sides of .* hang together|feeds .* with ac|can open the secondary`, "what the wires join is worked out"},
	{`drop-out is`, "two values are compared"},
	{`there is no (wire number|cable)|no wire goes from|^core .* is the wire|run in it$|has two ends`, "wires and cables are looked up elsewhere in the file"},
	{`holds the control character|cannot be named|for a key`, "not every name that cannot be printed is in the patterns, and JSON has no key that is no text"},
}

func semanticReason(p circuits.Problem) string {
	for _, s := range semantic {
		if regexp.MustCompile(s.says).MatchString(p.What) {
			return s.reason
		}
	}
	return ""
}

// The schema and the reader must agree: every entry of every file that the reader
// refuses for its form is refused by the schema, and none is that the reader takes. Each
// reason for a difference must be needed by some entry.
func TestSchemaEqualsReader(t *testing.T) {
	s := compiledSchema(t)
	used := make(map[string]bool)
	for _, pattern := range []string{"testdata/ok/*.yaml", "testdata/err/*.yaml",
		"testdata/wired/*.yaml", "../*.yaml", "../../testdata/published/*.yaml"} {
		for name, text := range files(t, pattern) {
			if strings.HasSuffix(name, ".check.yaml") {
				continue
			}
			t.Run(name, func(t *testing.T) {
				r := &reader{file: name, circuit: &circuits.Circuit{}}
				root := r.parse(text)
				require.NotNil(t, root)
				entries := fileEntries(root)
				byReader := make(map[string][]string)
				reasons := make(map[string][]string)
				anyway := make(map[string]bool)
				_, problems := Read(name, text)
				for _, p := range problems {
					path := ""
					for _, e := range entries {
						if e.at.Line < p.Pos.Line || e.at.Line == p.Pos.Line && e.at.Column <= p.Pos.Column {
							path = e.path
						}
					}
					if strings.HasPrefix(p.What, "the file has no ") {
						path = ""
					}
					if p.Warning {
						continue
					}
					anyway[path] = true
					if reason := semanticReason(p); reason != "" {
						reasons[path] = append(reasons[path], reason)
						continue
					}
					byReader[path] = append(byReader[path], p.String())
				}
				bySchema := refusedBySchema(s, root)
				if byReader[""] == nil && slices.ContainsFunc(problems,
					func(p circuits.Problem) bool { return strings.Contains(p.What, "in a circuit file") }) {
					delete(bySchema, "") // a misspelt key is missing as well
				}
				for path, of := range reasons {
					for _, reason := range of {
						used[reason] = used[reason] || !bySchema[path]
					}
				}
				for path := range byReader {
					assert.True(t, bySchema[path], "the reader alone refuses %s: %v", path, byReader[path])
				}
				for path := range bySchema {
					assert.True(t, anyway[path], "the schema alone refuses %s", path)
				}
			})
		}
	}
	for _, s := range semantic {
		assert.True(t, used[s.reason], "no file shows this difference any more: %s", s.reason)
	}
}

// The schema is a schema.
func TestSchemaIsDraft7(t *testing.T) {
	var doc map[string]any
	require.NoError(t, json.Unmarshal(Schema(), &doc))
	assert.Equal(t, "http://json-schema.org/draft-07/schema#", doc["$schema"])
	for _, row := range circuits.Types {
		assert.Contains(t, string(Schema()), `"const": "`+row.Name+`"`)
	}
	require.NotNil(t, compiledSchema(t))
}

// An editor shows what every key of every type means, and what is taken where it is left out.
func TestSchemaTells(t *testing.T) {
	var doc struct {
		Definitions struct {
			Device struct {
				AllOf []struct {
					Then struct {
						Description string
						Properties  map[string]struct {
							Description string
							Default     any
						}
					}
				}
			}
		}
	}
	require.NoError(t, json.Unmarshal(Schema(), &doc))
	require.Len(t, doc.Definitions.Device.AllOf, len(circuits.Types))
	for i, row := range circuits.Types {
		then := doc.Definitions.Device.AllOf[i].Then
		assert.Contains(t, then.Description, row.Called(), row.Name)
		for _, key := range slices.Concat(circuits.EveryKeys[1:], row.Keys) {
			assert.NotEmpty(t, then.Properties[key].Description, "%s of %s", key, row.Name)
		}
		assert.Equal(t, usualPlace, then.Properties["place"].Default, row.Name)
	}
}
