// Package page makes the one file that holds the program for a browser: the engine as
// WebAssembly, circuits, and what the screen needs. It asks no network for anything.
package page

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"encoding/ascii85"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"strings"

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
	Wasm   []byte // gzipped
	Loader []byte // the script of the Go release that starts it
}

var (
	//go:embed page.html
	frame string
	//go:embed page.css
	style string
	//go:embed draw.js
	drawing string
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
		title, talk.Caution.Text, template.CSS(style), template.JS(drawing + script),
		template.HTML(string(e.Loader) + "\n" + worker), template.HTML(packed(e.Wasm)), template.JS(carried),
	})
}

// packed writes bytes as text that can stand in a script: Ascii85 with v in place of <, a
// quarter longer than the bytes.
func packed(b []byte) string {
	text := make([]byte, ascii85.MaxEncodedLen(len(b)))
	text = text[:ascii85.Encode(text, b)]
	return strings.ReplaceAll(string(text), "<", "v")
}

// squeezed compresses an engine as small as gzip can.
func squeezed(wasm []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(wasm); err != nil {
		return nil, fmt.Errorf("cannot compress the engine: %w", err)
	}
	err = z.Close()
	return b.Bytes(), err
}
