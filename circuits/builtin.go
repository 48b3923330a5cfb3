package circuits

import (
	"embed"
	"io/fs"
	"strings"
)

//go:embed *.yaml
var builtin embed.FS

// Builtin lists the names of the built-in circuits, in order.
func Builtin() []string {
	entries, err := fs.ReadDir(builtin, ".")
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), ".yaml"))
	}
	return names
}

// BuiltinText gives the file of a built-in circuit; false if there is none of that
// name.
func BuiltinText(name string) ([]byte, bool) {
	text, err := builtin.ReadFile(name + ".yaml")
	return text, err == nil
}

// Suggest ends an error about an unknown word: with the known one that was probably
// meant, else with all of them.
func Suggest(word string, known []string) string {
	if near := nearest(word, known); near != "" {
		return "; perhaps " + near + " is meant"
	}
	if len(known) == 0 || len(known) > 20 {
		return ""
	}
	return "; there are " + strings.Join(known, ", ")
}
