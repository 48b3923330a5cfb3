package exam

import (
	"fmt"
	"testing"
	"time"

	"deadrung/circuits"
)

func TestSizes(t *testing.T) {
	for _, name := range circuits.Builtin() {
		m := modelOf(t, name)
		l := layoutOf(m)
		begin := time.Now()
		_, err := MakeReadings(m, 0, []byte("k"))
		fmt.Println(name, len(l.nodes), len(l.hands), l.steps, l.length, time.Since(begin), err)
	}
}
