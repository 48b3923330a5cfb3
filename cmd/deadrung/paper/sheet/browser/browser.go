// Package browser opens HTML and SVG files in headless Chromium, for tests: to read what
// a person would see, to click, to take a picture. Tests that need it are skipped, with
// the reason, where no Chromium is installed.
package browser

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Options say what kind of screen it is.
type Options struct {
	Width, Height int  // of the window in CSS pixels; 0 is 1200 by 900
	NoScript      bool // scripts of the page do not run
	Dark          bool // the person prefers a dark screen
}

// Browser is one window.
type Browser struct {
	t      testing.TB
	ctx    context.Context
	option Options
}

// patience is how long one action may take, the start of the browser included.
const patience = 60 * time.Second

// Open starts a browser that ends with the test.
func Open(t testing.TB, o Options) *Browser {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		t.Skip("no Chromium is installed, and this test opens a page in it")
	}
	if o.Width == 0 {
		o.Width, o.Height = 1200, 900
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path),
		chromedp.NoSandbox,
		chromedp.WindowSize(o.Width, o.Height),
		chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("allow-file-access-from-files", true),
	)
	allocator, end := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(end)
	ctx, leave := chromedp.NewContext(allocator)
	t.Cleanup(leave)
	b := &Browser{t: t, ctx: ctx, option: o}
	scheme := "light"
	if o.Dark {
		scheme = "dark"
	}
	// The first run makes the browser's life that of its context: no deadline on it.
	if err := chromedp.Run(ctx); err != nil {
		t.Fatalf("the browser does not start: %v", err)
	}
	b.run(
		emulation.SetDeviceMetricsOverride(int64(o.Width), int64(o.Height), 1, false),
		emulation.SetScriptExecutionDisabled(o.NoScript),
		emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme",
			Value: scheme}}),
	)
	return b
}

func (b *Browser) run(actions ...chromedp.Action) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := chromedp.Run(ctx, actions...); err != nil {
		b.t.Fatal(err)
	}
}

// Go opens a file.
func (b *Browser) Go(file string) {
	b.t.Helper()
	path, err := filepath.Abs(file)
	if err != nil {
		b.t.Fatal(err)
	}
	b.run(chromedp.Navigate("file://" + path))
}

// Text is the visible text of the first element that a CSS selector finds.
func (b *Browser) Text(selector string) string {
	b.t.Helper()
	var text string
	b.run(chromedp.Text(selector, &text, chromedp.ByQuery))
	return strings.TrimSpace(text)
}

// Has tells whether a CSS selector finds an element, seen or not.
func (b *Browser) Has(selector string) bool {
	b.t.Helper()
	var found bool
	b.Evaluate("document.querySelector("+quoted(selector)+") !== null", &found)
	return found
}

// Click clicks the first element that a CSS selector finds; it must be seen.
func (b *Browser) Click(selector string) {
	b.t.Helper()
	b.run(chromedp.Click(selector, chromedp.ByQuery, chromedp.NodeVisible))
}

// Press sends keys to the element that has the focus: "\t", "\r" and letters.
func (b *Browser) Press(keys string) {
	b.t.Helper()
	b.run(chromedp.KeyEvent(keys))
}

// Evaluate runs an expression in the page, whether its own scripts run or not.
func (b *Browser) Evaluate(expression string, result any) {
	b.t.Helper()
	if b.option.NoScript {
		b.run(emulation.SetScriptExecutionDisabled(false))
		defer b.run(emulation.SetScriptExecutionDisabled(true))
	}
	b.run(chromedp.Evaluate(expression, result, settled))
}

// settled waits for what a promise gives.
func settled(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }

// SticksOut names the elements that reach beyond the right edge of the window, but for
// those inside something that scrolls by itself.
func (b *Browser) SticksOut() []string {
	b.t.Helper()
	var out []string
	b.Evaluate(`[...document.body.querySelectorAll("*")].filter(e =>
		!e.closest(".scroll, #view, #paper table, svg *") && e.getBoundingClientRect().right > document.documentElement.clientWidth + 1
	).map(e => e.tagName.toLowerCase() + "." + e.className)`, &out)
	return out
}

// Picture saves what the window shows as a PNG file.
func (b *Browser) Picture(file string) {
	b.t.Helper()
	var png []byte
	b.run(chromedp.CaptureScreenshot(&png))
	b.save(file, png)
}

// Print saves the page as it is printed, on A4, as a PDF file.
func (b *Browser) Print(file string) {
	b.t.Helper()
	const a4Width, a4Height = 8.27, 11.69 // inches, ISO 216
	b.run(chromedp.ActionFunc(func(ctx context.Context) error {
		pdf, _, err := page.PrintToPDF().WithPaperWidth(a4Width).WithPaperHeight(a4Height).
			WithPreferCSSPageSize(true).Do(ctx)
		if err == nil {
			b.save(file, pdf)
		}
		return err
	}))
}

func (b *Browser) save(file string, content []byte) {
	b.t.Helper()
	if err := os.WriteFile(file, content, 0o644); err != nil {
		b.t.Fatal(err)
	}
}

func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`).Replace(s) + `"`
}

// Reload opens the page anew.
func (b *Browser) Reload() {
	b.t.Helper()
	b.run(chromedp.Reload())
}

// Back goes a page back.
func (b *Browser) Back() {
	b.t.Helper()
	b.run(chromedp.NavigateBack())
}

// Violations are what axe-core finds wrong with what the window shows, by rule and place. The
// test is skipped, with the reason, where the file that AXE names is not there.
func (b *Browser) Violations() []string {
	b.t.Helper()
	script, err := os.ReadFile(os.Getenv("AXE"))
	if err != nil {
		b.t.Skip("AXE names no axe-core script, and this test runs it in a page")
	}
	var out []string
	b.run(chromedp.Evaluate(string(script)+"; true", nil),
		chromedp.Evaluate(`axe.run().then(r => r.violations.flatMap(v => v.nodes.map(n => v.id + ": " + n.target + " " + n.failureSummary)))`,
			&out, settled))
	return out
}
