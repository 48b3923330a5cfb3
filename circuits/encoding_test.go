package circuits

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestUTF16(t *testing.T) {
	for _, text := range []string{"\xFF\xFEa\x00", "\xFE\xFF\x00a", "\xFF\xFE", "c\x00i\x00", "\x00c\x00i"} {
		if p := UTF16("f", []byte(text)); assert.NotNil(t, p, "%q", text) {
			assert.Equal(t, "f:1:1: the file is in UTF-16, as some editors save it; right: save it as UTF-8", p.String())
		}
	}
	for _, text := range []string{"", "a", "circuit: x", ByteOrderMark + "a", "\x00\x00", "\x00", "\xFFa"} {
		assert.Nil(t, UTF16("f", []byte(text)), "%q", text)
	}
}
