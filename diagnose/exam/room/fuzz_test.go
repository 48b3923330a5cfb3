package room

import (
	"bytes"
	"encoding/json"
	"io"
	"net"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"deadrung/diagnose/exam"
)

// Whatever comes over a connection, before or after a sitting is proved, answering it comes to
// an end; each reply is one line, and the files hold whole lines of JSON alone.
func FuzzServed(f *testing.F) {
	r := equipped(f, "7")
	id := exam.SittingID(r.set.Key.Exam, 1, 1)
	hello, err := json.Marshal(request{Sitting: id, Proof: proofOf(r.set.Key.Keys[0].Chain, id), Program: "one"})
	require.NoError(f, err)
	for _, seed := range []string{
		`{"check":{"look":"H1","step":"bay shut"},"worked":0,"nth":1}` + "\n",
		`{"check":{"volts":["F1:1","F1:2"],"step":"bay shut"},"worked":-9,"nth":-9}` + "\n" + `{"keep":"{\"a\":1}","line":1}` + "\n" + `{"fetch":1}` + "\n",
		`{"check":{"ohms":["H1:1","H1:2"],"lifted":["H1:1"]},"worked":99}` + "\n" + `{"keep":"{\"act\":\"state\"}"}` + "\n" + `{"check":{"look":"H1"}}` + "\n",
		`{"keep":"x","line":-1}` + "\n" + `{"fetch":-1}` + "\n{}\nnull\n[]\n",
		`{"check":{"look":"H1","volts":["a"],"ohms":["b","c","d"]}}` + "\n",
		`{"pong":true}` + "\n" + `{"ping":true}` + "\n" + `{"check":{"look":"H1"},"keep":"{}","fetch":1,"pong":true}` + "\n",
		"\x00\xff\n",
	} {
		f.Add(true, []byte(seed))
		f.Add(false, []byte(seed))
	}
	f.Fuzz(func(t *testing.T, proved bool, text []byte) {
		r.copies[0], r.copies[1] = &sheet{}, &sheet{}
		server := &Server{Key: r.server.Key, Models: r.server.Models, Clock: r.server.Clock,
			Open: func(int, int) (Copy, Copy, error) { return r.copies[0], r.copies[1], nil }, Failed: r.server.Failed}
		near, far := net.Pipe()
		ended, replies := make(chan struct{}), make(chan []byte, 1)
		go func() { server.answer(far, func() {}); far.Close(); close(ended) }()
		go func() { all, _ := io.ReadAll(near); replies <- all }()
		if proved {
			_, _ = near.Write(append(bytes.Clone(hello), '\n'))
		}
		_, _ = near.Write(text)
		near.Close()
		select {
		case <-ended:
		case <-time.After(20 * time.Second):
			t.Fatal("it does not end")
		}
		for line := range bytes.Lines(<-replies) {
			require.True(t, !bytes.HasSuffix(line, []byte("\n")) || json.Valid(line), "%q", line)
		}
		if !proved {
			require.Empty(t, r.copies[0].Text())
		}
		for _, c := range r.copies {
			for line := range bytes.Lines(c.Text()) {
				require.True(t, bytes.HasSuffix(line, []byte("\n")) && json.Valid(line), "%q", line)
			}
		}
		if proved {
			require.Zero(t, r.record().Broken)
		}
		require.LessOrEqual(t, r.record().Asked.Once, r.record().Asked.All)
	})
}
