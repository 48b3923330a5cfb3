package checkout

import (
	"slices"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
)

// What is left out when checks are worked out is the same as what is worked: a fault shows in no
// way that it does not reach, and of wires that touch to the same end each shows as the first.
func TestShowingLeavesNothingOut(t *testing.T) {
	texts := make(map[string]string)
	for _, name := range []string{"start-stop", "field-wiring", "guard-door", "two-pumps", "ferry-alarm"} {
		text, ok := circuits.BuiltinText(name)
		require.True(t, ok, name)
		texts[name] = string(text)
	}
	texts["panel 1"] = generate.Panel(1, generate.Options{Rungs: 5, Passive: true})
	texts["panel 2"] = generate.Panel(2, generate.Options{Rungs: 6})
	texts["regular"] = generate.Rungs(8)
	var left atomic.Int64
	alike := 0
	for name, text := range texts {
		c, problems := read.Read(name, []byte(text))
		require.NoError(t, problems.Err(), name)
		pl := newPlanner(newBuild(work.Assemble(c)))
		faults, _ := pl.wiringFaults()
		var which []int
		for i := range faults {
			if i%7 == 0 || len(faults) < 100 {
				which = append(which, i)
			}
		}
		pairs := pl.outPairs()
		for _, checks := range [][]int{{0}, {len(c.Steps) - 1}, nil} {
			tries := pl.liftedPairs()
			tries = append(tries, pl.withoutElectronics(tries)...)
			if checks != nil {
				tries = pl.ohmsAt(pl.book.Held(checks[0]), pairs)
			}
			ways, made := pl.ways(tries)
			same := pl.same(ways, faults, which)
			shows := pl.showing(tries, faults, which)
			var overlays []work.Overlay
			for _, i := range which {
				overlays = append(overlays, faults[i].overlay)
			}
			pl.reach(ways, made)
			pl.model.EachOhmmeter(overlays, func(k int, o *diagnose.Ohmmeter) {
				left.Add(int64(len(ways) - len(pl.within(o, &faults[which[k]], ways))))
				if want := pl.shownBy(o, ways, made); !slices.Equal(want, shows[k]) {
					t.Errorf("%s: %s shows in %d checks, not in %d", name, faults[which[k]].text, len(want), len(shows[k]))
				}
				if k%5 > 0 && checks == nil {
					return
				}
				if want := pl.shownBy(pl.model.Ohmmeter(overlays[k]), ways, made); !slices.Equal(want, shows[k]) { // as a whole
					t.Errorf("%s: %s shows in %d checks, not in %d", name, faults[which[k]].text, len(want), len(shows[k]))
				}
			})
			for k := range which {
				if same[k] != k {
					alike++
				}
			}
		}
	}
	require.Positive(t, alike)
	require.Positive(t, left.Load())
	t.Logf("%d ways left out, %d faults as others", left.Load(), alike)
}
