package sketch

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

const small = `circuit: Small
devices:
  PWS1: {type: supply, volts: 120}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]} # start
  H1: {type: lamp}

# as drawn
rungs:
  - feed: [PWS1]
  - {title: "start, and stop", rung: [PB1, H1]} # by hand

operation:
  - step: pressed
    set: {PB1: pressed}
    expect: {H1: on}
`

// A change writes the rung and the device that it needs, and leaves every other line as it was.
func TestChange(t *testing.T) {
	for _, c := range []struct {
		edit         Edit
		rung, device string
	}{
		{Edit{Before, 1, []int{0}, "new push-button nc"}, `  - {title: 'start, and stop', rung: [PB2, PB1, H1]} # by hand`,
			"  PB2: {type: push-button, contacts: [{nc: [11, 12]}]}"},
		{Edit{After, 1, []int{0}, "new fuse"}, `  - {title: 'start, and stop', rung: [PB1, FU1, H1]} # by hand`, "  FU1: {type: fuse}"},
		{Edit{Beside, 1, []int{0}, "PB1 no"}, `  - {title: 'start, and stop', rung: [{parallel: [PB1, PB1 no]}, H1]} # by hand`, ""},
		{Edit{Away, 1, []int{0}, ""}, `  - {title: 'start, and stop', rung: [H1]} # by hand`, ""},
		{Edit{After, 0, []int{0}, "new fuse"}, `  - feed: [PWS1, FU1]`, "  FU1: {type: fuse}"},
		{Edit{Below, 1, nil, "new lamp"}, `  - [LT1]`, "  LT1: {type: lamp}"},
	} {
		got, err := Change([]byte(small), c.edit)
		require.NoError(t, err)
		was := make(map[string]bool)
		for line := range strings.Lines(small) {
			was[strings.TrimRight(line, "\n")] = true
		}
		var changed []string
		for line := range strings.Lines(string(got)) {
			if line = strings.TrimRight(line, "\n"); !was[line] {
				changed = append(changed, line)
			}
		}
		want := []string{c.device, c.rung}
		if c.device == "" {
			want = want[1:]
		}
		assert.Equal(t, want, changed, "%+v", c.edit)
	}
}

// A circuit that is sketched from one lamp on does what its file expects.
func TestSketchedCircuitWorks(t *testing.T) {
	text := []byte(small)
	for _, e := range []Edit{
		{Before, 1, []int{0}, "new push-button nc"},
		{After, 1, []int{1}, "new fuse"},
		{Beside, 1, []int{1}, "new limit-switch"},
	} {
		var err error
		text, err = Change(text, e)
		require.NoError(t, err)
	}
	c, problems := read.Read("small.yaml", text)
	require.NoError(t, problems.Err(), "%s", text)
	assert.Empty(t, work.Assemble(c).Verify(text))
}

// Every device type can be sketched, or it is said why not.
func TestEveryTypeIsSketched(t *testing.T) {
	rows := make(map[string]bool)
	for _, p := range fresh {
		rows[p.kind] = true
	}
	for _, row := range circuits.Types {
		assert.NotEqual(t, rows[row.Name], unsketched[row.Name] != "", "%s has a row of fresh, or a reason of unsketched", row.Name)
	}
	for name := range unsketched {
		assert.NotNil(t, circuits.TypeNamed(name), name)
	}
}

