package read

import (
	"fmt"
	"unicode/utf8"

	"deadrung/circuits"
)

// longestBlockText is how many characters an entry of the title block has at most.
const longestBlockText = 60

// blockKeys are the keys of drawing, which fill the title block, in its order.
var blockKeys = []string{"project", "number", "revision", "date", "drawn", "checked"}

// readTitleBlock reads what the title block of the drawing holds.
func (r *reader) readTitleBlock(e *entry) {
	if e == nil {
		return
	}
	entries, ok := r.entries(e.value, "drawing", "as in {number: D-104, revision: B}")
	if !ok {
		return
	}
	given := r.known(entries, blockKeys, "in drawing")
	var b circuits.TitleBlock
	for i, into := range []*string{&b.Project, &b.Number, &b.Revision, &b.Date, &b.Drawn, &b.Checked} {
		e := given[blockKeys[i]]
		if e == nil {
			continue
		}
		text, ok := r.line(e)
		if ok && utf8.RuneCountInString(text) > longestBlockText {
			r.wrong(e.value, fmt.Sprintf("at most %d characters", longestBlockText), "%s is too long", e.key)
		}
		*into = text
	}
	r.circuit.Block = b
}
