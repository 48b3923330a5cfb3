package wirelist

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
)

func rowsText(rows []Row) string {
	var out []string
	for _, r := range rows {
		s := fmt.Sprintf("%s %s %s", r.Number, r.From, r.To)
		if r.Bridge {
			s += " bridge"
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

func TestReadCSV(t *testing.T) {
	const plain = "3 F1:2 LS1:11; 4 LS1:12 CR1:A1"
	for _, c := range []struct{ name, text, headings, want string }{
		{"as it is", "wire,from,to\n3,F1:2,LS1:11\n4,LS1:12,CR1:A1\n", "", plain},
		{"semicolons, other order, CRLF", "to;wire;from\r\nLS1:11;3;F1:2\r\nCR1:A1;4;LS1:12\r\n", "", plain},
		{"tabs", "wire\tfrom\tto\n3\tF1:2\tLS1:11\n4\tLS1:12\tCR1:A1", "", plain},
		{"old line ends", "wire,from,to\r3,F1:2,LS1:11\r4,LS1:12,CR1:A1\r", "", plain},
		{"mark, quotes, spaces", "\uFEFF\"Wire No.\", \"From\",\"To\"\n\"3\", F1:2 ,\"LS1:11\"\n\n4,LS1:12,CR1:A1\n", "", plain},
		{"separator told", "sep=;\nwire;from;to\n3;F1:2;LS1:11\n4;LS1:12;CR1:A1\n", "", plain},
		{"headings mapped", "Number,A end,B end\n3,F1:2,LS1:11\n4,LS1:12,CR1:A1\n", "wire=Number,from=A end,to=B end", plain},
		{"device and terminal apart", "wire,from device,from terminal,to device,to terminal\n3,F1,2,LS1,11\n4,LS1,12,CR1,A1\n", "", plain},
		{"two headings mapped", "no,d1,t1,d2,t2\n3,F1,2,LS1,11\n4,LS1,12,CR1,A1\n", "wire=no,from=d1+t1,to=d2+t2", plain},
		{"no heading", "3,F1:2,LS1:11\n4,LS1:12,CR1:A1\n", "wire=1,from=2,to=3", plain},
		{"other marks between device and terminal", "wire,from,to\n3,F1-2,LS1/11\n4,LS1.12,CR1 A1\n", "", plain},
		{"designations in parts", "wire,from,to\n3,-F1:2,=A1+P2-LS1:11\n4,=A1+P2-LS1:12,-CR1:A1\n", "", plain},
		{"more columns", "x,wire,y,from,to\n,3,what,F1:2,LS1:11,more\n,4,,LS1:12,CR1:A1\n", "", plain},
		{"signs of a formula", "wire,from,to\n'=3,P1:1,P2:1\n'-4,P2:2,P3:1\n''5,P3:2,P4:1\n", "", "=3 P1:1 P2:1; -4 P2:2 P3:1; '5 P3:2 P4:1"},
		{"bridges", "wire,from,to,kind\n3,TB1:1,TB1:2,jumper\n3,TB1:2,H1:1,wire\n", "", "3 TB1:1 TB1:2 bridge; 3 TB1:2 H1:1"},
		{"order of the file", "wire,from,to,in file\n4,LS1:12,CR1:A1,2\n3,F1:2,LS1:11,1\n", "", plain},
	} {
		h, err := ParseHeadings(c.headings)
		require.NoError(t, err, c.name)
		rows, problems := ReadCSV("w.csv", []byte(c.text), h)
		require.Empty(t, problems, c.name)
		assert.Equal(t, c.want, rowsText(rows), c.name)
	}
}

// All mistakes come in one pass, each at its place.
func TestReadCSVMistakes(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"columns", "number,start,where\n3,F1:2,LS1:11\n", []string{"w.csv:1:1: no column for where it goes to; the first line has number, start, where"}},
		{"empty", "", []string{"w.csv:1:1: the heading cannot be read"}},
		{"no wires", "wire,from,to\n", []string{"w.csv:1:1: the file has no wires"}},
		{"cells", "wire,from,to\n,F1:2,LS1:11\n4,LS1,\n5,A_B:1,C1:1\n6,D1:1,D1:1\n", []string{
			"w.csv:2:1: the wire from F1:2 to LS1:11 has no number",
			`w.csv:3:3: "LS1" is not a terminal`,
			"w.csv:3:7: the column to is empty",
			`w.csv:4:3: "A_B" does not name a device`,
			"w.csv:5:8: the wire runs from D1:1 to itself",
		}},
		{"two numbers", "wire,from,to\n3,F1:2,LS1:11\n4,LS1:11,CR1:A1\n", []string{"w.csv:3:3: LS1:11 is on wire 4 and already on wire 3, line 2"}},
		{"one name for two", "wire,from,to\n3,=A-K1:13,=B-K1:14\n", []string{"w.csv:2:12: =A-K1 and =B-K1 would both be device K1"}},
		{"kind", "wire,from,to,kind\n3,F1:2,LS1:11,pipe\n", []string{`w.csv:2:15: a line of the list is no "pipe"`}},
		{"quotes", "wire,from,to\n3,\"F1:2,LS1:11\n", []string{`the quotes of this line do not fit`}},
		{"bytes", "wire,from,to\n3,F1:2,\xff\x00\n", []string{"w.csv:2:1: the file is not text in UTF-8"}},
		{"sixteen bits", "w\x00i\x00", []string{"w.csv:1:1: warning: the list is read as UTF-16", "w.csv:1:1: no column for"}},
		{"no workbook", "PK\x03\x04 and nothing", []string{"w.csv:1:1: the workbook cannot be read"}},
		{"a number alone", "wire,from,to\n3,F1:2,LS1:11\n4,,\n", []string{"w.csv:3:3: the column from is empty", "w.csv:3:4: the column to is empty"}},
	} {
		_, problems := ReadCSV("w.csv", []byte(c.text), nil)
		require.Len(t, problems, len(c.want), "%s: %v", c.name, problems)
		for i, p := range problems {
			assert.Contains(t, p.String(), c.want[i], c.name)
		}
	}
}

func TestParseHeadings(t *testing.T) {
	for typed, want := range map[string]string{
		"wire":        "not of the form",
		"wire=":       "not of the form",
		"colour=Farb": "no column is called",
	} {
		_, err := ParseHeadings(typed)
		assert.ErrorContains(t, err, want, typed)
	}
	h, _ := ParseHeadings("wire=Number,from=A,to=B")
	_, problems := ReadCSV("w.csv", []byte("wire,from,to\n1,F1:1,F1:2\n"), h)
	assert.ErrorContains(t, problems.Err(), "no column is headed")
}

// A wire number that a spreadsheet would take for a formula is guarded, and comes back.
func TestFormulasAreGuarded(t *testing.T) {
	text := strings.NewReplacer("  3:\n", "  \"=1+1\":\n", "  4: ", "  \"-4\": ", "  5: ", "  \"'5\": ",
		"  1: ", "  \"@1\": ").Replace(twoRungs)
	c := readText(t, "two rungs", []byte(text))
	csv := csvOf(t, c)
	for _, line := range strings.Split(string(csv), "\n") {
		for _, field := range strings.Split(line, ",") {
			assert.NotRegexp(t, `^"?[=+\-@]`, field)
		}
	}
	rows, problems := ReadCSV("w.csv", csv, nil)
	require.NoError(t, problems.Err())
	var got []string
	for _, r := range rows {
		got = append(got, r.Number)
	}
	for _, n := range []string{"=1+1", "-4", "'5", "@1"} {
		assert.Contains(t, got, n)
	}
}

// Whatever the bytes, reading ends with rows or with mistakes at their places, and what was
// readText makes a file that reads, or is refused in words.
func FuzzReadCSV(f *testing.F) {
	for _, seed := range []string{
		"wire,from,to\n3,F1:2,LS1:11\n", "sep=;\nwire;from;to\n", "\uFEFFwire\tfrom\tto\r\n'=1\t-K1:13\tX1.2\r\n",
		"wire,from,to,kind,in file\n3,TB1:1,TB1:2,bridge,1\n3,TB1:2,H1:1,wire,1\n", "\"\"\",from",
		"no,a,b\n1,CR1:2,CR1:7\n2,CR1:1,CR1:3\n",
		"wire,from,to\n1,PWS1:L,S1:1\n2,S1:3,K1:A1\n3,K1:A2,PWS1:N\n4,K1:15,K1:18\n5,TB1:1,X1:1a\n5,TB1:3,X1:1b\n",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		rows, problems := ReadCSV("w.csv", text, nil)
		for _, p := range problems {
			if p.Pos.Line < 1 || p.Pos.Column < 1 || p.What == "" || strings.ContainsAny(p.String(), "\n") {
				t.Fatalf("a mistake without its place: %q", p.String())
			}
		}
		if problems.Err() != nil {
			return
		}
		draft, err := Guess("w.csv", rows, nil, nil)
		if err != nil {
			return
		}
		var b strings.Builder
		if err := draft.Write(&b, "fuzzed"); err != nil {
			t.Fatal(err)
		}
		c, problems := read.Read("fuzzed.yaml", []byte(b.String()))
		if problems.Err() != nil {
			t.Fatalf("%v\n%s", problems.Err(), b.String())
		}
		Of(drawing.New(c))
	})
}
