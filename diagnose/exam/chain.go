package exam

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
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

// Follow reads a log to its end and gives the number of the first line that breaks the
// chain; zero if none does. The chain then goes on from the last link as it is written. A
// last line that was cut short is passed over.
func (c *Chain) Follow(text []byte) (broken int) {
	n := 0
	text = bytes.TrimPrefix(text, []byte("\uFEFF")) // of an editor that changed nothing else
	for line := range bytes.Lines(text) {
		n++
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		whole := bytes.HasSuffix(line, []byte("\n"))
		line = bytes.TrimRight(line, "\r\n")
		body, tail, found := cutLast(line, []byte(`,"chain":"`))
		link, err := hex.DecodeString(string(bytes.TrimSuffix(tail, []byte(`"}`))))
		if !found || err != nil || !bytes.HasSuffix(tail, []byte(`"}`)) {
			if whole && broken == 0 {
				broken = n
			}
			continue
		}
		if !hmac.Equal(link, c.link(append(bytes.Clone(body), '}'))) && broken == 0 {
			broken = n
		}
		c.last = link
	}
	return broken
}

func cutLast(b, sep []byte) (before, after []byte, found bool) {
	i := bytes.LastIndex(b, sep)
	if i < 0 {
		return b, nil, false
	}
	return b[:i], b[i+len(sep):], true
}
