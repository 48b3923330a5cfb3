package exam

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// weak is a work factor for tests: the least that age takes is quick.
const weak = 1

const phrase = "a passphrase for tests"

// modelOf makes the model of a built-in circuit.
func modelOf(t testing.TB, name string) *diagnose.Model {
	t.Helper()
	text, ok := circuits.BuiltinText(name)
	require.True(t, ok)
	c, problems := read.Read(name+".yaml", text)
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	return m
}

func faultOf(t testing.TB, m *diagnose.Model, id string) int {
	t.Helper()
	i, err := faultmodel.Find(m.Faults(), id)
	require.NoError(t, err)
	return i
}

// settingOf is an exam on one built-in circuit.
func settingOf(t testing.TB, name string, candidates int) Setting {
	text, _ := circuits.BuiltinText(name)
	random, err := Stretch("7", phrase, weak)
	require.NoError(t, err)
	return Setting{Title: "Test", Form: Simulated, Faults: 1, Class: Numbered(candidates), Circuits: []CircuitFile{{name + ".yaml", string(text)}},
		Models: []*diagnose.Model{modelOf(t, name)}, Seed: "7", Random: random, Made: "2026-03-02T09:00:00Z"}
}

// The same setting makes the same exam; another seed or passphrase another one.
func TestMakeIsRepeatable(t *testing.T) {
	s := settingOf(t, "cold-store-alarm", 12)
	a, err := Make(s)
	require.NoError(t, err)
	b, err := Make(s)
	require.NoError(t, err)
	assert.Equal(t, a.Key, b.Key)
	for _, other := range [][2]string{{"8", phrase}, {"7", "another passphrase"}} {
		s.Random, err = Stretch(other[0], other[1], weak)
		require.NoError(t, err)
		c, err := Make(s)
		require.NoError(t, err)
		assert.NotEqual(t, a.Key.Keys, c.Key.Keys)
		assert.NotEqual(t, a.Exam.ID, c.Exam.ID)
	}
}

// An exam with the seed and the passphrase of another has the same faults, and no key or
// identity in common with it: a packet of the one opens nothing of the other.
func TestNoKeyInCommon(t *testing.T) {
	s := settingOf(t, "cold-store-alarm", 3)
	a, err := Make(s)
	require.NoError(t, err)
	keys := make(map[string]bool)
	note := func(k *Key) {
		require.False(t, keys[k.Exam], "an identity twice")
		keys[k.Exam] = true
		all := [][]byte{}
		if len(k.Server) > 0 {
			all = append(all, k.Server)
		}
		for _, c := range k.Keys {
			all = append(all, c.Chain)
			for _, task := range c.Tasks {
				all = append(all, task.Table)
			}
		}
		for _, key := range all {
			require.Len(t, key, 32)
			require.False(t, keys[string(key)], "a key twice")
			keys[string(key)] = true
		}
	}
	note(&a.Key)
	for _, change := range []func(*Setting){
		func(s *Setting) { s.Form = Served },
		func(s *Setting) { s.Title = "Second sitting" },
		func(s *Setting) { s.Minutes = 30 },
		func(s *Setting) { s.Class = append([]Candidate{}, s.Class...); s.Class[2].Name = "Ada" },
		func(s *Setting) { s.Class = Numbered(4) },
	} {
		other := s
		change(&other)
		b, err := Make(other)
		require.NoError(t, err)
		note(&b.Key)
		if len(other.Class) == len(s.Class) {
			for i := range a.Key.Keys {
				assert.Equal(t, a.Key.Keys[i].Tasks[0].Fault, b.Key.Keys[i].Tasks[0].Fault)
			}
		}
	}
}

