package circuits

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNearest(t *testing.T) {
	known := []string{"limit-switch", "lamp", "relay", "CR1", "A1", "+", "-", "no", "off"}
	tests := []struct{ word, want string }{
		{"limit switch", "limit-switch"},
		{"LimitSwitch", "limit-switch"},
		{"limt-swich", "limit-switch"},
		{"limit-switch-of-a-door", ""},
		{"lmap", "lamp"},  // swapped
		{"lam", "lamp"},   // missing
		{"laamp", "lamp"}, // doubled
		{"lump", "lamp"},
		{"limp", "lamp"},
		{"lime", ""},
		{"cr1", "CR1"},
		{"CR11", "CR1"},
		{"a1", "A1"},
		{"CRl", "CR1"},
		{"CRI", "CR1"},
		{"A2", "A1"},
		{"x", ""},
		{"NO", "no"},
		{"of", "off"},
		{"", ""},
	}
	for _, test := range tests {
		assert.Equal(t, test.want, Nearest(test.word, known), test.word)
	}
}

func TestDistance(t *testing.T) {
	tests := []struct {
		a, b string
		want int
	}{
		{"", "", 0},
		{"", "abc", 3},
		{"abc", "", 3},
		{"abc", "abc", 0},
		{"abc", "abd", 1},
		{"abc", "acb", 1},
		{"abcd", "badc", 2},
		{"kitten", "sitting", 3}, // the usual example of the distance
		{"ca", "abc", 3},         // 2 if a swapped pair might be changed again
		{"größe", "grösse", 2},
	}
	for _, test := range tests {
		assert.Equal(t, test.want, distance(test.a, test.b, 99), "%s %s", test.a, test.b)
		assert.Equal(t, test.want, distance(test.b, test.a, 99), "%s %s", test.b, test.a)
	}
}

func TestListed(t *testing.T) {
	assert.Equal(t, "", Listed(nil))
	assert.Equal(t, "a", Listed([]string{"a"}))
	assert.Equal(t, "a or b", Listed([]string{"a", "b"}))
	assert.Equal(t, "a, b or c", Listed([]string{"a", "b", "c"}))
	assert.Contains(t, Listed(make([]string, 100)), "and others")
}
