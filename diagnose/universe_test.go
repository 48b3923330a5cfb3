package diagnose

import (
	"fmt"
	"math"
	"os"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// The table is filled by looking only at what a fault touches. It must hold what a
// meter reads on a panel that is worked in full, for every fault and every check.
func TestTableIsWhatAMeterReads(t *testing.T) {
	names := circuits.Builtin()
	if testing.Short() {
		names = names[:3]
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			compareWithMeter(t, builtin(t, name), 1, 1)
		})
	}
	for _, name := range []string{"cold-store-alarm", "reversing", "permissives"} {
		t.Run(name+" as a new build", func(t *testing.T) {
			t.Parallel()
			p := builtin(t, name).Panel()
			m := made(p, faultmodel.List(p, faultmodel.Options{WiringErrors: true}), Options{})
			compareWithMeter(t, m, 1, 7)
		})
	}
	for _, name := range []string{"every-type", "lead-and-lag"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile("../circuits/read/testdata/ok/" + name + ".yaml")
			require.NoError(t, err)
			compareWithMeter(t, fromText(t, name+".yaml", string(text)), 2, 7)
		})
	}
	for seed := range uint64(16) {
		t.Run(fmt.Sprintf("random panel %d", seed), func(t *testing.T) {
			t.Parallel()
			m := fromText(t, "generated.yaml", generate.Panel(seed, generate.Options{Rungs: 3 + int(seed)}))
			compareWithMeter(t, m, 1+len(m.faults)/60, 1+len(m.checks)/2000)
		})
	}
	for i, s := range generate.Shapes {
		t.Run("panel of shape "+s.Name, func(t *testing.T) {
			t.Parallel()
			m := fromText(t, "shape.yaml", s.Panel(uint64(20+i), 9))
			compareWithMeter(t, m, 1+len(m.faults)/40, 1+len(m.checks)/1000)
		})
	}
	// Large panels have short lists of checks, and patterns of answers that faults share.
	for _, n := range []int{6, 60} {
		t.Run(fmt.Sprintf("regular panel of %d rungs", n), func(t *testing.T) {
			t.Parallel()
			c, problems := read.Read("rungs.yaml", []byte(generate.Rungs(n)))
			require.NoError(t, problems.Err())
			p := work.Assemble(c)
			m := made(p, faultmodel.List(p, faultmodel.Options{}), Options{})
			compareWithMeter(t, m, 1+n/2, 1+n/12)
		})
	}
}

// compareWithMeter holds every so manieth fault against every so manieth check.
func compareWithMeter(t *testing.T, m *Model, everyFault, everyCheck int) {
	compared := 0
	most := meterTakes(m)
	for f := 0; f < len(m.faults); f += everyFault {
		meter, believed := m.Meter(f), m.offs(f)
		for i := f % everyCheck; i < len(m.checks); i += everyCheck {
			l := m.checks[i]
			want, err := meter.Read(m.book.Check(l))
			require.NoError(t, err)
			got := m.told(int32(i), int32(f))
			compared++
			require.True(t, !want.Firm || m.agree(l, got, want), "%s, %s: %+v in the table does not agree with %+v on the meter",
				m.faults[f].ID, m.book.Check(l), got, want)
			if l.Kind.Off() { // what is believed, with the whole panel solved
				want = believed.read(l)
				if !m.decides(l, got) && !m.decides(l, want) {
					continue // behind an electronic supply's output nothing is near what it was
				}
			} else if m.otherwise[f] != nil && !got.Firm {
				continue // it depends on what the parts are like
			}
			if !got.Firm && want.Firm && len(meter.End(l.Step).Phases) > 0 {
				continue // a relay chatters: the table trusts no node that it moves
			}
			if !got.Firm && want.Firm && l.Kind.Off() && !m.foretell(f, l).Firm {
				continue // it depends on a fuse, and on where wires touch: three readings fit
			}
			if !l.Kind.Off() && !got.Firm && (len(m.later[f].after(l.Step)) > 0 || len(m.later[f].paces) > 0) {
				continue // a timer runs on
			}
			if got.Firm != want.Firm || got.On != want.On || want.Firm && !near(l.Kind, got.Value, want.Value, most) {
				require.Failf(t, "the table is wrong", "%s, %s: %+v in the table, %+v on the meter", m.faults[f].ID, m.book.Check(l), got, want)
			}
		}
	}
	t.Logf("%d readings", compared)
}

// What is worked out does not depend on the number of cores, nor on which of two is quicker.
func TestTheTableIsTheSameOnOneCore(t *testing.T) {
	c, problems := read.Read("rungs.yaml", []byte(generate.Rungs(30)))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	faults := faultmodel.List(p, faultmodel.Options{})
	work := func(cores int) *Model {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		m := made(p, faults, Options{})
		return m
	}
	one, four := work(1), work(4)
	require.Equal(t, one.follows, four.follows)
	require.Equal(t, one.cells, four.cells)
	require.Equal(t, one.table.group, four.table.group)
	require.Equal(t, one.Turn(log.Log{}, Choosing{}), four.Turn(log.Log{}, Choosing{}))
}

// near allows for the meter's own current, which takes so much at the most and which the table leaves
// out, and for what no ohmmeter shows.
func near(kind log.Kind, a, b, most float64) bool {
	if kind == log.Ohms {
		return network.SameOhms(a, b)
	}
	if math.IsInf(a, 1) || math.IsInf(b, 1) {
		return a == b
	}
	return math.Abs(a-b) <= 0.01+most*math.Max(a, b)
}

// meterTakes is the greatest share of a voltage that the meter's own current takes: with nothing but
// the quarter megohm of a detector in the way a little over 2 %.
func meterTakes(m *Model) float64 {
	if slices.ContainsFunc(m.panel.Circuit.Devices, func(d *circuits.Device) bool { return d.Type.Name == "smoke-detector" }) {
		return 0.03
	}
	return 0.01
}

// What is listed as looking otherwise is what is seen of the panel with the fault.
func TestUnlikeIsWhatIsSeen(t *testing.T) {
	for _, name := range []string{"cold-store-alarm", "reversing"} {
		m := builtin(t, name)
		good := m.Meter(Good)
		seen := 0
		for f := range m.faults {
			var listed, read []string
			m.Unlike(f, func(step int, s work.Sight, on bool) {
				listed = append(listed, fmt.Sprint(step, s.Device.Name, s.Look, on))
			})
			meter := m.Meter(f)
			for step := range m.good {
				for _, s := range m.panel.Sights() {
					l := log.Located{Kind: log.Look, Step: step, Device: s.Device, Look: s.Look}
					if is := meter.read(l); is.On != good.read(l).On {
						read = append(read, fmt.Sprint(step, s.Device.Name, s.Look, is.On))
					}
				}
			}
			require.Equal(t, read, listed, "%s", m.faults[f].ID)
			seen += len(read)
		}
		require.Positive(t, seen)
	}
}
