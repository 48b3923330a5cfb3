// Command carry builds the engine of the page into the folder from which a release takes it.
package main

import (
	"context"
	"log"
	"os"

	"deadrung/cmd/deadrung/page"
)

func main() {
	e, err := page.Build(context.Background())
	if err != nil {
		log.Fatal(err)
	}
	for name, text := range map[string][]byte{"engine.wasm.zst": e.Wasm, "loader.js": e.Loader} {
		if err := os.WriteFile(name, text, 0o644); err != nil {
			log.Fatal(err)
		}
	}
}
