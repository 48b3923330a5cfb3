//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package disk

import (
	"errors"
	"os"
	"syscall"
)

// lock locks a file for as long as it is open, against programs that ask as well. A file
// system that cannot lock is taken as it is.
func lock(f *os.File) error {
	for {
		err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case errors.Is(err, syscall.EINTR):
			continue
		case errors.Is(err, syscall.EWOULDBLOCK):
			return ErrInUse
		}
		return nil
	}
}
