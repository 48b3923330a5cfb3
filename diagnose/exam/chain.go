package exam

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
)

// The chain of an answer log: every line ends in a field "chain", which is made of the
// candidate's key, the chain of the line before and the line itself. A line that is
// changed, put in, taken out or moved breaks it from there on. What it cannot show: lines
// taken off the end (the receipt shows that), and a log that was made from its beginning
// by somebody who has the key, for the packet that writes the chain holds the key.

// Chain makes the chain of one log, line by line.
type Chain struct {
	key  []byte
	last []byte
}

// chainLength is how many bytes of each link are written.
const chainLength = 16

// NewChain begins the chain of a sitting.
func NewChain(key []byte, sitting string) *Chain {
	return &Chain{key: key, last: []byte(sitting)}
}

// link is the link of a line, which has neither its chain nor its line end.
func (c *Chain) link(line []byte) []byte {
	h := hmac.New(sha256.New, c.key)
	h.Write(c.last)
	h.Write([]byte{0})
	h.Write(line)
	return h.Sum(nil)[:chainLength]
}

// Add gives a line with its link. The line is one JSON object with its line end.
func (c *Chain) Add(line []byte) []byte {
	line = bytes.TrimSuffix(line, []byte("\n"))
	c.last = c.link(line)
	return fmt.Appendf(nil, "%s,\"chain\":\"%x\"}\n", bytes.TrimSuffix(line, []byte("}")), c.last)
}

// Receipt is what a candidate hands over when the sitting ends: who has it knows how the
// log ended.
func (c *Chain) Receipt() string {
	h := hmac.New(sha256.New, []byte("receipt"))
	h.Write(c.last)
	sum := hex.EncodeToString(h.Sum(nil)[:4])
	return sum[:4] + "-" + sum[4:]
}

// Followed is what came of reading a log along its chain.
type Followed struct {
	// Broken is the first line that its link does not fit, or that has none; zero if there is
	// none such.
	Broken int
	// Torn is a last line that was cut short, as when the power fails while it is written;
	// zero if there is none. It says nothing and accuses nobody.
	Torn int
	// Linked is how many bytes of the text are linked from its beginning without a gap.
	// Nothing behind them is ever marked.
	Linked int
}

// Follow reads a log to its end. The chain then goes on from the last link as it is
// written. Only a last line that has no line end and is no whole JSON object was cut short;
// every other line without its right link breaks the chain.
func (c *Chain) Follow(text []byte) Followed {
	var f Followed
	n, at := 0, len(text)-len(bytes.TrimPrefix(text, byteOrderMark)) // of an editor that changed nothing else
	for raw := range bytes.Lines(text[at:]) {
		n++
		at += len(raw)
		line := bytes.TrimRight(raw, "\r\n")
		if link, right := c.linked(line); right {
			c.last = link
			if f.Broken == 0 {
				f.Linked = at
			}
			continue
		} else if link != nil {
			c.last = link
		}
		switch {
		case len(bytes.TrimSpace(line)) == 0:
		case !bytes.HasSuffix(raw, []byte("\n")) && !json.Valid(line):
			f.Torn = n
		case f.Broken == 0:
			f.Broken = n
		}
	}
	return f
}

var byteOrderMark = []byte("\uFEFF")

// linked gives the link of a line as it is written, nil for none, and whether it is right.
func (c *Chain) linked(line []byte) (link []byte, right bool) {
	body, tail, found := cutLast(line, []byte(`,"chain":"`))
	tail, closed := bytes.CutSuffix(tail, []byte(`"}`))
	link, err := hex.DecodeString(string(tail))
	if !found || !closed || err != nil || len(link) != chainLength {
		return nil, false
	}
	return link, hmac.Equal(link, c.link(append(bytes.Clone(body), '}')))
}

func cutLast(b, sep []byte) (before, after []byte, found bool) {
	i := bytes.LastIndex(b, sep)
	if i < 0 {
		return b, nil, false
	}
	return b[:i], b[i+len(sep):], true
}
