package circuits

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Nearest gives the one of the known words that was probably meant, or "" if none is
// near. Words that differ in case or in the strokes between their parts are the
// Nearest; else up to a third of the letters may be wrong, missing, added or swapped.
func Nearest(word string, known []string) string {
	if len(word) > 4*LongestName {
		return ""
	}
	folded := fold(word)
	most := utf8.RuneCountInString(folded) / 3
	if most == 0 && utf8.RuneCountInString(folded) == 2 {
		most = 1
	}
	best, bestDistance := "", most+1
	for _, k := range known {
		if d := distance(folded, fold(k), bestDistance); d < bestDistance {
			best, bestDistance = k, d
		}
	}
	return best
}

// SameWord tells whether two spellings are ones that people do not tell apart.
func SameWord(a, b string) bool { return fold(a) == fold(b) }

// fold makes spellings equal that people do not tell apart, on paper or on a ferrule.
func fold(word string) string {
	folded := strings.Map(func(c rune) rune {
		switch c {
		case '_', ' ', '-':
			return -1
		case 'o':
			return '0'
		case 'i', 'l':
			return '1'
		}
		return c
	}, strings.ToLower(word))
	if folded == "" {
		return word
	}
	return folded
}

// distance counts the letters to change, add, take away or swap with their
// neighbour to make a into b (optimal string alignment). It gives up at most.
func distance(a, b string, most int) int {
	s, t := []rune(a), []rune(b)
	if len(s)-len(t) >= most || len(t)-len(s) >= most {
		return most
	}
	// Three rows of the table are enough: two before, one before, this one.
	before, last, this := make([]int, len(t)+1), make([]int, len(t)+1), make([]int, len(t)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(s); i++ {
		this[0] = i
		for j := 1; j <= len(t); j++ {
			change := last[j-1]
			if s[i-1] != t[j-1] {
				change++
			}
			this[j] = min(change, last[j]+1, this[j-1]+1)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				this[j] = min(this[j], before[j-2]+1)
			}
		}
		before, last, this = last, this, before
	}
	return last[len(t)]
}

// These many words of a list are shown in a hint.
const ShownWords = 24

// Listed writes words as "a, b or c".
func Listed(words []string) string {
	if len(words) > ShownWords {
		return strings.Join(words[:ShownWords], ", ") + " and others"
	}
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// Suggest ends an error about an unknown word: with the known one that was probably
// meant, else with all of them.
func Suggest(word string, known []string) string {
	if near := Nearest(word, known); near != "" {
		return "; perhaps " + set(near) + " is meant"
	}
	if len(known) == 0 || len(known) > 20 {
		return ""
	}
	words := make([]string, len(known))
	for i, w := range known {
		words[i] = set(w)
	}
	return "; there are " + strings.Join(words, ", ")
}

// set puts a name of several words in quotes, so that it is seen where it ends.
func set(name string) string {
	if strings.ContainsAny(name, " ,") {
		return Quote(name)
	}
	return name
}

// Longest designation, terminal name, wire number, place or position.
const LongestName = 40

// Quote writes a piece of the file for a message: in quotes, on one line, not long.
func Quote(s string) string {
	if utf8.RuneCountInString(s) > LongestName {
		s = string([]rune(s)[:LongestName]) + "…"
	}
	return strconv.Quote(s)
}

// Counted gives a number of things, as in 1 terminal, 2 terminals.
func Counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
