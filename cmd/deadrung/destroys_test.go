package main

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// reading is a way to call a command that reads files: all of inputs.
type reading struct {
	args   string
	typed  string
	inputs string
}

// readers are the commands that write files, each with every input that it takes. Words of the
// arguments that name a file in inputs are paths of a folder that the test makes.
var readers = map[string][]reading{
	"find": {
		{"panel.yaml --log log.jsonl", "stop\n", "panel.yaml log.jsonl"},
		{"panel.yaml --simulate any --seed 1 --json --rules rules.yaml", "", "panel.yaml rules.yaml"},
	},
	"next": {{"panel.yaml --log log.jsonl --rules rules.yaml", "", "panel.yaml log.jsonl rules.yaml"}},
	"chart": {{"panel.yaml --cut 5%", "", "panel.yaml"},
		{"panel.yaml --html --cut 5% --rules rules.yaml", "", "panel.yaml rules.yaml"}},
	"practice": {{"panel.yaml --seed 1 --json --scores scores.jsonl", "stop\n", "panel.yaml scores.jsonl"}, {"--history --scores scores.jsonl", "", "scores.jsonl"}, {"panel.yaml --seed 1 --json --log practice.jsonl --scores none --rules rules.yaml", "stop\n", "panel.yaml practice.jsonl rules.yaml"},
		{"--lesson list --lessons course.yaml --class scores.jsonl", "", "course.yaml scores.jsonl"},
		{"panel.yaml --wiring --plan wires.csv --json", "", "panel.yaml wires.csv"}},
	"exam set": {{"panel.yaml --class class.csv --passphrase-file pass.txt --work-factor 1 --seed 1 --dir other", "", "panel.yaml class.csv pass.txt"}},
	"exam key": {{"ex --passphrase-file pass.txt", "", "pass.txt " + inFolder}, {"ex --passphrase-file pass.txt --html", "", "pass.txt " + inFolder}},
	"exam cards": {{"bench --passphrase-file pass.txt", "", "pass.txt bench/exam.json bench/key.age bench/packets/001-ada.packet"},
		{"bench --passphrase-file pass.txt --html", "", "pass.txt bench/exam.json bench/key.age"}},
	"exam mark": {{"ex --passphrase-file pass.txt --weights weights.yaml --marks none", "",
		"pass.txt weights.yaml " + inFolder + " ex/answers/notes.txt"}},
	"exam weights": {{"", "", ""}},
	"exam sit":     {{"ex/packets/001-ada.packet --json --answers sat", "stop\n", "ex/packets/001-ada.packet"}},
	"faults":       {{"panel.yaml", "", "panel.yaml"}, {"panel.yaml --weights", "", "panel.yaml"}},
	"readings":     {{"panel.yaml", "", "panel.yaml"}, {"panel.yaml --assumptions", "", "panel.yaml"}},
	"measure":      {{"panel.yaml --read H1=150", "", "panel.yaml"}},
	"operate":      {{"panel.yaml", "", "panel.yaml"}},
	"verify":       {{"panel.yaml", "", "panel.yaml"}},
	"wire": {{"rungs.yaml --keep old.yaml", "", "rungs.yaml old.yaml"},
		{"rungs.yaml --json", "", "rungs.yaml"}},
	"import": {{"wires.csv", "", "wires.csv"},
		{"wires.csv --join panel.yaml", "", "wires.csv panel.yaml"},
		{"wires.csv --devices devices.csv", "", "wires.csv devices.csv"}, {"--practice", "", ""}},
	"wirelist": {{"panel.yaml", "", "panel.yaml"}, {"panel.yaml --csv", "", "panel.yaml"}, {"panel.yaml --check-out --rules rules.yaml", "", "panel.yaml rules.yaml"},
		{"panel.yaml --check-out --agreed 1", "", "panel.yaml"}},
	"draw": {{"panel.yaml", "", "panel.yaml"}, {"panel.yaml --svg", "", "panel.yaml"}, {"panel.yaml --pdf", "", "panel.yaml"}, {"panel.yaml --dxf", "", "panel.yaml"},
		{"panel.yaml --json", "", "panel.yaml"}},
	"page":          {{"panel.yaml", "", "panel.yaml"}},
	"testability":   {{"panel.yaml --effort 0 --rules rules.yaml", "", "panel.yaml rules.yaml"}},
	"circuits":      {{"", "", ""}, {"--schema", "", ""}},
	"circuits show": {{"two-lamp", "", ""}},
}

