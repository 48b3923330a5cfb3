//go:build js && wasm

// Command wasm is the engine of a page, for the worker of a browser: every message is one
// JSON text.
package main

import (
	"encoding/json"
	"syscall/js"
	"time"

	"deadrung/cmd/deadrung/page/engine"
)

func main() {
	post := func(m engine.Message) {
		text, err := json.Marshal(m)
		if err != nil {
			text, _ = json.Marshal(engine.Message{Kind: engine.Failed, Text: err.Error()})
		}
		js.Global().Call("postMessage", string(text))
	}
	e := engine.New(post, time.Now)
	orders := make(chan engine.Order, most)
	js.Global().Set("take", js.FuncOf(func(_ js.Value, args []js.Value) any {
		var o engine.Order
		if err := json.Unmarshal([]byte(args[0].String()), &o); err != nil {
			post(engine.Message{Kind: engine.Failed, Text: err.Error()})
			return nil
		}
		orders <- o
		return nil
	}))
	for o := range orders { // in the order in which they were given
		e.Take(o)
	}
}

// most is how many orders may wait: more than a person gives while one is taken.
const most = 1000
