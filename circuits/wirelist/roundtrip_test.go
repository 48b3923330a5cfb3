package wirelist

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/generate"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

// texts are the circuit files whose wire lists go round.
func texts(t *testing.T) map[string][]byte {
	t.Helper()
	all := map[string][]byte{"regular panel": []byte(generate.Rungs(30))}
	for _, name := range circuits.Builtin() {
		all[name], _ = circuits.BuiltinText(name)
	}
	for seed := range uint64(40) {
		all[fmt.Sprint("random ", seed)] = []byte(generate.Panel(seed, generate.Options{Rungs: 2 + int(seed)%8}))
	}
	files, err := filepath.Glob("../../testdata/published/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		if !strings.HasSuffix(f, ".check.yaml") {
			all[f], err = os.ReadFile(f)
			require.NoError(t, err)
		}
	}
	return all
}

func readText(t *testing.T, name string, text []byte) *circuits.Circuit {
	t.Helper()
	c, problems := read.Read(name, text)
	require.NoError(t, problems.Err(), "%s\n%s", name, text)
	return c
}

// wiresOf are the wires of a circuit, number by number in the order of the file.
func wiresOf(c *circuits.Circuit) []string {
	var out []string
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			out = append(out, fmt.Sprintf("%s: %s %s", n.Name, w.From, w.To))
		}
	}
	return out
}

func csvOf(t *testing.T, c *circuits.Circuit) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Of(drawing.New(c)).WriteCSV(&b))
	return b.Bytes()
}

// The wire list holds every wire and every bridge once.
func TestListIsWhole(t *testing.T) {
	for name, text := range texts(t) {
		c := readText(t, name, text)
		var listed []string
		bridges := 0
		for _, l := range Of(drawing.New(c)).Lines {
			if l.Bridge {
				bridges++
				continue
			}
			listed = append(listed, fmt.Sprintf("%s: %s %s", l.Number, l.From.Terminal, l.To.Terminal))
		}
		assert.ElementsMatch(t, wiresOf(c), listed, name)
		for _, d := range c.Devices {
			bridges -= len(d.Bridges)
		}
		assert.Zero(t, bridges, name)
	}
}

// Put back into the file it came from, a list changes nothing: the same wires, in the same
// order and direction, and every device, step and place as it was.
func TestRoundTripIntoTheFile(t *testing.T) {
	for name, text := range texts(t) {
		c := readText(t, name, text)
		rows, problems := ReadCSV("list.csv", csvOf(t, c), nil)
		require.NoError(t, problems.Err(), name)
		joined, err := JoinTo(name, text, rows)
		require.NoError(t, err, name)
		again := readText(t, name, joined)
		assert.Equal(t, wiresOf(c), wiresOf(again), name)
		assert.Equal(t, csvOf(t, c), csvOf(t, again), name)
		require.Len(t, again.Devices, len(c.Devices))
		for i, d := range c.Devices {
			was, is := *d, *again.Devices[i]
			was.At, is.At = circuits.Pos{}, circuits.Pos{}
			was.Contacts, is.Contacts = slices.Clone(was.Contacts), slices.Clone(is.Contacts)
			for k := range was.Contacts {
				was.Contacts[k].At, is.Contacts[k].At = circuits.Pos{}, circuits.Pos{}
			}
			assert.Equal(t, was, is, name)
		}
		assert.Len(t, again.Steps, len(c.Steps), name)
	}
}

// otherwise are contacts that their numbers tell wrongly, with the reason.
var otherwise = map[string]string{
	"../../testdata/published/s15-no-timed-closed.yaml TD1:55-56": "its source draws a NO contact without numbers; 55-56 is NC by EN 50005",
	"../../testdata/published/s15-no-timed-open.yaml TD1:55-56":   "its source draws a NO contact without numbers; 55-56 is NC by EN 50005",
}

// Made into a file of its own, a list keeps the wires in their order, the bridges, and of
// each device that has a wire its designation, its type and its place; and each contact with
// wires on both sides keeps its terminals and its form, but for what is asked.
func TestRoundTripIntoANewFile(t *testing.T) {
	for name, text := range texts(t) {
		c := readText(t, name, text)
		rows, problems := ReadCSV("list.csv", csvOf(t, c), nil)
		require.NoError(t, problems.Err(), name)
		draft, err := Guess("list.csv", rows, nil, nil)
		require.NoError(t, err, name)
		var b bytes.Buffer
		require.NoError(t, draft.Write(&b, c.Title))
		again := readText(t, name, b.Bytes())
		assert.Equal(t, c.Title, again.Title)
		assert.Equal(t, wiresOf(c), wiresOf(again), name)
		asked := make(map[string]bool)
		for _, q := range draft.Questions {
			asked[q.ID] = true
		}
		p := work.Assemble(c)
		for _, d := range c.Devices {
			wired := slices.ContainsFunc(d.Terminals, func(n string) bool { return p.Wired(d.Terminal(n)) })
			is := again.Device(d.Name)
			if !wired {
				continue
			}
			require.NotNil(t, is, "%s %s", name, d.Name)
			assert.Equal(t, d.Type, is.Type, "%s %s", name, d.Name)
			assert.Equal(t, d.Place, is.Place, "%s %s", name, d.Name)
			assert.Equal(t, d.Bridges, is.Bridges, "%s %s", name, d.Name)
			for _, k := range d.Contacts {
				if !p.Wired(d.Terminal(k.A)) || !p.Wired(d.Terminal(k.B)) || asked[d.Name+"."+k.A+"-"+k.B] ||
					asked[d.Name+".contacts"] || k.Form == circuits.InPositions {
					continue
				}
				contact := fmt.Sprintf("%s %s:%s-%s", name, d.Name, k.A, k.B)
				same := slices.ContainsFunc(is.Contacts, func(x circuits.Contact) bool {
					return (x.A == k.A && x.B == k.B || x.A == k.B && x.B == k.A) && x.Form == k.Form
				})
				assert.Equal(t, otherwise[contact] == "", same, contact)
			}
		}
	}
}

// Without the columns that tell types, every device of the built-in circuits is taken for
// what it is by its letters and terminals, or asked for with what it is among the choices.
func TestDevicesByTheirLooks(t *testing.T) {
	right, asked := 0, 0
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		c := readText(t, name, text)
		rows, problems := ReadCSV("list.csv", csvOf(t, c), nil)
		require.NoError(t, problems.Err())
		for i := range rows {
			rows[i].FromType, rows[i].ToType, rows[i].FromPlace, rows[i].ToPlace = "", "", "", ""
		}
		draft, err := Guess("list.csv", rows, nil, nil)
		require.NoError(t, err)
		for _, d := range draft.Devices {
			require.NotNil(t, c.Device(d.Name), "%s: %s", name, d.Name)
			want := c.Device(d.Name).Type.Name
			if i := slices.IndexFunc(draft.Questions,
				func(q Question) bool { return q.ID == d.Name+".type" }); i >= 0 {
				asked++
				assert.Contains(t, draft.Questions[i].Choices, want, "%s %s", name, d.Name)
				continue
			}
			right++
			assert.Equal(t, want, d.Type, "%s %s", name, d.Name)
		}
	}
	t.Logf("%d devices told, %d asked", right, asked)
	assert.Greater(t, right, 5*asked)
}
