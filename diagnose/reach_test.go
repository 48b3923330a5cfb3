package diagnose

import (
	"context"
	"fmt"
	"maps"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// can tells from the circuit file alone whether one person can make a check with no helper:
// the names of both leads' places, and what is held. It is written apart from what decides.
func can(t *testing.T, p *work.Panel, c log.Check) {
	t.Helper()
	one := func(place string) string {
		if place == "door" {
			return "panel"
		}
		return place
	}
	var at []string
	for _, term := range c.Leads() {
		name, _ := term.Split()
		d := p.Device(name)
		if d.Type.Kind == circuits.GroundKind {
			continue // asked for below
		}
		if place := one(d.Place); !slices.Contains(at, place) {
			at = append(at, place)
		}
	}
	if d := p.Device(c.Look); c.Kind() == log.Look && d.Type.Name != "horn" { // a horn is heard
		at = []string{one(d.Place)}
	}
	assert.LessOrEqual(t, len(at), 1, "%s: across places", c)
	position := make(map[*circuits.Device]int)
	for i, s := range p.Circuit.Steps {
		for _, set := range s.Set {
			position[set.Device] = set.Position
		}
		if i == max(0, p.Circuit.Step(c.Step)) {
			break
		}
	}
	held := 0
	for d, at := range position {
		if d.Type.Name == "push-button" && d.Momentary && at != d.Rest {
			held++
		}
	}
	for d, pos := range position {
		if d.Type.Name == "push-button" && d.Momentary && pos != d.Rest && len(at) > 0 {
			assert.Equal(t, at[0], one(d.Place), "%s: %s is held elsewhere", c, d.Name)
		}
	}
	assert.LessOrEqual(t, held, 1, "%s: more held than hands", c)
}

// Every check that can be proposed, in whatever state a search comes to, is one of the list:
// so the list is what is held against the rules, and a walk of searches that nothing else is
// proposed.
func TestOnePersonCanMakeEveryCheck(t *testing.T) {
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		listed(t, name, string(text))
	}
	for seed := range uint64(4) {
		listed(t, "random", generate.Panel(seed, generate.Options{Rungs: 5}))
	}
}

func listed(t *testing.T, name, text string) {
	c, problems := read.Read(name+".yaml", []byte(text))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m := Bare(p, nil, log.Rules{})
	require.NotEmpty(t, m.Checks())
	for _, check := range m.Checks() {
		can(t, p, check)
	}
}

func TestWalkedSearchesStayWithinReach(t *testing.T) {
	for _, name := range []string{"cold-store-alarm", "two-station", "jog"} {
		m := builtin(t, name)
		for f := range m.faults {
			if f%7 != 0 && testing.Short() {
				continue
			}
			s := truthful(t, m, f, ByMinutes)
			for _, e := range s.log.Entries {
				can(t, m.panel, e.Check)
			}
			for _, other := range s.last.Others {
				can(t, m.panel, other.Check)
			}
			if s.last.Next != nil {
				can(t, m.panel, s.last.Next.Check)
			}
		}
	}
}

// What the rules of a site forbid is not on the list, and what they allow more is.
func TestRulesOfTheSite(t *testing.T) {
	text, _ := circuits.BuiltinText("field-wiring")
	c, problems := read.Read("field-wiring.yaml", text)
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	count := func(r log.Rules) (n map[log.Kind]int, lifted, belt, across int) {
		m := Bare(p, nil, r)
		n = make(map[log.Kind]int)
		for _, check := range m.Checks() {
			l, err := m.book.Locate(check)
			require.NoError(t, err)
			n[l.Kind]++
			if len(l.Lifted) > 0 {
				lifted++
			}
			if m.book.Across(l) {
				across++
			}
			for _, node := range []network.Node{l.A, l.B} {
				if name, _ := p.Terminal(node).Split(); node != 0 && p.Device(name).Place == "belt" {
					belt++
				}
			}
		}
		return n, lifted, belt, across
	}
	plain, lifted, belt, across := count(log.Rules{})
	assert.Positive(t, lifted)
	assert.Positive(t, belt)
	assert.Zero(t, across)
	n, _, _, _ := count(log.Rules{NoLive: true})
	assert.Zero(t, n[log.Volts])
	assert.Equal(t, plain[log.Ohms], n[log.Ohms])
	n, _, _, _ = count(log.Rules{LooksOnly: true})
	assert.Zero(t, n[log.Volts]+n[log.Ohms])
	_, lifted, _, _ = count(log.Rules{NoLift: true})
	assert.Zero(t, lifted)
	_, _, belt, _ = count(log.Rules{OutOfReach: []string{"belt"}})
	assert.Zero(t, belt)
	_, _, _, across = count(log.Rules{LongLead: true})
	assert.Positive(t, across)
	n, _, _, _ = count(log.Rules{Helpers: 1})
	assert.Greater(t, n[log.Look], plain[log.Look])
}

// Under the rules of a site every search ends all the same: with the fault alone, or in a group
// that is named and that nothing allowed parts. Where there are looks only, or a place is out
// of reach, it may end with a sound circuit where the fault shows nothing. Under DEADRUNG_ALL every
// fault of every built-in circuit is searched for.
func TestSearchesEndUnderRules(t *testing.T) {
	nth, names := 11, []string{"cold-store-alarm", "permissives", "two-lamp"}
	if os.Getenv("DEADRUNG_ALL") != "" {
		nth, names = 1, circuits.Builtin()
	}
	ends := make(map[string]int)
	for _, name := range names {
		text, _ := circuits.BuiltinText(name)
		for _, r := range []log.Rules{{NoLive: true}, {NoLift: true}, {LooksOnly: true}, {NoLive: true, NoLift: true},
			{OutOfReach: []string{"field"}}} {
			c, problems := read.Read(name+".yaml", text)
			require.NoError(t, problems.Err())
			p := work.Assemble(c)
			if len(r.Unknown(c)) > 0 {
				continue
			}
			m, err := New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), Options{Rules: r})
			require.NoError(t, err)
			for f := range m.faults {
				if f%nth != len(name)%nth {
					continue
				}
				for _, by := range []By{ByMinutes, ByChecks} {
					s := truthful(t, m, f, by)
					endsRight(t, m, f, s, fmt.Sprintf("%s%v", name, r.Flags()))
					ends[fmt.Sprint(r.Flags(), " ", s.last.Status)]++
				}
			}
		}
	}
	for _, end := range slices.Sorted(maps.Keys(ends)) {
		t.Logf("%s: %d", end, ends[end])
	}
}

// endsRight holds that a search with true answers ends with its fault.
func endsRight(t *testing.T, m *Model, f int, s session, where string) {
	t.Helper()
	id := m.faults[f].ID
	assert.Zero(t, s.last.Wrong, "%s: %s", where, id)
	switch s.last.Status {
	case Found, GroupLeft:
		assert.Contains(t, s.last.Left, f, "%s: %s", where, id)
	case Healthy:
		assert.Equal(t, m.table.linked[len(m.faults)], m.table.linked[f], "%s: %s ends as a sound circuit", where, id)
	case Unlisted:
		assert.Contains(t, s.last.Left, f, "%s: %s", where, id)
		if os.Getenv("DEADRUNG_ALL") != "" {
			t.Logf("%s: %s is not decided", where, id)
		}
	default:
		assert.Fail(t, "no end", "%s: %s: %s", where, id, s.last.Status)
	}
}
