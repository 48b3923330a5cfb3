package read

import (
	"slices"
	"strings"

	"deadrung/circuits"
)

// Complete gives the words that may stand at a place of a circuit file that is being written, by
// its schema: keys, and values where only some are right; where a designation is due, those of the
// devices. Only what begins as what stands before the place is given; typed is how many bytes that
// has. The place is a byte offset.
func Complete(text []byte, at int) (words []string, typed int) {
	before := string(text[:max(0, min(at, len(text)))])
	w := &writing{text: string(text)}
	for line := range strings.Lines(before) {
		w.line(strings.TrimRight(line, "\r\n"))
	}
	if strings.HasSuffix(before, "\n") || before == "" {
		w.line("")
	}
	for _, word := range w.words() {
		if strings.HasPrefix(word, w.token) && word != w.token && !slices.Contains(words, word) {
			words = append(words, word)
		}
	}
	slices.Sort(words)
	return words, len(w.token)
}

// within is one mapping or list around a place.
type within struct {
	indent int    // of a block; -1 in braces and brackets
	list   bool   // its items are a list
	key    string // the key whose value comes, if any
	kind   string // the type of the device whose keys these are, as far as it is written
}

// writing follows a file up to a place: which mappings and lists are open there.
type writing struct {
	text  string
	open  []within
	token string // what stands before the place, of the word that is being written
	value bool   // a value is due, not a key
}

func (w *writing) last() *within { return &w.open[len(w.open)-1] }

// inFlow tells whether braces or brackets are open.
func (w *writing) inFlow() bool { return len(w.open) > 0 && w.last().indent < 0 }

// line takes one line in, the last one up to the place.
func (w *writing) line(line string) {
	rest := strings.TrimLeft(line, " ")
	indent := len(line) - len(rest)
	if !w.inFlow() {
		if w.token = ""; rest != "" && rest[0] == '#' {
			return
		}
		for len(w.open) > 0 && w.last().indent > indent || len(w.open) > 0 && rest != "" && w.last().indent == indent &&
			w.last().list != strings.HasPrefix(rest, "-") {
			w.open = w.open[:len(w.open)-1]
		}
		for strings.HasPrefix(rest, "- ") || rest == "-" {
			w.block(indent, true)
			inner := strings.TrimLeft(rest[1:], " ")
			indent += len(rest) - len(inner)
			rest = inner
		}
		key, after, ok := strings.Cut(rest, ":")
		switch {
		case ok && (after == "" || after[0] == ' ') && !strings.ContainsAny(key, `{}[],"'`):
			w.block(indent, false)
			w.last().key = strings.TrimSpace(key)
			rest = after
			w.value = after != ""
		case strings.HasPrefix(rest, "{") || strings.HasPrefix(rest, "["):
			w.value = true
		default:
			if w.value = false; !(len(w.open) > 0 && w.last().list && w.last().indent < indent) || rest == "" {
				w.block(indent, false)
				w.last().key = ""
			} else {
				w.value = true
			}
		}
	}
	w.flow(rest)
}

// block stands in a block of an indent: a new one, or the one that is open there.
func (w *writing) block(indent int, list bool) {
	for len(w.open) > 0 && w.last().indent > indent {
		w.open = w.open[:len(w.open)-1]
	}
	if len(w.open) == 0 || w.last().indent != indent || w.last().list != list {
		w.open = append(w.open, within{indent: indent, list: list})
	}
}

// flow takes in the rest of a line: a value, or what stands in braces and brackets.
func (w *writing) flow(rest string) {
	w.token = ""
	end := func() {
		if len(w.open) > 0 && w.last().key == "type" && w.value {
			w.last().kind = strings.TrimSpace(w.token)
		}
		w.token = ""
	}
	for i := 0; i < len(rest); i++ {
		c := rest[i]
		switch {
		case c == '#' && (i == 0 || rest[i-1] == ' '):
			end()
			return
		case c == '{' || c == '[':
			w.open = append(w.open, within{indent: -1, list: c == '['})
			w.token, w.value = "", c == '['
		case (c == '}' || c == ']') && w.inFlow():
			end()
			w.open = w.open[:len(w.open)-1]
			w.value = true
		case c == ',' && w.inFlow():
			end()
			if w.value = w.last().list; !w.value {
				w.last().key = ""
			}
		case c == ':' && w.inFlow() && !w.last().list && (i+1 == len(rest) || rest[i+1] == ' '):
			w.last().key = strings.TrimSpace(w.token)
			w.token, w.value = "", true
		case c == ' ' && w.token == "":
		default:
			w.token += string(c)
		}
	}
	typed := w.token
	if end(); !strings.HasSuffix(rest, "}") && !strings.HasSuffix(rest, "]") {
		w.token = typed
	}
}

