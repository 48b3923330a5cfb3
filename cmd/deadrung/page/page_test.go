package page

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/read"
	"deadrung/cmd/deadrung/paper/sheet/browser"
)

// mostBytes is how long a page may be, to go by mail.
const mostBytes = 4 << 20

var built = sync.OnceValues(func() (Engine, error) { return Build(context.Background()) })

// pageFile is a page of some built-in circuits; all, where none are named.
func pageFile(t testing.TB, names ...string) string {
	t.Helper()
	if len(names) == 0 {
		names = circuits.Builtin()
	}
	var carried []Circuit
	for _, name := range names {
		text, ok := circuits.BuiltinText(name)
		require.True(t, ok, name)
		c, problems := read.Read(name+".yaml", text)
		require.NoError(t, problems.Err())
		carried = append(carried, Circuit{Name: name + ".yaml", Title: c.Title, About: c.About, Text: string(text)})
	}
	return pageOf(t, carried)
}

// pageOf is a page of some circuits.
func pageOf(t testing.TB, carried []Circuit) string {
	t.Helper()
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("no Go tool is there, and the engine of the page is built with it")
	}
	e, err := built()
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, Write(&b, e, carried))
	file := filepath.Join(t.TempDir(), "page.html")
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
	return file
}

func TestPageIsSmall(t *testing.T) {
	info, err := os.Stat(pageFile(t))
	require.NoError(t, err)
	assert.LessOrEqual(t, info.Size(), int64(mostBytes))
}

// The page names no address but in the text of its circuits, so that it asks no network. The packed
// engine, in which any letters may stand beside each other, is left out.
func TestPageAsksNoNetwork(t *testing.T) {
	whole, err := os.ReadFile(pageFile(t, "two-lamp"))
	require.NoError(t, err)
	before, packed, found := strings.Cut(string(whole), `id="engine"`)
	require.True(t, found)
	_, after, found := strings.Cut(packed, "</script>")
	require.True(t, found)
	text := before + after
	assert.Greater(t, len(packed)-len(after), len(text))
	for _, sign := range []string{"http://", "https://", "src=", "@import", "fetch("} {
		for _, line := range strings.Split(text, "\n") {
			if i := strings.Index(line, sign); i >= 0 && !strings.Contains(line, "http://www.w3.org/2000/svg") &&
				!strings.Contains(line, "github.com/golang") {
				assert.Fail(t, "the page may ask a network", "%s", line[max(0, i-40):min(len(line), i+60)])
			}
		}
	}
}

// hand works a page as a person does.
type hand struct {
	*testing.T
	*browser.Browser
}

func opened(t *testing.T, o browser.Options, names ...string) hand {
	b := browser.Open(t, o)
	b.Go(pageFile(t, names...))
	return hand{t, b}
}

// until waits for an expression to become true.
func (h hand) until(expression string) {
	h.Helper()
	for begun := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		var is bool
		h.Evaluate("!!("+expression+")", &is)
		if is {
			return
		}
		if time.Since(begun) > time.Minute {
			h.picture("stuck")
			require.Fail(h, "never came: "+expression, h.Text("#main"))
		}
	}
}

// press presses the button whose text begins so.
func (h hand) press(text string) {
	h.Helper()
	find := fmt.Sprintf(`[...document.querySelectorAll("button")].find(b => b.offsetParent && b.textContent.startsWith(%q))`, text)
	h.until(find)
	h.Evaluate(find+".click()", nil)
}

// asked waits for a question that has a text, and gives it.
func (h hand) asked() string {
	h.Helper()
	h.until(`!document.getElementById("ask").hidden`)
	return h.Text("#question")
}

// picture keeps a picture of the screen where pictures are wanted.
func (h hand) picture(name string) {
	if dir := os.Getenv("DEADRUNG_PICTURES"); dir != "" {
		h.Picture(filepath.Join(dir, name+".png"))
	}
}