// inFolder are the files of the exam that nobody could make again.
const inFolder = "ex/exam.json ex/key.age ex/packets/001-ada.packet ex/packets/002-bo.packet"

// inputFlags are the flags whose values name files that a command reads and does not write; a
// name behind a command is of that command alone. Each has a row in readers.
var inputFlags = []string{"passphrase-file", "class", "devices", "keep", "join", "exam mark weights", "rules", "next log", "lessons", "plan"}

// folderFlags are those whose values name folders, which have tests of their own.
var folderFlags = []string{"exam set dir", "exam sit answers", "exam mark answers", "exam mark marks", "folder output",
	"manual output"}

// followedFlags are those whose files are read again and again until Ctrl-C, which have tests of
// their own.
var followedFlags = []string{"draw follow", "practice watch"}

// wordFlags are those whose values are words, and name no file.
var wordFlags = []string{"age", "answer", "by", "check", "coach", "complaint", "cut", "device", "difficulty", "drill",
	"diode", "explain-fault", "fault", "form", "kind", "leads", "lesson", "lifted", "list", "listen", "map", "netlist", "ohms", "out-of-reach", "paper", "published",
	"read", "server", "simulate", "step", "title", "until", "volts", "wire", "wrong"}

// among tells whether a flag of a command is in a list.
func among(list []string, command string, f *pflag.Flag) bool {
	return slices.Contains(list, f.Name) || slices.Contains(list, command+" "+f.Name)
}

// No command destroys what it has read: an output that is an input of the same command, by any
// path, by a link of either kind, is refused, and every file is as it was. Every command that
// writes a file is tried, with every output and every input that it takes.
func TestNoOutputDestroysAnInput(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	t.Setenv("XDG_DATA_HOME", filepath.Join(dir, "data"))
	makeInputs(t)
	tried := 0
	seen := make(map[string]bool)
	eachCommand(func(c *cobra.Command) {
		name := strings.TrimPrefix(c.CommandPath(), "deadrung ")
		var outputs []*pflag.Flag
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if _, ok := f.Annotations[writtenMark]; ok {
				outputs = append(outputs, f)
			}
		})
		if len(outputs) == 0 {
			return
		}
		seen[name] = true
		ways, ok := readers[name]
		require.True(t, ok, "%q writes a file and no row says what it reads", name)
		for _, way := range ways {
			for _, f := range outputs {
				if strings.Contains(way.args, "--"+f.Name+" ") {
					continue // it is one of the inputs
				}
				for _, input := range strings.Fields(way.inputs) {
					for _, path := range otherNames(t, input) {
						tried++
						args := append(append(strings.Fields(name), strings.Fields(way.args)...), "--"+f.Name, path)
						before := everyFile(t)
						var out, errs bytes.Buffer
						status := run(args, streams{in: strings.NewReader(way.typed), out: &out, err: &errs})
						if f.Name == "log" || f.Name == "scores" { // which are read first, and complain
							assert.Contains(t, []int{exitUsage, exitInput}, status, "%v\n%s", args, &errs)
						} else {
							assert.Equal(t, exitUsage, status, "%v\n%s", args, &errs)
						}
						assert.Equal(t, before, everyFile(t), "%v", args)
					}
				}
			}
		}
	})
	for name := range readers {
		assert.True(t, seen[name], "there is no %q that writes a file", name)
	}
	assert.Greater(t, tried, 200)
	t.Logf("%d calls", tried)
}

