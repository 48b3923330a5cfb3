package paper

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestStepList(t *testing.T) {
	for _, c := range []struct {
		numbers []int
		want    string
	}{
		{[]int{3}, "step 3"},
		{[]int{3, 4}, "steps 3, 4"},
		{[]int{1, 2, 3}, "steps 1 to 3"},
		{[]int{1, 3, 5}, "steps 1, 3, 5"},
		{[]int{1, 2, 3, 4, 6, 8, 9, 11, 12, 13}, "steps 1 to 4, 6, 8, 9, 11 to 13"},
	} {
		assert.Equal(t, c.want, stepList(c.numbers))
	}
}