func TestPageFinds(t *testing.T) {
	h := opened(t, browser.Options{Width: 390, Height: 800}, "cold-store-alarm")
	h.picture("page-start")
	h.press("Find what is wrong")
	h.asked()
	h.picture("page-complaint")
	h.press("nothing more to tell")
	h.asked()
	h.picture("page-look")
	h.Evaluate(`document.getElementById("view").scrollIntoView()`, nil)
	h.picture("page-look-drawn")
	h.press("TR1 is on")
	h.until(`document.getElementById("question").textContent !== "TR1: is it pulled in?"`)
	h.asked()
	h.picture("page-second")
}

// A practice at a wide screen, with a check of one's own that is tapped.
func TestPagePractises(t *testing.T) {
	h := opened(t, browser.Options{Width: 1280, Height: 900}, "cold-store-alarm")
	h.press("Practise")
	h.asked()
	h.picture("page-practice")
	tap := func(terminal string) {
		h.Evaluate(fmt.Sprintf(`document.querySelector('[data-terminal="%s"]').dispatchEvent(new MouseEvent("click"))`, terminal), nil)
	}
	h.until(`document.querySelector('[data-terminal="T1:X1"]')`)
	tap("T1:X1")
	tap("T1:X2")
	h.picture("page-tapped")
	h.press("Volts, live")
	h.until(`document.getElementById("told").textContent.includes("T1:X1")`)
	h.asked()
	h.picture("page-measured")
	// The same on the real thing: a terminal is tapped on the connection diagram.
	h.press("Real thing")
	h.until(`document.querySelector("#ladder desc").textContent.startsWith("Connection diagram") && document.querySelector('[data-terminal="T1:X1"]')`)
	tap("T1:X1")
	tap("F1:2")
	h.picture("page-real-thing")
	h.press("Volts, live")
	h.until(`document.getElementById("told").textContent.includes("F1:2")`)
	h.press("Real thing")
	h.until(`document.querySelector("#ladder desc").textContent.startsWith("Ladder drawing")`)
}

// Every screen is held against the rules of axe-core, light and dark, and fits 320 CSS pixels
// at once, with text twice as large as well.
func TestPageForEveryone(t *testing.T) {
	for _, o := range []browser.Options{{Width: 320, Height: 640}, {Width: 844, Height: 390, Dark: true}, {Width: 1280, Height: 900}} {
		h := opened(t, o, "cold-store-alarm", "two-lamp")
		sound := func(screen string) {
			h.picture(fmt.Sprintf("page-%s-%d", screen, o.Width))
			assert.Empty(t, h.SticksOut(), "%s at %d", screen, o.Width)
			h.Evaluate(`document.documentElement.style.fontSize = "200%"`, nil)
			assert.Empty(t, h.SticksOut(), "%s at %d, text twice as large", screen, o.Width)
			h.Evaluate(`document.documentElement.style.fontSize = ""`, nil)
			assert.Empty(t, h.Violations(), "%s at %d", screen, o.Width)
		}
		sound("start")
		h.press("Find what is wrong")
		h.asked()
		sound("complaint")
		h.press("nothing more to tell")
		h.until(`document.getElementById("question").textContent.startsWith("TR1")`)
		sound("look")
		h.press("Report")
		h.until(`!document.getElementById("paper").hidden`)
		sound("report")
		h.press("Back to the session")
		h.press("Leave")
		h.press("Circuit file")
		h.until(`document.querySelector("#preview svg")`)
		h.Evaluate(`document.querySelector("#source").click()`, nil)
		h.until(`document.querySelector("#words button")`)
		sound("file")
		h.press("Leave")
		h.press("Draw a new circuit")
		h.until(`document.querySelector("#rows .unit")`)
		h.Evaluate(`document.querySelector("#rows .unit").click()`, nil)
		sound("sketch")
		h.press("Leave")
		h.press("Practise")
		h.until(`document.getElementById("question").textContent.startsWith("What do you do?")`)
		sound("practice")
		h.press("Real thing")
		h.until(`document.querySelector("#wired[aria-pressed=true]")`)
		h.press("IEC symbols")
		h.until(`document.querySelector(".symbols[aria-pressed=true]")`)
		h.press("Leave")
		h.press("Two-wire line")
		h.until(`document.querySelector("#string .unit")`)
		sound("line")
		h.press("Leave")
		h.press("8 contacts")
		h.until(`document.querySelector("#string .unit")`)
		sound("drill")
		h.drill()
		sound("drilled")
		h.press("Leave")
		h.press("Scores")
		h.until(`document.querySelector("#tally meter")`)
		sound("scores")
	}
}