// words gives what may stand at the place, whatever is written of it.
func (w *writing) words() (words []string) {
	top := fileSchema()
	here := []form{top}
	named := false // a designation of a device is due, or one of a value
	for i, o := range w.open {
		if o.list {
			here = itemsOf(top, here)
			continue
		}
		if i == len(w.open)-1 && !w.value {
			break
		}
		here = valuesOf(top, here, o.key, o.kind)
	}
	if len(w.open) == 0 {
		return keysOf(top, here, "")
	}
	last := w.last()
	if w.value {
		for _, f := range expanded(top, here, "") {
			words = append(words, fixed(f)...)
		}
		if last.list && last.indent >= 0 { // the first key of an item
			words = append(words, keysOf(top, here, "")...)
		}
	} else {
		words = keysOf(top, here, last.kind)
	}
	for _, o := range w.open {
		named = named || o.key == "rungs" || o.key == "set" || o.key == "expect" || o.key == "through"
	}
	if named && (w.value && last.list || w.value && len(words) == 0 || !w.value && last.key == "" && (w.inside("set") || w.inside("expect"))) {
		words = append(words, w.designations()...)
	}
	if w.value && last.list && w.inside("rungs") {
		words = append(words, "{parallel: [")
	}
	if w.value && w.inside("set") {
		words = w.positions(last.key)
	}
	return words
}

// inside tells whether a mapping with a key is open around the place.
func (w *writing) inside(key string) bool {
	return slices.ContainsFunc(w.open, func(o within) bool { return o.key == key })
}

// designations are those of the file, and their types.
func (w *writing) designations() (names []string) {
	w.devices(func(name, _ string) { names = append(names, name) })
	return names
}

// devices visits what stands under devices, as far as it can be told from a file with mistakes.
func (w *writing) devices(visit func(name, kind string)) {
	inside, indent, name := false, -1, ""
	for line := range strings.Lines(w.text) {
		rest := strings.TrimLeft(strings.TrimRight(line, "\r\n"), " ")
		at := len(line) - len(strings.TrimLeft(line, " "))
		switch {
		case rest == "" || rest[0] == '#':
			continue
		case at == 0:
			inside = strings.HasPrefix(rest, "devices:")
			continue
		case !inside:
			continue
		}
		if indent < 0 {
			indent = at
		}
		if at == indent {
			name, _, _ = strings.Cut(rest, ":")
		}
		if _, kind, ok := strings.Cut(rest, "type:"); ok {
			kind = strings.TrimSpace(kind)
			if end := strings.IndexAny(kind, ",} #"); end >= 0 {
				kind = kind[:end]
			}
			visit(name, kind)
		}
	}
}

// positions are those of the type of a device.
func (w *writing) positions(device string) (positions []string) {
	w.devices(func(name, kind string) {
		if t := circuits.TypeNamed(kind); t != nil && name == device {
			positions = t.Positions
		}
	})
	return positions
}

// expanded puts in the place of each form what it may be: what it refers to or is made of, each of
// several, and the case of a type.
func expanded(top form, forms []form, kind string) (all []form) {
	for _, f := range forms {
		if name, ok := f["$ref"].(string); ok {
			definitions := top["definitions"].(form)
			f = definitions[strings.TrimPrefix(name, "#/definitions/")].(form)
			all = append(all, expanded(top, []form{f}, kind)...)
			continue
		}
		all = append(all, f)
		if any, ok := f["anyOf"].([]any); ok {
			for _, one := range any {
				all = append(all, expanded(top, []form{one.(form)}, kind)...)
			}
		}
		cases, _ := f["allOf"].([]any)
		for _, c := range cases {
			then, isCase := c.(form)["then"].(form)
			if !isCase { // what is described where it is used
				all = append(all, expanded(top, []form{c.(form)}, kind)...)
			} else if of, ok := properties(then)["type"].(form); ok && of["const"] == kind {
				all = append(all, then)
			}
		}
	}
	return all
}

func properties(f form) form {
	p, _ := f["properties"].(form)
	return p
}

func keysOf(top form, forms []form, kind string) (keys []string) {
	for _, f := range expanded(top, forms, kind) {
		for k := range properties(f) {
			keys = append(keys, k+": ")
		}
	}
	slices.Sort(keys)
	return keys
}

func valuesOf(top form, forms []form, key, kind string) (values []form) {
	for _, f := range expanded(top, forms, kind) {
		if v, ok := properties(f)[key].(form); ok {
			values = append(values, v)
		} else if v, ok := f["additionalProperties"].(form); ok {
			values = append(values, v)
		}
	}
	return values
}

func itemsOf(top form, forms []form) (items []form) {
	for _, f := range expanded(top, forms, "") {
		if i, ok := f["items"].(form); ok {
			items = append(items, i)
		}
	}
	return items
}

// fixed are the values that a form names one by one.
func fixed(f form) []string {
	if f["type"] == "boolean" {
		return []string{"false", "true"}
	}
	if one, ok := f["const"].(string); ok {
		return []string{one}
	}
	switch all := f["enum"].(type) {
	case []string:
		return all
	case []any:
		var words []string
		for _, v := range all {
			if s, ok := v.(string); ok {
				words = append(words, s)
			}
		}
		return words
	}
	return nil
}
