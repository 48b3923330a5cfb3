package paper

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// readBack reads an SVG and gives its texts; every place in it must lie in the picture.
func readBack(t *testing.T, svg []byte) (texts []string, elements map[string]int) {
	t.Helper()
	elements = map[string]int{}
	for d := xml.NewDecoder(bytes.NewReader(svg)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return texts, elements
		}
		require.NoError(t, err)
		switch e := token.(type) {
		case xml.StartElement:
			elements[e.Name.Local]++
			for _, a := range e.Attr {
				limit := map[string]float64{"x": pictureWide, "cx": pictureWide, "y": pictureHigh,
					"cy": pictureHigh}[a.Name.Local]
				if limit == 0 {
					continue
				}
				v, err := strconv.ParseFloat(a.Value, 64)
				require.NoError(t, err)
				assert.True(t, v >= 0 && v <= limit, "%s %s=%s", e.Name.Local, a.Name.Local, a.Value)
			}
		case xml.CharData:
			if s := strings.TrimSpace(string(e)); s != "" {
				texts = append(texts, s)
			}
		}
	}
}

// TestPictures: what is drawn can be read back, and says what it shows.
func TestPictures(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	s := training.NewSitting(m, 3, 1)
	_, _, err := s.Complain("")
	require.NoError(t, err)
	for _, c := range []log.Check{{Look: "B1"}, {Look: "H1"}, {Look: "TR1"}} {
		if s.StepName() == "" {
			_, err := s.Do(log.Act{Kind: log.WorkAct, Step: m.Panel().Circuit.Steps[0].Name})
			require.NoError(t, err)
		}
		c.Step = s.StepName()
		_, _, err := s.Check(c, "")
		require.NoError(t, err)
	}
	r, err := training.Play(s, diagnose.ByMinutes)
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, DrawReplay(&b, talk.NewSpeaker(m), &r, true))
	texts, elements := readBack(t, b.Bytes())
	assert.Contains(t, texts, "Doubt falling: Cold-store alarm")
	assert.Contains(t, texts, "you: 3 checks, 20 s")
	assert.Equal(t, 1+1+3, elements["circle"], "one in the key, one for the start and each check")
	assert.Equal(t, 1+1+1+len(r.Guided.Checks), elements["rect"],
		"the ground, the key, the start and each check")

	b.Reset()
	run := training.TwoWireLine().Start(4)
	run.Check(0)
	require.NoError(t, DrawDrill(&b, run, 3.77))
	texts, _ = readBack(t, b.Bytes())
	assert.Contains(t, texts, "The best takes 3.77 checks in the mean.")

	b.Reset()
	scores := make([]training.Score, 100)
	for i := range scores {
		scores[i] = training.Score{Circuit: "A & <B>", Checks: i + 1, Needed: 3, Right: i%7 > 0}
	}
	require.NoError(t, DrawScores(&b, scores))
	texts, _ = readBack(t, b.Bytes())
	assert.Contains(t, strings.Join(texts, "\n"), "The last 60 of 100.")
	assert.Contains(t, strings.Join(texts, "\n"), "A & <B>")
	b.Reset()
	require.NoError(t, DrawScores(&b, nil))
	readBack(t, b.Bytes())
}