// drill brings a drill of contacts to its end, each time at the middle of what may be open.
func (h hand) drill() {
	h.Helper()
	for {
		var left []string
		h.asked()
		h.Evaluate(`[...document.querySelectorAll("#string .doubt")].map(b => b.textContent)`, &left)
		if len(left) == 1 {
			h.Evaluate(`document.querySelector("#string .doubt").click()`, nil)
			h.press("Name it: " + left[0])
			h.until(`document.getElementById("told").textContent.includes("The drill is over")`)
			return
		}
		require.NotEmpty(h, left)
		at := left[(len(left)-1)/2]
		h.Evaluate(fmt.Sprintf(`document.querySelector('.point[aria-label="point %s to N"]').click()`, at), nil)
		h.until(fmt.Sprintf(`document.querySelectorAll("#string .doubt").length < %d && !document.getElementById("ask").hidden`, len(left)))
	}
}

// A panel of a hundred rungs is asked about at once, shows how far it is worked through, and can be
// left meanwhile.
func TestPageStaysAlive(t *testing.T) {
	text := generate.Shapes[0].Panel(1, 100)
	h := hand{t, browser.Open(t, browser.Options{Width: 390, Height: 800})}
	h.Go(pageOf(t, []Circuit{{Name: "panel.yaml", Title: "A hundred rungs", Text: text}}))
	h.press("Find what is wrong")
	assert.Equal(t, "In which step does it go wrong?", h.asked())
	h.Evaluate(`window.longest = 0; { let last = performance.now(); setInterval(() => {
		const now = performance.now(); longest = Math.max(longest, now - last); last = now; }, 20) }`, nil)
	h.press("nothing more to tell")
	h.until(`document.getElementById("question").textContent.includes("?") && (document.getElementById("share").value > 0 ||
		!document.getElementById("question").textContent.startsWith("In which step"))`)
	h.picture("page-working")
	h.press("Leave")
	h.until(`!document.getElementById("start").hidden`)
	h.press("Find what is wrong")
	h.press("nothing more to tell")
	h.until(`!document.getElementById("ask").hidden && !document.getElementById("question").textContent.startsWith("In which step")`)
	var longest float64
	h.Evaluate("longest", &longest)
	t.Logf("the page stood still for %.0f ms at most", longest)
	assert.Less(t, longest, 2000.0)
}

// A drill goes on where it was, and its score stays.
func TestPageDrills(t *testing.T) {
	h := opened(t, browser.Options{Width: 390, Height: 800}, "two-lamp")
	h.press("8 contacts")
	h.asked()
	h.Evaluate(`document.querySelector('.point[aria-label="point 4 to N"]').click()`, nil)
	h.until(`document.querySelectorAll("#string .doubt").length === 4`)
	told := h.Text("#told")
	h.Reload()
	h.until(`document.querySelectorAll("#string .doubt").length === 4`)
	assert.Contains(t, h.Text("#told"), told)
	h.drill()
	assert.Contains(t, h.Text("#told"), "You: 3 checks. The best for this one: 3")
	h.press("Leave")
	h.press("Scores")
	h.until(`document.querySelector("#tally meter")`)
	assert.Contains(t, h.Text("#tally"), "3 checks, best 3")
	h.Reload()
	h.until(`document.querySelector("#tally meter")`)
}

