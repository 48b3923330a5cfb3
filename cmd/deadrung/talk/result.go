package talk

import (
	"fmt"
	"io"
	"os"
)

// Result is where a result goes: standard output or a file. It remembers the first
// failure, so that nobody has to look at what each line of a result came to.
type Result struct {
	To  io.Writer
	Err error
}

// Write writes, unless that has failed before.
func (r *Result) Write(b []byte) (int, error) {
	if r.Err != nil {
		return 0, r.Err
	}
	n, err := r.To.Write(b)
	if err != nil {
		r.Err = fmt.Errorf("cannot write the result: %w", err)
	}
	return n, r.Err
}

// FileOf gives the file that a stream is; nil if it is none.
func FileOf(stream any) *os.File {
	if r, ok := stream.(*Result); ok {
		stream = r.To
	}
	f, _ := stream.(*os.File)
	return f
}
