package diagnose

// Since is the index of the first reading after the last repair, zero if there was none:
// what was read before it was read on another panel, and no longer counts.
func (l Log) Since() int {
	for i := len(l.Entries) - 1; i >= 0; i-- {
		if l.Entries[i].Repaired {
			return i
		}
	}
	return 0
}
