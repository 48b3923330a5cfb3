// Package page makes the one file that holds the program for a browser: the engine as
// WebAssembly, circuits, and what the screen needs. It asks no network for anything.
package page

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"strings"

	"github.com/klauspost/compress/zstd"

	"deadrung/cmd/deadrung/talk"
)

// Circuit is a circuit that a page carries.
type Circuit struct {
	Name  string `json:"name"` // of its file
	Title string `json:"title"`
	About string `json:"about,omitempty"`
	Text  string `json:"text"` // YAML
}

// Engine is what a browser runs.
type Engine struct {
	Wasm   []byte // compressed by Zstandard
	Loader []byte // the script of the Go release that starts it
}

var (
	//go:embed page.html
	frame string
	//go:embed page.css
	style string
	//go:embed draw.js
	drawing string
	//go:embed unpacked.js
	unpacking string
	//go:embed fzstd.js
	decompression string
	//go:embed drill.js
	drills string
	//go:embed sketch.js
	sketching string
	//go:embed page.js
	script string
	//go:embed worker.js
	worker string
)

var pageTemplate = template.Must(template.New("page").Parse(frame))

// Write writes the page.
func Write(w io.Writer, e Engine, circuits []Circuit) error {
	carried, err := json.Marshal(circuits) // escapes what could end a script
	if err != nil {
		return err
	}
	title := "deadrung"
	if len(circuits) == 1 {
		title = circuits[0].Title
	}
	return pageTemplate.Execute(w, struct {
		Title, Caution string
		Style          template.CSS
		Script         template.JS
		Worker, Engine template.HTML
		Circuits       template.JS
	}{
		title, talk.Caution.Text, template.CSS(style), template.JS(drawing + drills + sketching + script),
		template.HTML(string(e.Loader) + "\n" + decompression + "\n" + unpacking + worker), template.HTML(packed(e.Wasm)), template.JS(carried),
	})
}

// digits is how many characters stand in a packed text: those of ASCII that are seen, but for the
// one that could end a script.
const digits = '~' - '!'

// packed writes bytes as text that can stand in a script: their number, and then two characters
// for each 13 bits, or 14 where these are a number below digits * digits.
func packed(bytes []byte) string {
	var text strings.Builder
	fmt.Fprintf(&text, "%d ", len(bytes))
	digit := func(v uint32) {
		c := '!' + v
		if c >= '<' {
			c++
		}
		text.WriteByte(byte(c))
	}
	const surplus = digits*digits - 1<<13
	var word, have uint32
	for _, b := range append(bytes[:len(bytes):len(bytes)], 0, 0) { // the last bits, filled up
		word |= uint32(b) << have
		if have += 8; have > 13 {
			v, n := word&(1<<13-1), uint32(13)
			if v < surplus {
				v, n = word&(1<<14-1), 14
			}
			word, have = word>>n, have-n
			digit(v % digits)
			digit(v / digits)
		}
	}
	return text.String()
}

// squeezed compresses an engine: by an eighth smaller than gzip can.
func squeezed(wasm []byte) ([]byte, error) {
	z, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedBestCompression), zstd.WithWindowSize(window),
		zstd.WithEncoderConcurrency(1))
	if err != nil {
		return nil, err
	}
	return z.EncodeAll(wasm, nil), z.Close()
}

// window is how far back the compression looks for what it has seen, in bytes: over the whole
// engine.
const window = 16 << 20