// What is new reads as it stands in a rung: coils and loads alone, the rest before a lamp. What else
// can be put in of it then reads as well, each on a rung of its own.
func TestNewPartsRead(t *testing.T) {
	const dc = "circuit: Small\ndevices:\n  G1: {type: supply, current: dc, volts: 24}\n  LT1: {type: lamp}\n  PB9: {type: push-button, contacts: [{no: [1, 2]}]}\nrungs:\n  - {feed: [G1]}\n" +
		"  - [PB9, LT1]\noperation:\n  - step: at rest\n"
	for _, p := range fresh {
		row := circuits.TypeNamed(p.kind)
		put := Edit{Below, 1, nil, p.word}
		if row.Kind != circuits.RelayKind && row.Kind != circuits.LoadKind || row.Loads[0].Curve == circuits.CurrentCurve {
			put = Edit{Before, 1, []int{0}, p.word}
		}
		if row.Kind == circuits.BlockKind {
			put.Path = []int{1} // a rung that begins with a terminal begins there
		}
		text, err := Change([]byte(dc), put)
		require.NoError(t, err)
		_, problems := read.Read("small.yaml", text)
		require.NoError(t, problems.Err(), "%s", text)

		was, err := Read([]byte(dc))
		require.NoError(t, err)
		now, err := Read(text)
		require.NoError(t, err)
		for _, more := range now.Parts {
			in := func(r Rung) bool { return r.Line[0].Text == more.Word }
			if slices.Contains(was.Parts, more) || slices.ContainsFunc(now.Rungs, in) || !strings.Contains(more.Word, ":") ||
				row.Kind == circuits.BlockKind || row.Kind == circuits.ConnectorKind { // which alone are no rung
				continue
			}
			put, text := Edit{Below, 1, nil, more.Word}, text
			if strings.HasSuffix(more.Word, ":A1-L+") { // the line hangs behind it
				put.Where, put.Path = Before, []int{0}
				text, err = Change(text, Edit{Away, 1, []int{0}, ""})
				require.NoError(t, err)
			}
			rung, err := Change(text, put)
			require.NoError(t, err)
			_, problems := read.Read("small.yaml", rung)
			require.NoError(t, problems.Err(), "%s", rung)
		}
	}
}

// Whatever is put in and taken out again, at every item of the built-in rungs, leaves the ladder
// as it was, and a text that can be read on.
func TestChangesCanBeTakenBack(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	tried := 0
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		was, err := Read(text)
		if err != nil {
			continue // it is not drawn as rungs
		}
		for r := range was.Rungs {
			for _, path := range paths(was.Rungs[r].Line, nil) {
				tried++
				part := was.Parts[random.IntN(len(was.Parts))]
				for _, where := range []Where{Before, After, Beside} {
					got, err := Change(text, Edit{where, r, path, part.Word})
					require.NoError(t, err, "%s %d %v", name, r, path)
					now, err := Read(got)
					require.NoError(t, err, "%s", got)
					at := append([]int{}, path...)
					switch last := len(at) - 1; {
					case where == After:
						at[last]++
					case where == Beside && last >= 2 && len(itemAt(was.Rungs[r].Line, path[:last-1]).Branches[path[last-1]]) == 1:
						at[last-1]++
					case where == Beside && itemAt(was.Rungs[r].Line, path).Branches != nil:
						at = append(at, len(itemAt(was.Rungs[r].Line, path).Branches), 0)
					case where == Beside:
						at = append(at, 1, 0)
					}
					assert.NotEmpty(t, itemAt(now.Rungs[r].Line, at).Text, "%s %d %v %s", name, r, path, where)
					back, err := Change(got, Edit{Away, r, at, ""})
					require.NoError(t, err)
					again, err := Read(back)
					require.NoError(t, err)
					for i := range was.Rungs {
						assert.Equal(t, was.Rungs[i].Line, again.Rungs[i].Line, "%s %d %v %s", name, r, path, where)
					}
				}
			}
		}
	}
	assert.Greater(t, tried, 20)
}

func paths(line []Item, to []int) (all [][]int) {
	for i, it := range line {
		at := append(append([]int{}, to...), i)
		all = append(all, at)
		for b := range it.Branches {
			all = append(all, paths(it.Branches[b], append(append([]int{}, at...), b))...)
		}
	}
	return all
}

func itemAt(line []Item, path []int) Item {
	if it := line[path[0]]; len(path) > 1 {
		return itemAt(it.Branches[path[1]], path[2:])
	}
	return line[path[0]]
}

func FuzzChange(f *testing.F) {
	f.Add([]byte(small), "before", 1, 0, 0, 0, "new lamp")
	f.Fuzz(func(t *testing.T, text []byte, where string, rung, a, b, c int, part string) {
		for _, path := range [][]int{nil, {a}, {a, b}, {a, b, c}} {
			if got, err := Change(text, Edit{Where(where), rung, path, part}); err == nil {
				_, err = Read(got)
				require.NoError(t, err, "%s", got)
			}
		}
	})
}
