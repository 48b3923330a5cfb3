package main

import (
	"bytes"

	"deadrung/cmd/deadrung/paper/sheet/browser"
	"deadrung/cmd/deadrung/talk"
)

// inMemory is a page of a width in memory.
func inMemory(columns int) (*talk.Page, *bytes.Buffer) {
	var b bytes.Buffer
	return talk.Sized(talk.NewPage(&b), columns), &b
}

// phone is a narrow one. Source: common practice; 360 pixels is the least that phones of
// the last ten years have.
var phone = browser.Options{Width: 360, Height: 740}
