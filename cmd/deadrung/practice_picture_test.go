package main

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

	"deadrung/diagnose"
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
				limit := map[string]float64{"x": pictureWide, "cx": pictureWide, "y": pictureHigh, "cy": pictureHigh}[a.Name.Local]
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
	for _, c := range []diagnose.Check{{Look: "B1"}, {Look: "H1"}, {Look: "TR1"}} {
		if s.StepName() == "" {
			_, err := s.Do(diagnose.Act{Kind: diagnose.WorkAct, Step: m.Panel().Circuit.Steps[0].Name})
			require.NoError(t, err)
		}
		c.Step = s.StepName()
		_, _, err := s.Check(c, "")
		require.NoError(t, err)
	}
	r, err := training.Play(s, diagnose.ByMinutes)
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, drawReplay(&b, newSpeaker(m), &r, true))
	texts, elements := readBack(t, b.Bytes())
	assert.Contains(t, texts, "Doubt falling: Cold-store alarm")
	assert.Contains(t, texts, "you: 3 checks, 20 s")
	assert.Equal(t, 1+1+3, elements["circle"], "one in the key, one for the start and each check")
	assert.Equal(t, 1+1+1+len(r.Guided.Checks), elements["rect"], "the ground, the key, the start and each check")

	b.Reset()
	run := training.TwoWireLine().Start(4)
	run.Check(0)
	require.NoError(t, drawDrill(&b, run, 3.77))
	texts, _ = readBack(t, b.Bytes())
	assert.Contains(t, texts, "The best takes 3.77 checks in the mean.")

	b.Reset()
	scores := make([]training.Score, 100)
	for i := range scores {
		scores[i] = training.Score{Circuit: "A & <B>", Checks: i + 1, Needed: 3, Right: i%7 > 0}
	}
	require.NoError(t, drawScores(&b, scores))
	texts, _ = readBack(t, b.Bytes())
	assert.Contains(t, strings.Join(texts, "\n"), "The last 60 of 100.")
	assert.Contains(t, strings.Join(texts, "\n"), "A & <B>")
	b.Reset()
	require.NoError(t, drawScores(&b, nil))
	readBack(t, b.Bytes())
}

// TestFigures: readings in the figures of a meter of 6000 counts.
func TestFigures(t *testing.T) {
	for _, tt := range []struct {
		kind  diagnose.Kind
		value float64
		want  string
	}{
		{diagnose.Volts, 118.9, "118.9 V"}, {diagnose.Volts, 0, "0.000 V"}, {diagnose.Volts, 23.97, "23.97 V"}, {diagnose.Volts, 612, "612 V"},
		{diagnose.Ohms, 0.3, "0.3 ohm"}, {diagnose.Ohms, 599.9, "599.9 ohm"}, {diagnose.Ohms, 2410, "2.410 kohm"}, {diagnose.Ohms, 24100, "24.10 kohm"},
		{diagnose.Ohms, 241000, "241.0 kohm"}, {diagnose.Ohms, 2.41e6, "2.410 Mohm"}, {diagnose.Ohms, 24.1e6, "24.10 Mohm"}, {diagnose.Ohms, diagnose.OL, "OL"},
	} {
		assert.Equal(t, tt.want, figures(tt.kind, tt.value))
	}
}

// TestFaultsAt: a fault is named by its place, however it is typed.
func TestFaultsAt(t *testing.T) {
	tr := &trainee{m: builtinModel(t, "cold-store-alarm")}
	tr.speak = newSpeaker(tr.m)
	ids := func(typed string) (out []string) {
		for _, f := range tr.faultsAt(typed) {
			out = append(out, string(tr.m.Faults()[f].ID))
		}
		return out
	}
	assert.Equal(t, []string{"open-B1", "shorted-B1"}, ids("b1"))
	assert.Equal(t, []string{"open-CR1:22-B1:1", "open-CR1:21-22", "closed-CR1:21-22"}, ids("cr1:22"))
	assert.Contains(t, ids("wire 7"), "open-CR1:22-B1:1")
	assert.Contains(t, ids("7"), "ground-7")
	assert.Equal(t, []string{"open-H1"}, ids("OPEN-h1"))
	assert.Empty(t, ids("nothing"))
}
