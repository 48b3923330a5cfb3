package read

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"

	"deadrung/circuits"
)

// Schema gives the JSON Schema, draft-07, of circuit files. It is made from the table of
// device types and the limits that the reader has, and refuses what the reader refuses
// for the form of it. What only makes sense beside other parts of the file, such as a
// designation that no device has, is the reader's alone.
func Schema() []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(fileSchema()); err != nil {
		panic(fmt.Sprintf("circuits: a schema that is no JSON: %v", err)) // maps, lists and words only
	}
	return b.Bytes()
}

// form is one schema, or a part of one.
type form map[string]any

// Patterns of text. Numbers and true or false are text where text is wanted, and fit
// every one of them.
const (
	anyText     = `^[^\x00-\x08\x0b-\x1f\x7f-\x9f]*$`
	titleText   = `^\s*[^\s\x00-\x1f\x7f-\x9f]([^\x00-\x1f\x7f-\x9f]*[^\s\x00-\x1f\x7f-\x9f])?\s*$`
	blockText   = `^\s*[^\s\x00-\x1f\x7f-\x9f]([^\x00-\x1f\x7f-\x9f]{0,58}[^\s\x00-\x1f\x7f-\x9f])?\s*$`
	nameText    = `^[^\s\x00-\x1f\x7f-\x9f]([^\x00-\x1f\x7f-\x9f]{0,38}[^\s\x00-\x1f\x7f-\x9f])?$`
	designation = `[\p{L}\p{Nd}]{1,40}`
	terminalSet = `[^\s:,;"\[\]{}\x00-\x1f\x7f-\x9f]`
)

var textTypes = []string{"string", "number", "boolean"}

func text(pattern string) form { return form{"type": textTypes, "pattern": pattern} }

func ref(name string) form { return form{"$ref": "#/definitions/" + name} }

func list(of any, least int) form { return form{"type": "array", "items": of, "minItems": least} }

func object(properties form, needed ...string) form {
	o := form{"type": "object", "properties": properties, "additionalProperties": false}
	if len(needed) > 0 {
		o["required"] = needed
	}
	return o
}

// keyed is a mapping whose keys fit a pattern.
func keyed(pattern string, of any) form {
	return form{"type": "object", "propertyNames": form{"pattern": pattern}, "additionalProperties": of}
}

func saying(f form, words string) form {
	f["description"] = words
	return f
}

func fileSchema() form {
	top := object(form{
		"circuit": saying(text(titleText), "Title, one line."),
		"about":   saying(text(anyText), "A paragraph for people."),
		"drawing": saying(titleBlockSchema(), "What the title block of the drawing holds."),
		"places": saying(keyed(nameText, form{"anyOf": []any{ref("positive"),
			object(form{"minutes": ref("positive"), "joins": text(nameText)})}}),
			"Place: minutes to get a lead onto a terminal there, and the place next to it that both leads of a meter reach."),
		"devices": saying(form{"type": "object", "minProperties": 1,
			"propertyNames":        form{"pattern": "^" + designation + "$"},
			"additionalProperties": ref("device")}, "Designation: device."),
		"wires": saying(form{"type": "object", "minProperties": 1,
			"propertyNames": form{"pattern": nameText}, "additionalProperties": ref("wire")},
			"Wire number: one run of terminals, or a list of runs."),
		"rungs": saying(list(ref("rung"), 1),
			"The rungs as drawn, from the hot side to the grounded side."),
		"ladder": saying(list(ref("rung"), 1),
			"The rungs of a file with wires, as they were drawn: their order, titles and notes."),
		"through": saying(keyed(nameText, form{"anyOf": []any{ref("designation"),
			list(ref("designation"), 1)}}), "Place: the terminal blocks and connectors that wires to it go through, from the panel out."),
		"cables": saying(keyed("^"+designation+"$", object(form{"type": text(titleText), "note": text(titleText),
			"cores": form{"type": "integer", "minimum": 1, "maximum": mostCores}, "length": ref("positive")})),
			"Designation: cable."),
		"conductors": saying(list(object(form{"numbers": list(text(nameText), 0), "from": text(titleText), "to": text(titleText),
			"colour": text(titleText), "gauge": text(titleText), "length": ref("positive"), "ferrule": text(titleText),
			"cable": text(titleText), "core": text(titleText)}), 0),
			"What wires are made of, of some numbers or from terminal to terminal; later entries over earlier ones."),
		"operation": saying(list(ref("step"), 1), "The steps, worked in order."),
	}, "circuit", "devices", "operation")
	top["anyOf"] = []any{form{"required": []string{"wires"}}, form{"required": []string{"rungs"}}}
	top["dependencies"] = form{"through": []string{"rungs"}}
	top["not"] = form{"required": []string{"rungs", "ladder"}}
	top["$schema"] = "http://json-schema.org/draft-07/schema#"
	top["title"] = "deadrung circuit file, version 1"
	terminal := text("^" + terminalSet + "{1,40}$")
	pair := form{"type": "array", "items": ref("terminal"), "minItems": 2, "maxItems": 2, "uniqueItems": true}
	definitions := form{
		"designation":    text("^" + designation + "$"),
		"terminal":       terminal,
		"block-terminal": text(`^[^-\s:,;"\[\]{}\x00-\x1f\x7f-\x9f]{1,40}$`),
		"pair":           pair,
		"number":         form{"type": "number", "minimum": -mostNumber, "maximum": mostNumber},
		"positive":       form{"type": "number", "minimum": leastNumber, "maximum": mostNumber},
		"percent":        form{"type": "number", "minimum": leastNumber, "maximum": 100},
		"wire":           form{"anyOf": []any{ref("run"), list(ref("run"), 1)}},
		"run": list(form{"type": "string",
			"pattern": "^" + designation + ":" + terminalSet + "+$"}, 2),
		"step": object(form{
			"step":   text(titleText),
			"set":    keyed("^"+designation+"$", text(anyText)),
			"wait":   form{"type": "number", "minimum": 0, "maximum": mostNumber},
			"expect": keyed("^"+designation+"$", form{"enum": seen}),
			"note":   text(anyText),
		}, "step"),
		"device": deviceSchema(),
	}
	rungSchemas(definitions)
	top["definitions"] = definitions
	return top
}

