package main

import (
	"context"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"deadrung/circuits/generate"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// How the first check and the later ones grow with panels of every shape: processor time of the
// whole process of "next", its memory, and the slowest later turn of three sessions. A shape is
// left where a panel takes longer than mostSeconds. With -update the table goes into
// docs/figures.md:
//
//	go test ./cmd/deadrung -run xxx -bench Growth -benchtime 1x -timeout 1h -update
//
// One shape or size is asked for as in -bench Growth/regular/100.
func BenchmarkGrowth(b *testing.B) {
	program := filepath.Join(b.TempDir(), "deadrung")
	out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput()
	require.NoError(b, err, "%s", out)
	var rows []growth
	for _, shape := range generate.Shapes {
		b.Run(shape.Name, func(b *testing.B) {
			for _, n := range []int{10, 30, 100, 300, 1000} {
				row := growth{shape: shape.Name, rungs: n, first: math.Inf(1)}
				b.Run(fmt.Sprint(n), func(b *testing.B) { row.measure(b, program, shape) })
				if math.IsInf(row.first, 1) {
					continue // not among those that were asked for
				}
				rows = append(rows, row)
				if row.first > mostSeconds {
					return
				}
			}
		})
	}
	slowest := make(map[int]growth)
	for i, r := range rows {
		b.Logf("%s, %d rungs, %d faults, %d checks: first check %.2f s, %d MB, a later turn %.2f s at most; "+
			"exponent %s", r.shape, r.rungs, r.faults, r.checks, r.first, r.memory, r.later, exponent(rows, i))
		if r.first > slowest[r.rungs].first {
			slowest[r.rungs] = r
		}
	}
	for _, n := range slices.Sorted(maps.Keys(slowest)) {
		b.Logf("slowest of %d rungs: %s, %.2f s", n, slowest[n].shape, slowest[n].first)
	}
	if *update {
		renewGrowth(b, rows)
	}
}

// mostSeconds of processor time a panel may take for a larger one of its shape to be tried.
const mostSeconds = 20

// growth is a row of the table.
type growth struct {
	shape                 string
	rungs, faults, checks int
	first                 float64 // seconds of processor time
	later                 float64 // seconds
	memory                int64   // MB
}

// measure measures a panel of a shape.
func (g *growth) measure(b *testing.B, program string, shape generate.Shape) {
	text := []byte(shape.Panel(1, g.rungs))
	file := filepath.Join(b.TempDir(), "panel.yaml")
	require.NoError(b, os.WriteFile(file, text, 0o600))
	for b.Loop() {
		c := exec.Command(program, "next", file)
		out, err := c.Output()
		require.NoError(b, err)
		require.Contains(b, string(out), "Next check: ")
		spent := c.ProcessState.UserTime() + c.ProcessState.SystemTime()
		g.first = min(g.first, spent.Seconds())
		g.memory = max(g.memory, c.ProcessState.SysUsage().(*syscall.Rusage).Maxrss/1024)
	}
	b.ReportMetric(g.first, "s/first")
	b.ReportMetric(float64(g.memory), "MB")
	g.measureTurns(b, text)
}

// measureTurns follows three sessions to their verdicts.
func (g *growth) measureTurns(b *testing.B, text []byte) {
	c, problems := read.Read("rungs.yaml", text)
	require.NoError(b, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(b, err)
	g.faults, g.checks = len(m.Faults()), len(m.Checks())
	choosing := diagnose.Choosing{By: diagnose.ByChecks}
	for _, part := range []int{5, 2, 3} {
		meter := m.Meter(g.faults / part)
		var history log.Log
		for turn := m.Turn(history, choosing); turn.Next != nil && !turn.Proved; {
			r, err := meter.Read(turn.Next.Check)
			require.NoError(b, err)
			r.Firm = true
			e, err := m.Book().NewEntry(turn.Next.Check, &r)
			require.NoError(b, err)
			history.Entries = append(history.Entries, e)
			started := time.Now()
			turn = m.Turn(history, choosing)
			g.later = max(g.later, time.Since(started).Seconds())
		}
	}
}

// What a folder with its PDFs takes on panels of every shape: by the clock, and of processor time of
// the whole process. A shape is left where a panel takes longer than mostSeconds:
//
//	go test ./cmd/deadrung -run xxx -bench Folder -benchtime 1x -timeout 1h
//
// One shape or size is asked for as in -bench Folder/regular/100.
func BenchmarkFolder(b *testing.B) {
	program := filepath.Join(b.TempDir(), "deadrung")
	out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput()
	require.NoError(b, err, "%s", out)
	for _, shape := range generate.Shapes {
		b.Run(shape.Name, func(b *testing.B) {
			for _, n := range []int{10, 30, 100} {
				clock, spent := math.Inf(1), math.Inf(1)
				b.Run(fmt.Sprint(n), func(b *testing.B) {
					file := filepath.Join(b.TempDir(), "panel.yaml")
					require.NoError(b, os.WriteFile(file, []byte(shape.Panel(1, n)), 0o600))
					for b.Loop() {
						started := time.Now()
						c := exec.Command(program, "folder", file, "-o", filepath.Join(b.TempDir(), "door"))
						out, err := c.CombinedOutput()
						require.NoError(b, err, "%s", out)
						clock = min(clock, time.Since(started).Seconds())
						spent = min(spent, (c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds())
					}
					b.ReportMetric(clock, "s/clock")
					b.ReportMetric(spent, "s/processor")
				})
				if spent > mostSeconds && !math.IsInf(spent, 1) {
					return
				}
			}
		})
	}
}

// exponent is that of the growth of the first check since the row before; it begins to mean
// something where the panel takes longer than the start of a process.
func exponent(rows []growth, i int) string {
	if i == 0 || rows[i].rungs < 100 || rows[i-1].shape != rows[i].shape {
		return "–"
	}
	from := rows[i-1]
	return fmt.Sprintf("%.2f",
		math.Log(rows[i].first/from.first)/math.Log(float64(rows[i].rungs)/float64(from.rungs)))
}

// The table stands between these lines of docs/figures.md.
const (
	growthBegins = "<!-- growth: begins -->\n"
	growthEnds   = "<!-- growth: ends -->\n"
)

func renewGrowth(b *testing.B, rows []growth) {
	file := filepath.Join("..", "..", "docs", "figures.md")
	text, err := os.ReadFile(file)
	require.NoError(b, err)
	before, rest, ok := strings.Cut(string(text), growthBegins)
	require.True(b, ok, "docs/figures.md has no place for the table")
	_, after, ok := strings.Cut(rest, growthEnds)
	require.True(b, ok, "docs/figures.md has no end of the table")
	var t strings.Builder
	fmt.Fprintf(&t, "On %d cores, with %s, seconds of processor time:\n\n", runtime.NumCPU(), runtime.Version())
	t.WriteString("| shape | rungs | faults | checks | first check, s | memory, MB | slowest later turn, " +
		"s | exponent |\n| --- | --- | --- | --- | --- | --- | --- | --- |\n")
	for i, r := range rows {
		fmt.Fprintf(&t, "| %s | %d | %d | %d | %.2f | %d | %.2f | %s |\n", r.shape, r.rungs, r.faults, r.checks, r.first,
			r.memory, r.later, exponent(rows, i))
	}
	require.NoError(b, os.WriteFile(file, []byte(before+growthBegins+t.String()+growthEnds+after), 0o644))
}
