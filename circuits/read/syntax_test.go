package read

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Files that are no YAML, or no YAML that a circuit file may be: each gives one
// problem, at its place.
func TestReadSyntax(t *testing.T) {
	tests := []struct {
		name string
		text string
		want string // without the file
	}{
		// Nothing to read.
		{"empty", "", `1:1: the file is empty; right: circuit: TITLE`},
		{"comments", "# nothing\n\n# here\n", `1:1: the file is empty`},
		{"null", "---\n~\n", `1:1: the file is empty`},
		{"document marks", "---\n...\n", `1:1: the file is empty`},
		{"a word", "relay\n", `1:1: a circuit file is "relay" where keys with values are needed`},
		{"a list", "- a\n- b\n", `1:1: a circuit file is a list where keys with values are needed`},

		// Characters.
		{"latin 1", "circuit: K\xfchlraum\n", `1:11: the file is not UTF-8 text; right: save the file as UTF-8`},
		{"utf-16", "\xff\xfec\x00i\x00", `1:1: the file is in UTF-16, as some editors save it; right: save it as UTF-8`},
		{"cut short", "circuit: K\xc3", `1:11: the file is not UTF-8 text`},
		{"bell", "circuit: a\n\n  b\a\n", `3:4: the file holds the control character U+0007`},
		{"zero", "circuit: \x00\n", `1:10: the file holds the control character U+0000`},
		{"delete", "circuit: ü\x7f\n", `1:11: the file holds the control character U+007F`},

		// Indentation and keys.
		{"two keys on a line", "circuit: a\nabout: b: c\n", `2:8: a colon and a space where no key can be`},
		{"carriage returns", "circuit: a\r\nabout: b: c\r\n", `2:8: a colon and a space where no key can be`},
		{"old line ends", "circuit: a\rabout: b: c\r", `2:8: a colon and a space where no key can be`},
		{"byte order mark", "\uFEFFcircuit: b: c\n", `1:10: a colon and a space where no key can be`},
		{"runes are columns", "äöü: {é: [ü]} x\n", `1:15: this does not fit the keys before it`},
		{"odd indentation", "circuit: a\ndevices:\n    F1: {type: fuse}\n    F2: {type: fuse}\n  F3: {type: fuse}\n", `5:3: this does not fit the keys before it`},
		{"text after quotes", "circuit: 'a' b\n", `1:14: this does not fit the keys before it`},
		{"list after keys", "circuit: a\n- b\n", `2:1: this does not fit the keys before it`},
		{"keys after list", "operation:\n - step: a\n - step: b\n step: c\n", `4:2: this does not fit the list before it`},
		{"list on the line of its key", "circuit: a\noperation: - step\n", `2:12: a list cannot begin here`},
		{"no colon", "circuit: a\nabout\nwires: {}\n", `2:1: this line has no colon; right: key: value`},
		{"tab", "devices:\n\tF1: {type: fuse}\n", `2:1: a tab in the indentation; right: spaces`},
		{"at", "circuit: @a\n", `1:10: text cannot begin with this character; right: quotes around the text`},
		{"percent", "circuit: a\nabout: 5\nx: %b\n", `3:4: text cannot begin with this character`},

		// Brackets and quotes.
		{"open list", "circuit: a\nwires:\n  1: [A:1, A:2]\n  2: [A:1, [B:1]\n  3: [C:1]\n", `4:6: the list that opens here is not closed; right: a comma between its items and ] at its end`},
		{"open list at the end", "circuit: a\nwires: {1: [A:1", `2:12: the list that opens here is not closed`},
		{"open keys", "circuit: a\ndevices:\n  F1: {type: fuse, note: '}' # {\n  F2: {type: fuse}\n", `3:7: the keys that open here are not closed`},
		{"open keys on line 1", "circuit: {a: b\n", `1:10: the keys that open here are not closed`},
		{"open quotes", "circuit: 'a'\nabout: \"b\nwires: {}\n", `2:8: the quotes that open here are not closed`},
		{"open quotes on line 1", "circuit: \"a \\\" \nabout: b\n", `1:10: the quotes that open here are not closed`},
		{"stray bracket", "circuit: a\nwires: ]\n", `2:8: a value is missing here`},
		{"missing item", "circuit: a\nwires: {1: [,]}\n", `2:13: a value is missing here`},
		{"escape", "circuit: \"a\\q\"\n", `1:10: an unknown escape after the backslash`},

		// Anchors, aliases, tags, directives, documents.
		{"unknown alias", "circuit: a\n# *b*\nabout: *b\n", `3:8: nothing before *b is marked &b`},
		{"alias of itself", "circuit: a\ndevices: &d {F1: *d}\n", `2:18: the alias *d holds itself`},
		{"second document", "circuit: a\ndevices: {}\n---\ncircuit: b\n", `3:1: a second document begins here; right: one circuit a file`},
		{"second document is empty", "circuit: a\n---\n", `2:1: a second document begins here`},
		{"second document is no YAML", "circuit: a\n---\ncircuit: [\n", `3:10: a value is missing here`},
		{"text after the end", "circuit: a\n...\ncircuit: [b]\n", `3:1: text after the end of the circuit`},
		{"tag", "circuit: !name a\n", `1:10: the tag "!name" means nothing in a circuit file`},
		{"version 1.3", "%YAML 1.3\n---\ncircuit: a\n", `1:7: the file is not YAML: found incompatible YAML document`},
		{"levels", "circuit: " + strings.Repeat("[", 70) + strings.Repeat("]", 70), `1:73: more than 64 levels of lists and keys in one another`},
		{"very many levels", strings.Repeat("[", 20000), `1:10001: far too many levels of lists and keys in one another`},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			c, problems := Read("x.yaml", []byte(test.text))
			assert.Nil(t, c)
			var said []string
			for _, p := range problems.Errors() {
				// What a file lacks besides is the subject of other tests.
				if s := p.String(); !strings.Contains(s, "the file has no") &&
					!strings.Contains(s, "is empty; right: des") {
					said = append(said, s)
				}
			}
			require.Len(t, said, 1)
			assert.Contains(t, said[0], "x.yaml:"+test.want)
		})
	}
}

// Files made to take for ever are refused, and soon.
func TestReadIsBounded(t *testing.T) {
	laughs := "circuit: a\nabout: &a0 [x, x]\n"
	for i := range 40 {
		laughs += fmt.Sprintf("x%[2]d: &a%[2]d [*a%[1]d, *a%[1]d]\n", i, i+1)
	}
	tests := []struct {
		name string
		text string
		want string
	}{
		{"large", strings.Repeat("# a\n", mostBytes/4+1), "too many for a circuit"},
		{"aliases of aliases", laughs, "too large with its aliases written out"},
		{"many mistakes", "devices: {" + strings.Repeat("? ", 3000) + "}", ""},
		{"many unknown devices", "circuit: a\ndevices:\n" + repeat("  D#: {type: fuse}\n", 5000) +
			"wires:\n" + repeat("  #: [E#:1, E#:2]\n", 5000), "there is no device"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			begun := time.Now()
			c, problems := Read("x.yaml", []byte(test.text))
			assert.Nil(t, c)
			assert.ErrorContains(t, problems.Err(), test.want)
			assert.Less(t, time.Since(begun), 20*time.Second)
		})
	}
}
