package engine

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// lamp is a circuit that is quick to search.
const lamp = `circuit: Lamp
devices:
  PWS1: {type: supply, volts: 120}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
wires:
  1: [PWS1:L, PB1:13]
  2: [PWS1:N, H1:2]
  3: [PB1:14, H1:1]
operation:
  - step: let go
    expect: {H1: off}
  - step: pressed
    set: {PB1: pressed}
    expect: {H1: on}
`

// posted gathers what an engine posts, and sees that the page can read it.
type posted struct {
	testing.TB
	mu   sync.Mutex
	kept bytes.Buffer
	all  []Kind
}

func (p *posted) post(m Message) {
	p.mu.Lock()
	defer p.mu.Unlock()
	text, err := json.Marshal(m)
	require.NoError(p, err)
	require.True(p, json.Valid(text))
	p.all = append(p.all, m.Kind)
	p.kept.WriteString(m.Lines)
	if m.Asked != nil {
		require.NotEmpty(p, m.Asked.Choices, "%s", text)
	}
}

// FuzzOrders: whatever the page sends, in JSON or typed, is answered; the session ends when it is
// told to, and what it had kept is a log.
func FuzzOrders(f *testing.F) {
	c, problems := read.Read("lamp.yaml", []byte(lamp))
	require.NoError(f, problems.Err())
	panel := work.Assemble(c)
	book := log.NewBook(panel, faultmodel.List(panel, faultmodel.Options{}))
	noon := func() time.Time { return time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC) }
	for _, seed := range []string{
		"none\nok\non\noff\nwhy\nback\nunsure\n120\nOL\npossible\nother\n1\nstop",
		"1\n1\nok\nok\n1\ncannot\nseen\nH1\nburnt\nagain\nnote\nloose\n120 V\n0\n0\n0\nrepaired\nright\nright",
		"work\n2\nlook\nH1\nlock\ntry\nmeter\ndead\nmeter\nohms H1:1 H1:2\nname\nH1\nrepair\nopen-H1\nrestore\nprove\nright\nright",
		`{"do":"answer","choice":0}` + "\n" + `{"do":"answer","choice":-1}` + "\n" + `{"do":"answer","then":["none","ok","120","","x"]}` + "\n" +
			`{"do":"draw","step":1,"off":true,"iec":true}` + "\n" + `{"do":"draw","wired":true}` + "\n" + `{"do":"draw","step":99}` + "\n" + `{"do":"report"}` + "\n" +
			`{"do":"read","text":"circuit: \u0000"}` + "\n" + `{"do":"answer","choice":99}` + "\n" + `{"do":"x"}`,
	} {
		f.Add(false, uint64(0), []byte(nil), []byte(seed))
		f.Add(true, uint64(3), []byte(nil), []byte(seed))
	}
	f.Add(false, uint64(0), []byte(`{"look":"H1","step":"pressed","saw":"off"}`+"\n"), []byte("ok\n0"))
	f.Add(true, uint64(0), []byte(`{"act":"begin","hidden":"0123"}`+"\n{"), []byte("look"))
	f.Fuzz(func(t *testing.T, practice bool, seed uint64, kept, text []byte) {
		p := &posted{TB: t}
		p.kept.Write(kept)
		e := New(p.post, noon)
		ctx, stop := context.WithCancel(context.Background())
		defer stop()
		answers, ended := make(chan Order), make(chan error, 1)
		go func() {
			ended <- e.hold(ctx, Order{Do: Open, Name: "lamp.yaml", Text: lamp, Log: string(kept), Practice: practice, Seed: seed}, answers)
		}()
		over := false
		for i, line := range strings.Split(string(text), "\n") {
			if i == 40 || over {
				break
			}
			var o Order
			if json.Unmarshal([]byte(line), &o) != nil || o.Do == Answer {
				if o.Do == "" {
					o = Order{Do: Answer, Text: line}
				}
				select {
				case answers <- o:
				case err := <-ended:
					over = true
					ended <- err
				}
			}
		}
		if !over { // nothing is being worked on when an answer is waited for
			select {
			case answers <- Order{Do: Answer, Text: "possible"}:
			case err := <-ended:
				ended <- err
			}
		}
		stop()
		if err := <-ended; err != nil && ctx.Err() == nil {
			t.Fatal(err)
		}
		p.mu.Lock()
		defer p.mu.Unlock()
		require.NotEmpty(t, p.all)
		if _, before := book.ReadLog("kept", kept); before.Err() == nil && len(before) == 0 && (len(kept) == 0 || bytes.HasSuffix(kept, []byte("\n"))) {
			_, now := book.ReadLog("kept", p.kept.Bytes())
			require.Empty(t, now, "%s", p.kept.Bytes())
		}
		for _, o := range strings.Split(string(text), "\n") { // what is asked beside the session
			var order Order
			if json.Unmarshal([]byte(o), &order) == nil && order.Do != Open {
				p.mu.Unlock()
				e.Take(order)
				p.mu.Lock()
			}
		}
	})
}
