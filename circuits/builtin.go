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
