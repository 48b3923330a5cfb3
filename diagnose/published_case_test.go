package diagnose_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// published is what an outside source says of a circuit, as testdata/published/README.md
// describes it.
type published struct {
	Key       string       `yaml:"key"`
	Source    string       `yaml:"source"`
	Follows   string       `yaml:"follows"`
	Trust     string       `yaml:"trust"`
	Note      string       `yaml:"note"`
	Operation string       `yaml:"operation"`
	Cases     []faultCase  `yaml:"cases"`
	Logs      []loggedCase `yaml:"logs"`
	Splits    []splitCase  `yaml:"splits"`
}

// faultCase is what the circuit does, good or with one fault.
type faultCase struct {
	Name     string                       `yaml:"name"`
	Own      bool                         `yaml:"own"`
	Effect   *effect                      `yaml:"effect"`
	Looks    map[string]map[string]string `yaml:"looks"` // step, device: on or off
	Blown    map[string][]string          `yaml:"blown"` // step: devices
	Readings []answered                   `yaml:"readings"`
}

// loggedCase is what a log leaves possible.
type loggedCase struct {
	Name          string            `yaml:"name"`
	Own           bool              `yaml:"own"`
	Log           []answered        `yaml:"log"`
	StillPossible []effect          `yaml:"still-possible"`
	RuledOut      []effect          `yaml:"ruled-out"`
	Status        []diagnose.Status `yaml:"status"`
}

// splitCase is which check tells most after a log.
type splitCase struct {
	Name   string     `yaml:"name"`
	Own    bool       `yaml:"own"`
	After  []answered `yaml:"after"`
	Best   *answered  `yaml:"best"`
	Among  []answered `yaml:"among"`
	Wasted []answered `yaml:"wasted"`
}

// effect is a fault in the form that other programs rely on.
type effect struct{ faultmodel.Effect }

// UnmarshalYAML takes the JSON form, which is YAML as well.
func (e *effect) UnmarshalYAML(n *yaml.Node) error { return throughJSON(n, &e.Effect) }

// answered is a check, with its answer where it has one.
type answered struct {
	log.Check
	Saw    string   `json:"saw"`
	Read   any      `json:"read"` // a number, or OL
	Within *float64 `json:"within"`
	Firm   *bool    `json:"firm"`
	line   []byte   // of a log, as it was written
}

// UnmarshalYAML takes the JSON form, which is YAML as well.
func (a *answered) UnmarshalYAML(n *yaml.Node) error {
	type plain answered
	if err := throughJSON(n, (*plain)(a)); err != nil {
		return err
	}
	a.line, _ = jsonOf(n)
	return nil
}

func jsonOf(n *yaml.Node) ([]byte, error) {
	var value any
	if err := n.Decode(&value); err != nil {
		return nil, err
	}
	return json.Marshal(value)
}

// throughJSON decodes a YAML node as the JSON that it stands for; unknown keys are
// errors.
func throughJSON(n *yaml.Node, into any) error {
	text, err := jsonOf(n)
	if err != nil {
		return err
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(into); err != nil {
		return fmt.Errorf("line %d: %s: %w", n.Line, text, err)
	}
	return nil
}

// readPublished reads the text of a NAME.check.yaml. The error says what is missing or
// unknown.
func readPublished(text []byte) (published, error) {
	var p published
	dec := yaml.NewDecoder(bytes.NewReader(text))
	dec.KnownFields(true)
	if err := dec.Decode(&p); err != nil {
		return p, err
	}
	if err := dec.Decode(new(yaml.Node)); !errors.Is(err, io.EOF) {
		return p, errors.New("there is more than one document")
	}
	switch {
	case p.Key == "" || p.Source == "" || p.Trust == "":
		return p, errors.New("key, source and trust are needed")
	case p.Key == "own" && p.Follows == "":
		return p, errors.New("a case of our own needs follows, the rules that it follows from")
	case p.Operation != "holds":
		return p, fmt.Errorf("operation is %q; it can only be holds", p.Operation)
	case len(p.Cases)+len(p.Logs)+len(p.Splits) == 0:
		return p, errors.New("there is nothing to hold the circuit against")
	}
	for _, c := range p.Cases {
		if len(c.Looks)+len(c.Blown)+len(c.Readings) == 0 {
			return p, fmt.Errorf("case %q says nothing", c.Name)
		}
		for _, r := range c.Readings {
			if unfirm := r.Firm != nil && !*r.Firm; (r.Read == nil) != unfirm {
				return p, fmt.Errorf("case %q: %s needs either read or \"firm\":false", c.Name, r.line)
			}
		}
	}
	for _, l := range p.Logs {
		if len(l.Log) == 0 || len(l.StillPossible)+len(l.RuledOut)+len(l.Status) == 0 {
			return p, fmt.Errorf("log %q says nothing", l.Name)
		}
	}
	for _, s := range p.Splits {
		if len(s.After) == 0 || s.Best == nil && len(s.Wasted) == 0 || (s.Best == nil) != (len(s.Among) == 0) {
			return p, fmt.Errorf("split %q needs after, and best with among, or wasted", s.Name)
		}
	}
	return p, nil
}

const publishedDir = "../testdata/published"

// publishedNames lists the cases by the stems of their files. Every circuit has its
// answers and every answer its circuit.
func publishedNames() ([]string, error) {
	const check = ".check.yaml"
	files, err := filepath.Glob(filepath.Join(publishedDir, "*.yaml"))
	if err != nil {
		return nil, err
	}
	var names, checks []string
	for _, f := range files {
		if base := filepath.Base(f); strings.HasSuffix(base, check) {
			checks = append(checks, strings.TrimSuffix(base, check))
		} else {
			names = append(names, strings.TrimSuffix(base, ".yaml"))
		}
	}
	slices.Sort(names)
	slices.Sort(checks)
	if !slices.Equal(names, checks) {
		return nil, fmt.Errorf("circuits %q and answers %q do not go together", names, checks)
	}
	return names, nil
}

// headComment gives the first comment of a circuit file as one line.
func headComment(text []byte) string {
	var words []string
	for line := range strings.Lines(string(text)) {
		rest, ok := strings.CutPrefix(line, "#")
		if !ok {
			break
		}
		words = append(words, strings.Fields(rest)...)
	}
	return strings.Join(words, " ")
}

// openPublished reads a case: its circuit, and what is said of it.
func openPublished(name string) (circuit []byte, said published, err error) {
	file := filepath.Join(publishedDir, name)
	if circuit, err = os.ReadFile(file + ".yaml"); err != nil {
		return nil, said, err
	}
	answers, err := os.ReadFile(file + ".check.yaml")
	if err != nil {
		return nil, said, err
	}
	if said, err = readPublished(answers); err != nil {
		return nil, said, fmt.Errorf("%s.check.yaml: %w", name, err)
	}
	return circuit, said, nil
}
