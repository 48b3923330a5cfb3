package exam

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func names(class []Candidate) []string {
	var out []string
	for _, c := range class {
		out = append(out, c.Name+"|"+c.ID)
	}
	return out
}

// Class lists as offices write them.
func TestReadClass(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want []string
	}{
		"one column":             {"Ada Muster\nBo Beispiel\n", []string{"Ada Muster|", "Bo Beispiel|"}},
		"heading":                {"Name\nAda Muster\n", []string{"Ada Muster|"}},
		"semicolons":             {"id;name\n7;Muster, Ada\n", []string{"Muster, Ada|7"}},
		"tabs":                   {"name\tid\nAda\t1\n", []string{"Ada|1"}},
		"strokes":                {"name|id\nAda|1\n", []string{"Ada|1"}},
		"quoted comma":           {"name,id\n\"Muster, \"\"Ada\"\"\",1\n", []string{"Muster, \"Ada\"|1"}},
		"comma in quotes first":  {"\"Muster, Ada\";7\n\"Beispiel, Bo\";8\n", []string{"Muster, Ada|", "Beispiel, Bo|"}},
		"number first, no head":  {"12,Ada\n13,Bo\n", []string{"Ada|12", "Bo|13"}},
		"first and last":         {"First name;Surname\nAda;Muster\n", []string{"Ada Muster|"}},
		"byte order mark":        {"\uFEFFname\r\nAda\r\n", []string{"Ada|"}},
		"utf-16 little":          {"\xFF\xFEn\x00a\x00m\x00e\x00\n\x00\xC4\x00d\x00\n\x00", []string{"Äd|"}},
		"utf-16 big":             {"\xFE\xFF\x00A\x00d\x00a", []string{"Ada|"}},
		"blank lines and spaces": {"\n  Ada   Muster \n\n;;\nBo\n", []string{"Ada Muster|", "Bo|"}},
		"same name, other id":    {"name,id\nAda,1\nAda,2\n", []string{"Ada|1", "Ada|2"}},
		"line break in a name":   {"name,id\n\"Ada\nMuster\",1\n", []string{"Ada Muster|1"}},
	} {
		t.Run(name, func(t *testing.T) {
			class, problems := ReadClass("class.csv", []byte(c.text))
			require.Empty(t, problems)
			assert.Equal(t, c.want, names(class))
			for i, k := range class {
				assert.Equal(t, i+1, k.Number)
			}
		})
	}
}

func TestReadClassWrong(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"empty":        {"", "class.csv:1:1: the class list names nobody; right: one candidate a line, in the order in which they sit"},
		"heading only": {"name\n", "class.csv:1:1: the class list has a heading and names nobody; right: one candidate a line below the heading"},
		"twice":        {"Ada\nBo\nada\n", "class.csv:3:1: \"ada\" stands on line 1 already; right: take the line out, or tell the two apart by a column headed id"},
		"id twice":     {"name,id\nAda,1\nBo,1\n", "class.csv:3:1: the number \"1\" stands on line 2 already; right: a number of their own for each"},
		"no name":      {"name,id\nAda,1\n,2\n", "class.csv:3:1: this line has no name; right: a name, or leave the line out"},
		"open quote":   {"name,id\n\"Ada,1\n", "class.csv:2:8: a quoted field is not closed rightly; right: a quote at its end, and each quote inside it twice"},
		"latin":        {"name\nM\xFCller\n", "class.csv:1:1: the class list is not in UTF-8; right: save the list as CSV in UTF-8"},
		"no text":      {"PK\x00\x01", "class.csv:1:1: the class list is no text; right: save the list as CSV in UTF-8"},
	} {
		t.Run(name, func(t *testing.T) {
			class, problems := ReadClass("class.csv", []byte(c.text))
			require.NotEmpty(t, problems)
			assert.Nil(t, class)
			assert.Equal(t, c.want, problems[0].String())
		})
	}
}

func FuzzReadClass(f *testing.F) {
	f.Add([]byte("name;id\nAda;1\n"))
	f.Add([]byte("\xFF\xFEn\x00"))
	f.Add([]byte("\"a\"\"b\",c\n\"\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		class, problems := ReadClass("c", text)
		if len(problems) == 0 && len(class) == 0 {
			t.Fatal("neither a class nor a reason")
		}
		for _, p := range problems {
			if p.Pos.Line < 1 || p.Pos.Column < 1 {
				t.Fatal("a mistake without a place")
			}
		}
	})
}

// A list in which every line is wrong is read as fast as a right one.
func TestReadClassWithManyMistakes(t *testing.T) {
	const lines, most = 100_000, 20 * time.Second // once each mistake read the whole list again, for minutes
	begun := time.Now()
	_, problems := ReadClass("c.csv", []byte("name\n"+strings.Repeat("\"\",x\n", lines)))
	assert.Len(t, problems, lines)
	assert.Equal(t, "c.csv:100001:1: this line has no name; right: a name, or leave the line out", problems[lines-1].String())
	assert.Equal(t, "\"\",x", problems[lines-1].Source)
	assert.Less(t, time.Since(begun), most)
}

// A column of extra time, and the file of what is given while an exam runs.
func TestExtra(t *testing.T) {
	_, problems := ReadClass("class.csv", []byte("name;extra time\nAda;\nBo;7,5\nCy;10 min\n"))
	require.Len(t, problems, 1, "a comma is no decimal point here")
	assert.Equal(t, 3, problems[0].Pos.Line)
	class, problems := ReadClass("class.csv", []byte("name;extra time\nAda;\nBo;7.5\nCy;10 min\n"))
	require.Empty(t, problems)
	assert.Equal(t, []float64{0, 7.5, 10}, []float64{class[0].Extra, class[1].Extra, class[2].Extra})

	want := map[int]float64{2: 10, 11: 0.5}
	var text strings.Builder
	require.NoError(t, WriteExtra(&text, want))
	got, problems := ReadExtra("extra.csv", strings.NewReader(text.String()))
	require.Empty(t, problems)
	assert.Equal(t, want, got)
	_, problems = ReadExtra("extra.csv", strings.NewReader("1,5\nx,5\n0,5\n3\n4,-1\n5,NaN\n6,1e9\n7,5 min\n"))
	var lines []int
	for _, p := range problems {
		lines = append(lines, p.Pos.Line)
	}
	assert.Equal(t, []int{2, 3, 4, 5, 6, 7}, lines)
}
