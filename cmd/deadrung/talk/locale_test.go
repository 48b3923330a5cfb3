package talk

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestUTF8(t *testing.T) {
	for _, c := range []struct {
		env  map[string]string
		want bool
	}{
		{nil, true},
		{map[string]string{"LANG": "C"}, false},
		{map[string]string{"LANG": "POSIX"}, false},
		{map[string]string{"LANG": "C.UTF-8"}, true},
		{map[string]string{"LANG": "en_GB.utf8"}, true},
		{map[string]string{"LANG": "en_GB.ISO8859-1"}, false},
		{map[string]string{"LANG": "en_GB.UTF-8", "LC_ALL": "C"}, false},
		{map[string]string{"LANG": "C", "LC_CTYPE": "en_US.UTF-8"}, true},
		{map[string]string{"LANG": "C", "LC_ALL": ""}, false},
	} {
		assert.Equal(t, c.want, UTF8(func(name string) string { return c.env[name] }), "%v", c.env)
	}
}