// Whichever fault a candidate has, the sealed key and the packet are equally long, the
// packet has the same fields in the same order, and outside of the circuit file, which is
// the same for all, no word, identity, terminal or device of any fault occurs in it.
func TestPacketDoesNotNameTheFault(t *testing.T) {
	for _, name := range []string{"cold-store-alarm", "two-lamp", "start-stop"} {
		t.Run(name, func(t *testing.T) {
			s := settingOf(t, name, 2)
			set, err := Make(s)
			require.NoError(t, err)
			m := s.Models[0]
			words := wordsOfFaults(m)
			length, sealedLength := 0, 0
			for _, f := range m.Faults() {
				set.Key.Keys[0].Tasks[0].Fault = f.ID
				set.Key.pad(s.Models)
				plain, err := set.Key.Marshal()
				require.NoError(t, err)
				sealed, err := Seal(plain, phrase, weak)
				require.NoError(t, err)
				p, err := PacketOf(&set.Exam, &set.Key.Keys[0], sealed, s.Models)
				require.NoError(t, err)
				whole, err := json.Marshal(p)
				require.NoError(t, err)
				if length == 0 {
					length, sealedLength = len(whole), len(sealed)
				}
				require.Equal(t, sealedLength, len(sealed), "the key with %s", f.ID)
				require.Equal(t, length, len(whole), "the packet with %s", f.ID)

				p.Circuits = nil // the same for all, and full of terminals
				rest, err := json.Marshal(p)
				require.NoError(t, err)
				for w := range words {
					require.NotContains(t, string(rest), w, "the packet of %s", f.ID)
				}
				// And decrypted, the table holds numbers alone.
				require.NotContains(t, string(p.Tasks[0].Table), string(f.ID))
			}
		})
	}
}

// wordsOfFaults are all that could name a fault: identities, sentences, terminals, keys.
// What is shorter than four letters would come about in encrypted bytes by chance.
func wordsOfFaults(m *diagnose.Model) map[string]bool {
	words := make(map[string]bool)
	for _, f := range m.Faults() {
		words[string(f.ID)], words[f.Text], words[f.Where], words[string(f.Key)] = true, true, true, true
		effect, _ := json.Marshal(f.Effect)
		words[string(effect)] = true
	}
	for _, d := range m.Panel().Circuit.Devices {
		for _, term := range d.Terminals {
			words[string(d.Terminal(term))] = true // with its colon, which base64 has not
		}
	}
	for _, kind := range faultmodel.Kinds {
		words[kind] = true
	}
	delete(words, "stuck") // as short as chance would have it; the identities hold it
	return words
}

// What is sealed opens with the passphrase and with no other, and is whole.
func TestSeal(t *testing.T) {
	sealed, err := Seal([]byte("what nobody may know"), phrase, weak)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(sealed, "-----BEGIN AGE ENCRYPTED FILE-----"), "any age program reads it")
	assert.NotContains(t, sealed, "nobody")
	plain, err := Open(sealed, phrase)
	require.NoError(t, err)
	assert.Equal(t, "what nobody may know", string(plain))
	for _, wrong := range []string{"another passphrase", "", strings.ToUpper(phrase), phrase + " "} {
		_, err = Open(sealed, wrong)
		assert.ErrorIs(t, err, ErrPassphrase, "%q", wrong)
	}
	assert.Contains(t, ErrPassphrase.Error(), "cannot be recovered")
	lines := strings.Split(sealed, "\n")
	_, err = Open(strings.Join(append(lines[:2:2], lines[3:]...), "\n"), phrase)
	assert.ErrorContains(t, err, "damaged")
	_, err = Open("nothing of the kind", phrase)
	assert.ErrorContains(t, err, "damaged")
	_, err = Seal(nil, phrase, 0)
	assert.Error(t, err)
	_, err = Seal(nil, phrase, MostWork+1)
	assert.Error(t, err)
	assert.ErrorIs(t, CheckPassphrase("short"), ErrShort)
	assert.NoError(t, CheckPassphrase("twelve words"))
}

func TestParsePacket(t *testing.T) {
	set, err := Make(settingOf(t, "two-lamp", 1))
	require.NoError(t, err)
	p, err := PacketOf(&set.Exam, &set.Key.Keys[0], "sealed", []*diagnose.Model{modelOf(t, "two-lamp")})
	require.NoError(t, err)
	text, err := json.Marshal(p)
	require.NoError(t, err)
	again, err := ParsePacket(text)
	require.NoError(t, err)
	assert.Equal(t, p, again)
	for text, want := range map[string]string{
		"":                      "damaged",
		"{}":                    "not a packet",
		`{"deadrung-packet":9}`: "version 9",
		`{"deadrung-packet":1}`: "no fault to find",
		string(text[:200]):      "damaged",
		`{"deadrung-packet":1,"circuits":[{}],"tasks":[{"circuit":3}],"form":"bench"}`: "a circuit is missing",
		`{"deadrung-packet":1,"circuits":[{}],"tasks":[{"circuit":0}],"form":"x"}`:     "damaged",
	} {
		_, err := ParsePacket([]byte(text))
		assert.ErrorContains(t, err, want, text)
	}
}

