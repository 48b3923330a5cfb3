//go:build carried

package page

import _ "embed"

// What "go generate" puts here before a release is built with -tags carried.
var (
	//go:embed engine.wasm.zst
	carriedWasm []byte
	//go:embed loader.js
	carriedLoader []byte
)

func carried() (Engine, bool) { return Engine{Wasm: carriedWasm, Loader: carriedLoader}, true }
