package talk

import "strings"

// moreKey shows what stands in a menu only when it is asked for.
const moreKey = 'm'

// letters are the keys that a choice may get.
const letters = "abcdefghijklmnopqrstuvwxyz"

// keysOf gives each choice the key that takes it; zero where none is left. A choice has its
// own key, or the first letter of its word that is free; one without a word has a number,
// where numbers are no readings.
func keysOf(choices []Choice, numbers bool) []byte {
	keys := make([]byte, len(choices))
	taken := map[byte]bool{moreKey: true}
	give := func(i int, from string) {
		for k := 0; k < len(from) && keys[i] == 0; k++ {
			if b := from[k]; !taken[b] && (strings.IndexByte(letters, b) >= 0 || numbers && b >= '1' && b <= '9') {
				keys[i], taken[b] = b, true
			}
		}
	}
	for i, c := range choices {
		if c.Key != 0 {
			give(i, string(rune(c.Key)))
		}
	}
	for i, c := range choices {
		if c.Word != "" {
			give(i, Fold(c.Word))
		}
	}
	for i, c := range choices {
		if c.Word == "" {
			give(i, "123456789")
		}
	}
	for i := range choices {
		give(i, letters)
	}
	return keys
}
