package main

import (
	"os"
	"os/exec"
	"testing"
	"strings"
	"fmt"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/sheet/browser"
)

func TestLook(t *testing.T) {
	dir := os.Getenv("LOOK")
	if dir == "" { t.Skip() }
	names := circuits.Builtin()
	if n := os.Getenv("ONLY"); n != "" { names = strings.Split(n, ",") }
	for _, n := range names {
		f := dir + "/" + n + ".html"
		b := browser.Open(t, browser.Options{Width: 360, Height: 740})
		b.Go(f)
		b.Picture(dir + "/" + n + "-0.png")
		b.Click("#start .answers a")
		b.Picture(dir + "/" + n + "-1.png")
		if o := b.SticksOut(); len(o) > 0 { t.Error(n, o) }
		w := browser.Open(t, browser.Options{Width: 360, Height: 740, Dark: true})
		w.Go(f + "#a5")
		w.Picture(dir + "/" + n + "-5.png")
		w.Print(dir + "/" + n + ".pdf")
		out, _ := exec.Command("pdfinfo", dir+"/"+n+".pdf").Output()
		for _, l := range strings.Split(string(out), "\n") { if strings.HasPrefix(l, "Pages") { fmt.Println(n, l) } }
	}
}
