package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/faultmodel"
)

// runOn runs the program and gives its streams.
func runOn(t *testing.T, args ...string) (status int, out, err string) {
	t.Helper()
	var o, e bytes.Buffer
	status = run(args, streams{in: bytes.NewReader(nil), out: &o, err: &e})
	return status, o.String(), e.String()
}

// keysOf gives the keys of a JSON object.
func keysOf(t *testing.T, raw json.RawMessage) map[string]json.RawMessage {
	t.Helper()
	var m map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(raw, &m), "%s", raw)
	return m
}

func onlyKeys(t *testing.T, raw json.RawMessage, needed, more []string) {
	t.Helper()
	m := keysOf(t, raw)
	for _, k := range needed {
		assert.Contains(t, m, k, "%s", raw)
	}
	for k := range m {
		assert.Contains(t, append(needed, more...), k, "%s", raw)
	}
}

// The machine forms that other programs rely on: fields may be
// added, none is missing. Every command, on circuits that together have every kind of
// part.
func TestMachineForms(t *testing.T) {
	for _, name := range []string{"cold-store-alarm", "start-stop", "transformer-primary", "two-lamp"} {
		t.Run(name, func(t *testing.T) {
			array := func(args ...string) []json.RawMessage {
				t.Helper()
				status, out, errs := runOn(t, append(args, "--json")...)
				require.Equal(t, exitDone, status, errs)
				assert.Empty(t, errs)
				var list []json.RawMessage
				require.NoError(t, json.Unmarshal([]byte(out), &list), "%s", out)
				return list
			}
			object := func(args ...string) json.RawMessage {
				t.Helper()
				status, out, errs := runOn(t, append(args, "--json")...)
				require.Equal(t, exitDone, status, errs)
				require.True(t, json.Valid([]byte(out)), "%s", out)
				return json.RawMessage(out)
			}

			faults := array("faults", name)
			require.NotEmpty(t, faults)
			var sum float64
			forms := map[string]bool{}
			for _, raw := range faults {
				onlyKeys(t, raw, []string{"id", "text", "prior", "group", "effect"}, nil)
				var f listed
				require.NoError(t, json.Unmarshal(raw, &f))
				sum += f.Prior
				assert.Positive(t, f.Group)
				for k := range keysOf(t, keysOf(t, raw)["effect"]) {
					forms[k] = true
				}
			}
			assert.InDelta(t, 1, sum, 1e-9)
			for form := range forms {
				assert.Contains(t,
					[]string{"open-wire", "open-contact", "closed-contact", "open-load", "shorted-load", "stuck",
						"position", "open-link", "dead-source", "winding", "short", "ground", "coil"}, form)
			}
			wear := make(map[string]bool)
			for _, raw := range array("faults", name, "--worn") {
				var f listed
				require.NoError(t, json.Unmarshal(raw, &f))
				wear[f.Effect.Kind()] = true
			}
			for _, kind := range []string{"resistive-wire", "low-source"} {
				assert.True(t, wear[kind], "%s is not listed", kind)
			}
			assert.Greater(t, len(array("faults", name, "--wiring-errors")), len(faults))
			for _, raw := range array("faults", name, "--weights") {
				onlyKeys(t, raw, []string{"key", "for", "weight", "source", "faults", "share"}, nil)
			}

			var first faultmodel.Fault
			require.NoError(t, json.Unmarshal(faults[0], &first))
			for _, with := range [][]string{nil, {"--fault", string(first.ID)}} {
				for _, raw := range array(append([]string{"readings", name}, with...)...) {
					m := keysOf(t, raw)
					switch {
					case m["look"] != nil:
						onlyKeys(t, raw, []string{"look", "step", "saw"}, []string{"firm", "part"})
						assert.Contains(t, []string{`"on"`, `"off"`}, string(m["saw"]))
					case m["volts"] != nil:
						onlyKeys(t, raw, []string{"volts", "step", "read"}, []string{"firm"})
						assert.NotContains(t, string(m["read"]), `"`)
					default:
						onlyKeys(t, raw, []string{"ohms", "step", "read"}, []string{"lifted", "firm"})
					}
					if firm := m["firm"]; firm != nil {
						assert.Equal(t, "false", string(firm))
					}
				}
				for _, raw := range array(append([]string{"operate", name}, with...)...) {
					onlyKeys(t, raw, []string{"step", "outputs"}, []string{"set", "wait", "blown", "collapsed", "chatter"})
				}
			}

			turn := object("next", name)
			onlyKeys(t, turn, []string{"circuit", "status", "candidates", "next", "others"},
				[]string{"conflicts", "cautions", "unlisted"})
			onlyKeys(t, keysOf(t, turn)["next"], []string{"check", "outcomes", "bits", "minutes"},
				[]string{"proof", "within", "anew", "longer"})
			onlyKeys(t, object("verify", name),
				[]string{"circuit", "ok", "devices", "wires", "steps", "expected", "warnings"}, nil)
		})
	}
	status, out, errs := runOn(t, "circuits", "--json")
	require.Equal(t, exitDone, status, errs)
	var list []json.RawMessage
	require.NoError(t, json.Unmarshal([]byte(out), &list))
	assert.Len(t, list, len(circuits.Builtin()))
}