// The calls themselves are right: with another file they do their work.
func TestOutputsBesideInputs(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	t.Setenv("XDG_DATA_HOME", filepath.Join(dir, "data"))
	makeInputs(t)
	for name, ways := range readers {
		for i, way := range ways {
			before := everyFile(t)
			args := append(append(strings.Fields(name), strings.Fields(way.args)...), "-o", "new.out")
			if name == "find" && i == 0 {
				args[len(args)-2] = "--report"
			}
			if strings.Contains(way.args, "--agreed") {
				args = append(args, "--log", "new.log")
			}
			var out, errs bytes.Buffer
			status := run(args, streams{in: strings.NewReader(way.typed), out: &out, err: &errs})
			if name == "import" { // what is not told stays to be put right
				assert.NotEqual(t, exitUsage, status, "%v\n%s", args, &errs)
			} else {
				assert.Equal(t, exitDone, status, "%v\n%s", args, &errs)
			}
			if !strings.Contains(way.args, "--agreed") {
				assert.FileExists(t, "new.out", "%v", args)
			}
			for path, text := range everyFile(t) {
				if old, ok := before[path]; ok && !strings.Contains(path, ".jsonl") {
					assert.Equal(t, old, text, "%v: %s", args, path)
				}
				assert.NotContains(t, path, ".tmp")
			}
			require.NoError(t, os.RemoveAll("new.out"))
			require.NoError(t, os.RemoveAll("other"))
		}
	}
}

// Every flag with a text is known as one that is written, read, a folder or a word, and only as
// one of them; a command that writes files is tried with every flag that it reads.
func TestFlagsOfFilesAreKnown(t *testing.T) {
	eachCommand(func(c *cobra.Command) {
		name := strings.TrimPrefix(c.CommandPath(), "deadrung ")
		writes := false
		var reads []string
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if !strings.HasPrefix(f.Value.Type(), "string") {
				return
			}
			_, isWritten := f.Annotations[writtenMark]
			kinds := 0
			for _, is := range []bool{isWritten, among(inputFlags, name, f), among(folderFlags, name, f), among(followedFlags, name, f), among(wordFlags, name, f)} {
				if is {
					kinds++
				}
			}
			assert.Equal(t, 1, kinds, "%s --%s: %s", name, f.Name, f.Usage)
			writes = writes || isWritten
			if among(inputFlags, name, f) {
				reads = append(reads, "--"+f.Name)
			}
		})
		if !writes {
			return
		}
		for _, flag := range reads {
			assert.True(t, slices.ContainsFunc(readers[name], func(way reading) bool { return strings.Contains(way.args, flag) }),
				"%s: no row reads %s", name, flag)
		}
	})
}

// A folder never replaces the circuit that it is made of.
func TestFolderKeepsItsCircuit(t *testing.T) {
	t.Chdir(t.TempDir())
	text, err := builtinText("two-lamp")
	require.NoError(t, err)
	for _, name := range []string{"index.html", "drawing.html"} {
		require.NoError(t, os.MkdirAll("door", 0o755))
		require.NoError(t, os.WriteFile("panel.yaml", text, 0o644))
		require.NoError(t, os.Link("panel.yaml", filepath.Join("door", name)))
		before := everyFile(t)
		status, _, errs := runOn(t, "folder", "panel.yaml", "-o", "door", "--into", "--cut", "5%")
		assert.Equal(t, exitUsage, status, errs)
		assert.Equal(t, before, everyFile(t))
		require.NoError(t, os.RemoveAll("door"))
	}
	status, _, errs := runOn(t, "folder", "panel.yaml", "-o", "door", "--cut", "5%")
	require.Equal(t, exitDone, status, errs)
	status, _, errs = runOn(t, "folder", "door/circuit.yaml", "-o", "door", "--cut", "5%")
	require.Equal(t, exitDone, status, "a folder is renewed from its own copy: %s", errs)
	kept, err := os.ReadFile("door/circuit.yaml")
	require.NoError(t, err)
	assert.Equal(t, string(text), string(kept))
}