// titleBlockSchema says what the title block holds.
func titleBlockSchema() form {
	properties := form{}
	for _, key := range blockKeys {
		properties[key] = text(blockText)
	}
	return object(properties)
}

// rungSchemas adds what rungs are made of.
func rungSchemas(to form) {
	to["item"] = form{"anyOf": []any{
		text("^(wire +[^\\s].*|" + designation + "(:[^\\s]+| +[^\\s].*)?)$"),
		object(form{"parallel": list(form{"anyOf": []any{ref("item"), list(ref("item"), 1)}}, 2)},
			"parallel"),
	}}
	line := form{"anyOf": []any{ref("item"), list(ref("item"), 1)}}
	to["line"] = line
	to["rung"] = form{"anyOf": []any{
		list(ref("item"), 1),
		object(form{"rung": ref("line"), "title": text(titleText), "note": text(anyText)}, "rung"),
		object(form{"feed": ref("line"), "return": ref("line"), "ground": ref("item"),
			"title": text(titleText), "note": text(anyText)}, "feed"),
	}}
}

// keySchemas says what the keys of devices hold; those that depend on the type are in
// deviceSchema.
var keySchemas = map[string]form{
	"place": text(anyText),
	"at": {"type": "array", "items": form{"type": "integer", "minimum": 1, "maximum": mostRows},
		"minItems": 2, "maxItems": 2},
	"note":          text(anyText),
	"part":          text(titleText),
	"odds":          ref("positive"),
	"volts":         ref("positive"),
	"primary-volts": ref("positive"),
	"primary-amps":  ref("positive"),
	"amps":          ref("positive"),
	"ohms":          ref("positive"),
	"va":            ref("positive"),
	"microfarads":   ref("positive"),
	"seconds":       ref("positive"),
	"off-seconds":   ref("positive"),
	"leakage":       ref("positive"),
	"hertz":         ref("positive"),
	"phase":         {"anyOf": []any{form{"type": "number"}, form{"const": unknownPhase}}},
	"minutes":       ref("positive"),
	"action":        {"enum": []string{"momentary", "maintained"}},
	"at-will":       {"type": "boolean"},
	"pull-in":       ref("percent"),
	"drop-out":      ref("percent"),
	"current":       {"enum": []string{"ac", "dc"}},
	"delay":         {"enum": []string{"on", "off"}},
	"rest":          text(anyText),
	"terminals":     ref("pair"),
	"poles": {"anyOf": []any{form{"type": "integer", "minimum": 2, "maximum": mostPoles},
		form{"type": "array", "items": ref("pair"), "minItems": 1, "maxItems": mostPoles}}},
	"primary":     ref("pair"),
	"coil":        ref("pair"),
	"reset-coil":  ref("pair"),
	"secondaries": list(object(form{"terminals": ref("pair"), "volts": ref("positive")}, "terminals", "volts"), 1),
	"supply":      ref("pair"),
	"channel-1":   ref("pair"),
	"channel-2":   ref("pair"),
	"reset":       ref("pair"),
	"start":       ref("pair"),
	"trip":        ref("pair"),
	"line":        ref("pair"),
	"trigger":     ref("pair"),
	"interlock":   text("^" + designation + "$"),
	"positions": {"type": "array", "items": text(nameText), "minItems": 2,
		"maxItems": mostPositions, "uniqueItems": true},
	"pins":    {"type": "array", "items": ref("terminal"), "minItems": 1, "uniqueItems": true},
	"bridges": list(list(ref("terminal"), 2), 0),
}

