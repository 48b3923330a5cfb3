package plot

import (
	"fmt"
	"strings"
	"sync"

	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// theFont is the font of the sheets, to ask which letters it has. Its bold has the same.
var theFont = sync.OnceValue(func() *sfnt.Font {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		panic(fmt.Sprintf("plot: the font that comes with the program: %v", err))
	}
	return f
})

// has tells whether the font has a letter.
func has(r rune) bool {
	var b sfnt.Buffer
	i, err := theFont().GlyphIndex(&b, r)
	return err == nil && i != 0
}

// known writes a text with the letters of the font alone: one that it lacks without its marks, and
// where that does not help by its number in Unicode, so that nothing is a box without a name.
func known(text string) string {
	if !strings.ContainsFunc(text, func(r rune) bool { return r > '~' }) {
		return text
	}
	var b strings.Builder
	for _, r := range norm.NFC.String(text) {
		if has(r) {
			b.WriteRune(r)
			continue
		}
		plain := ""
		for _, base := range norm.NFKD.String(string(r)) {
			if has(base) && base != r {
				plain += string(base)
			}
		}
		if plain == "" {
			plain = fmt.Sprintf("[U+%04X]", r)
		}
		b.WriteString(plain)
	}
	return b.String()
}
