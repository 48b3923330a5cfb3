package talk

import "strings"

// UTF8 tells whether the locale of the environment has UTF-8, by the order of POSIX. One that
// says nothing is taken to have it.
func UTF8(env func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if set := env(name); set != "" {
			set = strings.ToLower(strings.ReplaceAll(set, "-", ""))
			return strings.Contains(set, "utf8")
		}
	}
	return true
}
