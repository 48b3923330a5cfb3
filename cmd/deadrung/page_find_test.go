package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/page/engine"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// paged is a page that a test works: what the engine posts comes in order.
type paged struct {
	*testing.T
	engine *engine.Engine
	posted chan engine.Message
	kept   string
	told   string
}

func newPaged(t *testing.T) *paged {
	p := &paged{T: t, posted: make(chan engine.Message, 1000)}
	p.engine = engine.New(func(m engine.Message) { p.posted <- m }, noon)
	return p
}

// asked gives the next question; nil at the end of the session.
func (p *paged) asked() *engine.Asked {
	for {
		select {
		case m := <-p.posted:
			switch m.Kind {
			case engine.Kept:
				p.kept += m.Lines
			case engine.Told:
				for _, piece := range m.Pieces {
					p.told += piece.Label + " " + piece.Text + "\n"
				}
			case engine.Asking:
				return m.Asked
			case engine.Over:
				return nil
			case engine.Failed, engine.Mistaken:
				require.Fail(p, "the engine failed", "%+v", m)
			}
		case <-time.After(time.Minute):
			require.Fail(p, "the engine does not ask")
		}
	}
}

func (p *paged) answer(text string) { p.engine.Take(engine.Order{Do: engine.Answer, Text: text}) }

// typedAs is a reading as a person types it.
func typedAs(c log.Check, r log.Reading) string {
	switch {
	case c.Kind() == log.Look && r.On:
		return "on"
	case c.Kind() == log.Look:
		return "off"
	case r.Value == log.OL:
		return "OL"
	}
	return fmt.Sprintf("%.1f %s", r.Value, c.Kind().Unit())
}

// For every fault of three circuits a page asks the checks that "find --simulate" makes, one
// after the other, and comes to the same verdict.
func TestPageAsksWhatFindDoes(t *testing.T) {
	for _, name := range []string{"two-lamp", "cold-store-alarm", "start-stop"} {
		m := builtinModel(t, name)
		text, _ := circuits.BuiltinText(name)
		p := newPaged(t)
		for i, f := range m.Faults() {
			var out bytes.Buffer
			o := findOptions{circuit: name, by: "minutes", simulate: string(f.ID), seed: uint64(i), seeded: true, json: true,
				log: t.TempDir() + "/log.jsonl", now: noon}
			require.NoError(t, runSimulate(t.Context(), o, streams{out: &out, err: io.Discard}))
			var found simulated
			require.NoError(t, json.Unmarshal(out.Bytes(), &found))

			p.kept = ""
			p.engine.Take(engine.Order{Do: engine.Open, Name: name, Text: string(text)})
			rig := newRig(m, i, rand.New(rand.NewPCG(uint64(i), 1)))
			var last *engine.Asked
			for range 200 {
				last = p.asked()
				if last == nil || last.Place == guide.Repair || last.Place == guide.Idle {
					break
				}
				switch {
				case last.Wait:
					p.answer("ok")
				case last.Place == guide.Complaint:
					p.answer("none")
				default:
					require.NotNil(t, last.Check, "%s: %+v", f.ID, last)
					r, err := rig.read(*last.Check)
					require.NoError(t, err)
					p.answer(typedAs(*last.Check, r))
				}
			}
			require.NotNil(t, last)
			logged, err := os.ReadFile(o.log)
			require.NoError(t, err)
			simulated, problems := m.Book().ReadLog("simulated", logged)
			require.NoError(t, problems.Err())
			history, problems := m.Book().ReadLog("page", []byte(p.kept))
			require.NoError(t, problems.Err())
			turn := m.Turn(history, diagnose.Choosing{})
			assert.Equal(t, found.Status, turn.Status, f.ID)
			assert.Len(t, found.Verdict, len(turn.Left), f.ID)
			assert.Equal(t, checksOf(simulated), checksOf(history), f.ID)
		}
	}
}

// checksOf lists the checks of a log.
func checksOf(history log.Log) (made []string) {
	for _, e := range history.Entries {
		made = append(made, e.Check.String())
	}
	return made
}

// A practice on a page is brought to its end, and looked back on; what was kept of it goes on
// where it was.
func TestPagePractisesToTheEnd(t *testing.T) {
	text, _ := circuits.BuiltinText("two-lamp")
	p := newPaged(t)
	open := engine.Order{Do: engine.Open, Name: "two-lamp", Text: string(text), Practice: true, Seed: 3}
	p.engine.Take(open)
	require.Equal(t, guide.Act, p.asked().Place)
	p.engine.Take(engine.Order{Do: engine.Answer, Then: []string{"volts PWS1:L PWS1:N"}})
	require.Equal(t, guide.Act, p.asked().Place)
	assert.Contains(t, p.kept, `"volts":["PWS1:L","PWS1:N"]`)

	open.Log, p.kept = p.kept, ""
	p.engine.Take(open)
	require.Equal(t, guide.Act, p.asked().Place)
	assert.Empty(t, p.kept, "what was kept is not kept twice")
	p.engine.Take(engine.Order{Do: engine.Answer, Then: []string{"give-up", "yes"}})
	assert.Nil(t, p.asked(), "the practice is over")
	assert.Contains(t, p.told, "THE HIDDEN FAULT: ")
	assert.Contains(t, p.told, "REPLAY")
}
