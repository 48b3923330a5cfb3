package generate

import (
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

// assemble reads a generated file, which must be without mistakes and warnings and do
// what its steps expect.
func assemble(t testing.TB, text string) *work.Panel {
	t.Helper()
	c, problems := read.Read("generated.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatalf("%s\n%s", problems[0].Detail(), text)
	}
	p := work.Assemble(c)
	if problems := p.Verify([]byte(text)); len(problems) > 0 {
		t.Fatalf("%s\n%s", problems[0].Detail(), text)
	}
	return p
}

// size is a number of rungs for a seed, so that all sizes come up.
func size(seed uint64) int { return LeastRungs + int(seed)%(MostRungs-LeastRungs+1) }

const seeds = 200

// drawn are the panels of all seeds, from one.
var drawn = sync.OnceValue(func() []string {
	texts := make([]string, seeds+1)
	for seed := uint64(1); seed <= seeds; seed++ {
		texts[seed] = Panel(seed, Options{Rungs: size(seed), Power: seed%4 == 0, Passive: seed%3 == 0})
	}
	return texts
})

func TestPanelReadsAndVerifies(t *testing.T) {
	t.Parallel()
	for seed := uint64(1); seed <= seeds; seed++ {
		outputs := 0
		for _, d := range assemble(t, drawn()[seed]).Circuit.Devices {
			if d.Type.Kind == circuits.LoadKind || d.Type.Kind == circuits.RelayKind {
				outputs++
			}
		}
		assert.GreaterOrEqual(t, outputs, size(seed), "seed %d", seed)
	}
}

func TestPanelIsDeterministic(t *testing.T) {
	t.Parallel()
	texts := make(map[string]uint64)
	for seed := uint64(1); seed <= seeds; seed++ {
		text := drawn()[seed]
		require.Equal(t, text, Panel(seed, Options{Rungs: size(seed), Power: seed%4 == 0, Passive: seed%3 == 0}), "seed %d", seed)
		body := text[strings.Index(text, "devices:"):]
		assert.Zero(t, texts[body], "seeds %d and %d are one panel", seed, texts[body])
		texts[body] = seed
	}
}

func TestPanelKeepsToTheBounds(t *testing.T) {
	assert.Equal(t, Panel(1, Options{Rungs: LeastRungs}), Panel(1, Options{}))
	assert.Equal(t, Panel(1, Options{Rungs: MostRungs}), Panel(1, Options{Rungs: 1000}))
}

// notDrawn are the types that no rung of the package draws, each with its reason.
var notDrawn = map[string]string{
	"latching-relay":     "its two coils need two rungs that take turns",
	"alternating-relay":  "what it shows depends on how often it was worked, and a rung is drawn by its state",
	"flasher":            "what hangs on it is on and off by turns, and every look of a panel is firm",
	"repeat-cycle-timer": "what hangs on it is on and off by turns, and every look of a panel is firm",
	"current-relay":      "it stands in series with a load, and no rung has loads in series",
	"proximity-sensor":   "it is fed by leads of its own, beside the rung that its output is in",
	"photo-sensor":       "it is fed by leads of its own, beside the rung that its output is in",
	"controller-output":  "what it does is up to a program, and no drawing has that",
	"controller-input":   "what it does is up to a program, and no drawing has that",
	"solid-state-relay":  "its input and its contact have supplies of their own",
	"safety-relay":       "its inputs need rungs that belong together",
	"smoke-detector":     "it needs a supervised line, with a resistor at its end",
	"zone-module":        "it needs a supervised line, with a resistor at its end",
	"drive":              "its inputs need rungs that belong together",
}

// What the package promises to draw must come up, and not only once in a while; what it does
// not draw must not.
func TestPanelDrawsEverything(t *testing.T) {
	t.Parallel()
	found := make(map[string]int)
	for seed := uint64(1); seed <= seeds; seed++ {
		p := assemble(t, drawn()[seed])
		has := make(map[string]bool)
		for _, d := range p.Circuit.Devices {
			has[d.Type.Name] = true
			has["LED"] = has["LED"] || d.Load().Curve == circuits.LEDCurve
			has["filament"] = has["filament"] || d.Load().Curve == circuits.FilamentCurve
			has["off-delay"] = has["off-delay"] || d.OffDelay
			has["bridge"] = has["bridge"] || len(d.Bridges) > 0
			has["three positions"] = has["three positions"] || len(d.Positions) == 3
			has["place "+d.Place] = true
			has["dc"] = has["dc"] || d.DC
			has["primary wired"] = has["primary wired"] || p.PrimaryWired(d)
			for i, c := range d.Contacts {
				has["timed"] = has["timed"] || c.Timed
				has["untimed"] = has["untimed"] || d.Timer() && !c.Timed
				has["changeover"] = has["changeover"] || i > 0 && c.A == d.Contacts[i-1].A &&
					p.Wired(d.Terminal(c.B)) && p.Wired(d.Terminal(d.Contacts[i-1].B))
			}
		}
		isGround := func(t circuits.Terminal) bool {
			name, _ := t.Split()
			return p.Circuit.Device(name).Type.Kind == circuits.GroundKind
		}
		bonded := 0
		for _, n := range p.Circuit.Numbers {
			for _, w := range n.Wires {
				if isGround(w.From) != isGround(w.To) {
					bonded++
				}
			}
		}
		has["two supplies"] = p.Net.Sources() > 1
		has["grounded"] = bonded > 0
		has["ungrounded, with metalwork"] = bonded == 0 && has["ground"]
		has["no ground device"] = !has["ground"]
		has["nothing protects it"] = !has["fuse"] && !has["breaker"]
		for _, s := range p.Circuit.Steps {
			has["wait"] = has["wait"] || s.Wait > 0
		}
		for what, yes := range has {
			if yes {
				found[what]++
			}
		}
	}
	wanted := []string{"LED", "filament", "off-delay", "bridge", "three positions", "place panel",
		"place door", "place field",
		"place yard", "dc", "primary wired", "timed", "untimed", "changeover", "two supplies", "grounded",
		"ungrounded, with metalwork", "no ground device", "nothing protects it", "wait"}
	for _, kind := range circuits.Types {
		if reason, ok := notDrawn[kind.Name]; ok {
			assert.Zero(t, found[kind.Name], "%s is drawn, though %s", kind.Name, reason)
			continue
		}
		wanted = append(wanted, kind.Name)
	}
	for _, what := range wanted {
		assert.GreaterOrEqual(t, found[what], 5, "%s in %d panels", what, seeds)
	}
}

// The steps of a drawn panel work most of its outputs.
func TestPanelIsWorked(t *testing.T) {
	t.Parallel()
	var on, all int
	for seed := uint64(1); seed <= seeds; seed++ {
		p := assemble(t, drawn()[seed])
		worked := make(map[string]bool)
		for _, s := range p.Circuit.Steps {
			for _, x := range s.Expect {
				worked[x.Device.Name] = worked[x.Device.Name] || x.On
			}
		}
		for _, w := range worked {
			if all++; w {
				on++
			}
		}
		require.Len(t, worked, len(p.Visible()))
	}
	assert.Greater(t, float64(on)/float64(all), 0.75)
	t.Logf("%d of %d outputs work in some step", on, all)
}

func BenchmarkPanel(b *testing.B) {
	for _, n := range []int{LeastRungs, 12, MostRungs} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Panel(1, Options{Rungs: n})
			}
		})
	}
}
