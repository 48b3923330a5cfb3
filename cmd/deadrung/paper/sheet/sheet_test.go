package sheet_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/paper/sheet/browser"
)

// A sheet reads in a browser at the width of a phone, with nothing that sticks out.
func TestSheet(t *testing.T) {
	var b bytes.Buffer
	page := sheet.Page{
		Title:    `Door <alarm> "one"`,
		Under:    "10 devices",
		Cautions: []string{"Live parts at 120 V & more."},
		Body:     "<p id=here>body</p>",
		Script:   "document.getElementById('here').textContent = 'script ran'",
	}
	require.NoError(t, page.Write(&b))
	file := filepath.Join(t.TempDir(), "sheet.html")
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o600))

	phone := browser.Open(t, browser.Options{Width: 360, Height: 640})
	phone.Go(file)
	require.Contains(t, phone.Text("h1"), `Door <alarm> "one"`)
	require.Contains(t, phone.Text(".caution"), "120 V & more")
	require.Equal(t, "script ran", phone.Text("#here"))
	require.Empty(t, phone.SticksOut())

	still := browser.Open(t, browser.Options{Width: 360, Height: 640, NoScript: true})
	still.Go(file)
	require.Equal(t, "body", still.Text("#here"))
}
