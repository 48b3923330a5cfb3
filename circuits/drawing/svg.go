package drawing

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"
)

// SVG draws the circuit as one <svg> element, to stand alone or in a page.
func (d *Drawing) SVG(o Options) []byte {
	var b bytes.Buffer
	lines := strings.Split(strings.TrimSuffix(d.Text(o), "\n"), "\n")
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 800 %d" role="img" stroke="currentColor" fill="currentColor">`, 20*len(lines)+20)
	b.WriteString("<title>")
	xml.EscapeText(&b, []byte(d.Circuit.Title))
	b.WriteString("</title><desc>Ladder drawing</desc>\n")
	for i, l := range lines {
		fmt.Fprintf(&b, `<text x="10" y="%d" stroke="none" font-family="monospace" font-size="12">`, 20*i+20)
		xml.EscapeText(&b, []byte(l))
		b.WriteString("</text>\n")
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}