func FuzzParsePacket(f *testing.F) {
	f.Add([]byte(`{"deadrung-packet":1,"circuits":[{"file":"a","text":"b"}],"tasks":[{"circuit":0,"key":"AA==","table":"AA=="}],"form":"bench"}`))
	m := modelOf(f, "two-lamp")
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := ParsePacket(text)
		if err != nil {
			return
		}
		for _, task := range p.Tasks {
			if r, err := OpenReadings(m, task.Table, task.Key); err == nil {
				_, _ = r.Found(m.Checks()[0], -1)
			}
		}
	})
}

// Every kind of fault has a row in the table of the bench; what the rows promise holds for
// every fault of every circuit: no bridge, no bonding wire, a check that tells in from out.
func TestBench(t *testing.T) {
	rows := make(map[faultmodel.Key]bool)
	for _, row := range faultmodel.Insertions {
		assert.False(t, rows[row.Key], "%s stands twice", row.Key)
		rows[row.Key] = true
		assert.NotEmpty(t, row.Why)
	}
	for _, w := range faultmodel.Weights {
		if w.Key != faultmodel.FieldWiringFactor && w.Key != faultmodel.StarterFactor {
			assert.True(t, rows[w.Key], "%s has no row", w.Key)
		}
	}
	moves := 0
	for _, name := range circuits.Builtin() {
		m := modelOf(t, name)
		inserted := 0
		for i, f := range m.Faults() {
			in, err := OnBench(m, i, true)
			if err != nil {
				continue
			}
			inserted++
			about := fmt.Sprintf("%s: %s", name, f.ID)
			require.NotEmpty(t, in.Put, about)
			require.NotEmpty(t, in.Take, about)
			e := f.Effect
			require.Nil(t, e.ClosedContact, about)
			require.Nil(t, e.Short, about)
			require.Empty(t, e.Ground, about)
			require.Empty(t, e.ShortedLoad, about)
			require.Empty(t, e.DeadSource, about)
			if e.OpenWire != nil {
				for _, term := range []circuits.Terminal{e.OpenWire.From, e.OpenWire.To} {
					device, _ := term.Split()
					require.NotEqual(t, circuits.GroundKind, m.Panel().Circuit.Device(device).Type.Kind, about)
				}
			}
			// The check reads one thing with the fault in and another with it out.
			in1, err := m.Meter(i).Read(in.Check)
			require.NoError(t, err, about)
			out, err := m.Usual(in.Check)
			require.NoError(t, err, about)
			require.True(t, in1.Firm && out.Firm, about)
			require.Equal(t, in1, in.In, about)
			require.Equal(t, out, in.Out, about)
			require.False(t, m.Agree(in.Check, out, in1), "%s: %s reads the same in and out", about, in.Check)
			if e.Stuck == "" {
				require.Equal(t, log.Ohms, in.Check.Kind(), about)
			}
			// Nothing moves where all is at rest on a good circuit.
			meter := m.Meter(i)
			for _, step := range m.Panel().Circuit.Steps {
				var good, with []string
				for _, d := range m.Panel().Visible() {
					if !d.Type.Moves {
						continue
					}
					c := log.Check{Look: d.Name, Step: step.Name}
					if r, err := m.Usual(c); err == nil && r.On {
						good = append(good, d.Name)
					}
					if r, err := meter.Read(c); err != nil || r.On || !r.Firm {
						with = append(with, d.Name)
					}
				}
				if len(good) == 0 {
					require.Empty(t, with, "%s: on in %q", about, step.Name)
				}
				moves += len(in.Moves)
			}
		}
		assert.Greater(t, inserted, 5, name) // few on circuits of electronics, which no ohms prove
	}
	assert.Positive(t, moves, "no card warns of what moves")
}
