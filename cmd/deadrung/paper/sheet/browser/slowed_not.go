//go:build !unix

package browser

// Slowed makes all that a page does so many times slower; not on this system.
func (b *Browser) Slowed(int) {
	b.t.Helper()
	b.t.Skip("processes are not slowed on this system")
}