// With -o the result is in the file and nowhere else; what is wrong leaves no file.
func TestOutputToFile(t *testing.T) {
	dir := t.TempDir()
	for _, args := range [][]string{
		{"faults", "jog"}, {"faults", "jog", "--json"}, {"readings", "jog"}, {"readings", "jog", "--json"},
		{"operate", "jog"}, {"operate", "jog", "--json"}, {"next", "jog", "--by", "checks"}, {"next", "jog", "--by", "checks", "--json"},
	} {
		status, want, errs := runOn(t, args...)
		require.Equal(t, exitDone, status, errs)
		file := filepath.Join(dir, "result")
		status, out, errs := runOn(t, append(args, "-o", file)...)
		require.Equal(t, exitDone, status, errs)
		assert.Empty(t, out)
		got, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, want, string(got), "%v", args)
		require.NoError(t, os.Remove(file))

		args[1] = "jgo"
		status, _, _ = runOn(t, append(args, "-o", file)...)
		assert.Equal(t, exitUsage, status)
		assert.NoFileExists(t, file)
	}
}

// Whatever is given as a circuit or a log ends with a status and a sentence, never with
// a stack trace.
func TestNoTraces(t *testing.T) {
	dir := t.TempDir()
	texts := []string{"", "\x00", "[", "{", "- a", "circuit: a", "a: &a [*a]", "\xff\xfe",
		"circuit: a\ndevices: {}\nwires: {}\noperation: []\n",
		"%YAML 9\n---\n", "circuit: {a: b}\ndevices: [a]\nwires: [b]\noperation: {c: d}\n"}
	for i, text := range texts {
		file := filepath.Join(dir, "a.yaml")
		require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
		for _, command := range []string{"verify", "operate", "faults", "readings", "next"} {
			status, out, errs := runOn(t, command, file)
			assert.Equal(t, exitInput, status, "%s of text %d", command, i)
			assert.Empty(t, out)
			assert.Regexp(t, `a\.yaml:\d+:\d+: `, errs)
			assert.NotContains(t, errs, "goroutine")
		}
		if text == "" {
			continue
		}
		log := filepath.Join(dir, "a.log")
		require.NoError(t, os.WriteFile(log, []byte(text+"\n"), 0o644))
		status, out, errs := runOn(t, "next", "two-lamp", "--log", log)
		assert.Equal(t, exitInput, status, "log of text %d", i)
		assert.Empty(t, out)
		assert.Regexp(t, `a\.log:\d+:\d+: `, errs)
	}
}