// The marks never replace what they are made of, nor the result of -o the exam that was just
// set.
func TestExamKeepsItsFiles(t *testing.T) {
	t.Chdir(t.TempDir())
	makeInputs(t)
	require.NoError(t, os.Rename("weights.yaml", "ex/answers/class.csv"))
	for _, args := range [][]string{
		{"exam", "mark", "ex", "--passphrase-file", "pass.txt", "--weights", "ex/answers/class.csv", "--marks", "ex/answers"},
		{"exam", "mark", "ex", "--passphrase-file", "pass.txt", "--marks", "ex/answers"},
		{"exam", "set", "panel.yaml", "--count", "2", "--passphrase-file", "pass.txt", "--work-factor", "1", "--dir", "new", "-o", "new/key.age"},
		{"circuits", "copy", "two-lamp", "panel.yaml"},
	} {
		before := everyFile(t)
		status, _, errs := runOn(t, args...)
		assert.NotEqual(t, exitDone, status, "%v %s", args, errs)
		assert.Equal(t, before, everyFile(t), "%v", args)
	}
}

// eachCommand visits every command that there is.
func eachCommand(visit func(*cobra.Command)) {
	var all func(c *cobra.Command)
	all = func(c *cobra.Command) {
		visit(c)
		for _, sub := range c.Commands() {
			all(sub)
		}
	}
	all(newRoot(streams{in: strings.NewReader(""), out: &bytes.Buffer{}, err: &bytes.Buffer{}}))
}

// makeInputs makes every file that a row of readers names, in the folder that is current.
func makeInputs(t *testing.T) {
	t.Helper()
	write := func(name, text string) {
		require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o755))
		require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	}
	for name, circuit := range map[string]string{"panel.yaml": "two-lamp", "rungs.yaml": "start-stop"} {
		text, err := builtinText(circuit)
		require.NoError(t, err)
		write(name, string(text))
	}
	write("log.jsonl", `{"circuit":"Car-wash bay lights","deadrung":1}`+"\n")
	write("rules.yaml", "no-live: true\n")
	write("course.yaml", "lessons: [{name: one, title: One, circuit: panel.yaml, teaches: Look., faults: [open-H1]}]\n")
	write("class.csv", "name\nAda\nBo\n")
	write("pass.txt", "a passphrase for the test\n")
	for _, args := range [][]string{
		{"wire", "rungs.yaml", "-o", "old.yaml"},
		{"wirelist", "panel.yaml", "--csv", "-o", "wires.csv"},
		{"wirelist", "panel.yaml", "--list", "devices", "-o", "devices.csv"},
		{"exam", "weights", "-o", "weights.yaml"},
		{"exam", "set", "panel.yaml", "--class", "class.csv", "--passphrase-file", "pass.txt", "--work-factor", "1", "--seed", "1", "--dir", "ex"},
		{"exam", "set", "panel.yaml", "--class", "class.csv", "--passphrase-file", "pass.txt", "--work-factor", "1", "--seed", "1", "--dir", "bench", "--form", "bench"},
	} {
		status, _, errs := runOn(t, args...)
		require.Equal(t, exitDone, status, "%v %s", args, errs)
	}
	write("ex/answers/notes.txt", "no answer log\n")
	write("scores.jsonl", "")
	var out, errs bytes.Buffer
	require.Equal(t, exitDone,
		run(strings.Fields("practice panel.yaml --seed 1 --scores none --log practice.jsonl"),
			streams{in: strings.NewReader("stop\n"), out: &out, err: &errs}), errs.String())
}

// otherNames are paths that lead to a file: as it is named, in full, by a symbolic link, by a
// hard link.
func otherNames(t *testing.T, name string) []string {
	t.Helper()
	whole, err := filepath.Abs(name)
	require.NoError(t, err)
	soft, hard := "soft.link", "hard.link"
	require.NoError(t, os.RemoveAll(soft))
	require.NoError(t, os.RemoveAll(hard))
	require.NoError(t, os.Symlink(whole, soft))
	require.NoError(t, os.Link(name, hard))
	return []string{name, "./" + name, whole, soft, hard}
}

// everyFile are the texts of all files below the current folder.
func everyFile(t *testing.T) map[string]string {
	t.Helper()
	all := make(map[string]string)
	require.NoError(t, filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		all[path] = string(text)
		return err
	}))
	return all
}