// A circuit file is written with the words that are offered, and its rungs by tapping; what is
// written stays, mistakes and all.
func TestPageWrites(t *testing.T) {
	h := opened(t, browser.Options{Width: 390, Height: 800}, "start-stop")
	source := func() (text string) {
		h.Evaluate(`document.getElementById("source").value`, &text)
		return text
	}
	h.press("Draw a new circuit")
	h.until(`document.querySelector("#preview svg")`)
	h.until(`document.querySelector('#rows [aria-label="PB1, rung 2"]')`)
	h.picture("page-sketch")
	h.Evaluate(`document.querySelector('#rows [aria-label="PB1, rung 2"]').click()`, nil)
	h.Evaluate(`document.getElementById("part").value = "new relay"`, nil)
	h.Evaluate(`document.getElementById("rows").scrollIntoView()`, nil)
	h.picture("page-sketch-taken")
	h.press("As a branch around it")
	h.until(`document.querySelector(".branches")`)
	h.picture("page-sketch-branch")
	assert.Contains(t, source(), "- [{parallel: [PB1, CR1]}, H1]")
	assert.Contains(t, source(), "  CR1: {type: relay, ")
	h.press("Take the change back")
	h.until(`!document.querySelector(".branches")`)
	h.Evaluate(`document.getElementById("part").value = "new horn"`, nil)
	h.press("On a new rung")
	h.until(`document.getElementById("source").value.includes("- [B1]")`)
	h.press("Wires from the rungs")
	h.until(`document.getElementById("source").value.includes("wires: ")`)
	h.press("Take the change back")

	h.Evaluate(`{ const s = document.getElementById("source"), at = s.value.indexOf("type: lamp") + 6;
		s.setSelectionRange(at, at + 4); s.setRangeText("so", at, at + 4, "end"); s.dispatchEvent(new Event("input")) }`, nil)
	h.until(`document.querySelector("#words button")`)
	h.until(`document.querySelector("#mistakes button")`)
	h.picture("page-words")
	now := source()
	h.Reload()
	h.until(`document.querySelector("#mistakes button")`)
	assert.Equal(t, now, source(), "what has mistakes is kept as well")
	h.Evaluate(`{ const s = document.getElementById("source"), at = s.value.indexOf("type: so") + 8; s.setSelectionRange(at, at); s.click() }`, nil)
	h.press("solenoid")
	h.until(`document.getElementById("source").value.includes("H1: {type: solenoid}")`)
}

// What is packed comes out as it went in, whatever its length.
func TestPacked(t *testing.T) {
	h := opened(t, browser.Options{}, "two-lamp")
	random := rand.New(rand.NewPCG(1, 2))
	for n := range 40 {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(random.IntN(256) * random.IntN(2))
		}
		text := packed(b)
		assert.NotContains(t, text, "<")
		var out []byte
		var got []int
		h.Evaluate(fmt.Sprintf("(function () { %s; return [...unpacked(%q)]; })()", unpacking, text), &got)
		for _, v := range got {
			out = append(out, byte(v))
		}
		assert.Equal(t, string(b), string(out))
	}
}

// What was answered stays, whether one goes back, opens the page anew, or the tab is killed.
func TestPageLosesNothing(t *testing.T) {
	h := opened(t, browser.Options{Width: 390, Height: 800}, "cold-store-alarm")
	h.press("Find what is wrong")
	h.press("nothing more to tell")
	h.until(`document.getElementById("question").textContent.startsWith("TR1")`)
	h.press("TR1 is off")
	h.until(`!document.getElementById("ask").hidden && !document.getElementById("question").textContent.startsWith("TR1")`)
	second := h.asked()
	h.Reload()
	assert.Equal(t, second, h.asked())
	h.Back()
	h.press("Cold-store alarm, 20")
	assert.Equal(t, second, h.asked())
	assert.Contains(t, h.Text("#told"), "1 answer")
}