// deviceSchema makes a case for each row of the table of device types.
func deviceSchema() form {
	var names []string
	var cases []any
	for _, t := range circuits.Types {
		names = append(names, t.Name)
		properties := form{"type": form{"const": t.Name}}
		for _, key := range slices.Concat(circuits.EveryKeys, t.Keys) {
			switch {
			case key == "type":
			case key == "contacts":
				properties[key] = contactsSchema(t)
			case key == "kind":
				properties[key] = form{"enum": t.LoadKinds()}
			case key == "connection":
				properties[key] = form{"enum": connections(t)}
			case key == "terminals" && t.Phases:
				properties[key] = form{"type": "array", "items": ref("terminal"), "minItems": max(threePhases, len(t.Terminals)/twoSets*twoSets),
					"maxItems": len(t.Terminals), "uniqueItems": true}
			case key == "terminals" && t.Kind == circuits.BlockKind:
				properties[key] = form{"type": "array", "items": ref("block-terminal"), "minItems": 1,
					"uniqueItems": true}
			default:
				properties[key] = keySchemas[key]
			}
			if key != "type" {
				properties[key] = told(t, key, properties[key].(form))
			}
		}
		then := saying(object(properties, slices.Concat([]string{"type"}, t.Needs)...), typeWords(t))
		if slices.Contains(t.Keys, "hertz") && slices.Contains(t.Keys, "current") {
			then["if"] = form{"properties": form{"current": form{"const": "dc"}},
				"required": []string{"current"}}
			then["then"] = form{"properties": form{"hertz": false, "phase": false}}
		}
		if slices.Contains(t.Keys, "positions") {
			then["if"] = form{"properties": form{"positions": form{"type": "array", "minItems": 3}},
				"required": []string{"positions"}}
			then["then"] = form{"properties": form{"contacts": form{"items": form{"required": []string{"terminals", "closed"}}}}}
		}
		cases = append(cases, form{"if": form{"properties": form{"type": form{"const": t.Name}},
			"required": []string{"type"}}, "then": then})
	}
	return form{"type": "object", "required": []string{"type"},
		"properties": form{"type": form{"enum": names}}, "allOf": cases}
}

// contactsSchema says what the contacts of a type may be.
func contactsSchema(t *circuits.Type) form {
	timed := func(properties form) form {
		properties["timed"] = form{"const": false}
		switch {
		case t.SeenTimed():
			properties["timed"] = form{"const": true}
		case t.Delays:
			properties["timed"] = form{"type": "boolean"}
		}
		properties["fault"] = form{"const": false}
		if t.Armature.FaultRelay() {
			properties["fault"] = form{"type": "boolean"}
		}
		return properties
	}
	terminal := func() form { return ref("terminal") }
	forms := []any{
		object(timed(form{"no": ref("pair")}), "no"),
		object(timed(form{"nc": ref("pair")}), "nc"),
		object(timed(form{"common": terminal(), "no": terminal(), "nc": terminal()}), "common", "no"),
		object(timed(form{"common": terminal(), "no": terminal(), "nc": terminal()}), "common", "nc"),
	}
	if t.Kind == circuits.OperatorKind {
		forms = append(forms, object(timed(form{"terminals": ref("pair"),
			"closed": list(text(nameText), 1)}), "terminals", "closed"))
		return list(form{"anyOf": forms}, 1)
	}
	return list(form{"anyOf": forms}, 0)
}
