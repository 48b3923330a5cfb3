package talk

import "strings"

// Marked keeps a text from being taken for Markdown.
func Marked(s string) string {
	return strings.NewReplacer("|", "\\|", "<", "&lt;", "*", "\\*", "_", "\\_", "`", "\\`", "\n",
		" ").Replace(s)
}
