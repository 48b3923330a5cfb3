package main

import (
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
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

// How the first check and the later ones grow with the panel: the whole process of "next",
// its memory, and the slowest later turn of three sessions. With -update the table goes
// into docs/figures.md:
//
//	go test ./cmd/deadrung -run xxx -bench Growth -benchtime 3x -update
func BenchmarkGrowth(b *testing.B) {
	program := filepath.Join(b.TempDir(), "deadrung")
	out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput()
	require.NoError(b, err, "%s", out)
	var rows []growth
	for _, n := range []int{10, 30, 100, 300, 1000} {
		text := []byte(generate.Rungs(n))
		file := filepath.Join(b.TempDir(), "rungs.yaml")
		require.NoError(b, os.WriteFile(file, text, 0o600))
		row := growth{rungs: n, first: math.Inf(1)}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				started := time.Now()
				c := exec.Command(program, "next", file)
				out, err := c.Output()
				require.NoError(b, err)
				require.Contains(b, string(out), "Next check: ")
				row.first = min(row.first, time.Since(started).Seconds())
				row.memory = max(row.memory, c.ProcessState.SysUsage().(*syscall.Rusage).Maxrss/1024)
			}
			b.ReportMetric(row.first, "s/first")
			b.ReportMetric(float64(row.memory), "MB")
		})
		if math.IsInf(row.first, 1) {
			continue // not among those that were asked for
		}
		row.measureTurns(b, text)
		rows = append(rows, row)
	}
	for i, r := range rows {
		b.Logf("%d rungs, %d faults, %d checks: first check %.2f s, %d MB, a later turn %.2f s at most; "+
			"exponent %s",
			r.rungs, r.faults, r.checks, r.first, r.memory, r.later, exponent(rows, i))
	}
	if *update {
		renewGrowth(b, rows)
	}
}

// growth is a row of the table.
type growth struct {
	rungs, faults, checks int
	first, later          float64 // seconds
	memory                int64   // MB
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

// exponent is that of the growth of the first check since the row before; it begins to mean
// something where the panel takes longer than the start of a process.
func exponent(rows []growth, i int) string {
	if i == 0 || rows[i].rungs < 300 {
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
	fmt.Fprintf(&t, "On %d cores, with %s:\n\n", runtime.NumCPU(), runtime.Version())
	t.WriteString("| rungs | faults | checks | first check, s | memory, MB | slowest later turn, " +
		"s | exponent |\n| --- | --- | --- | --- | --- | --- | --- |\n")
	for i, r := range rows {
		fmt.Fprintf(&t, "| %d | %d | %d | %.2f | %d | %.2f | %s |\n", r.rungs, r.faults, r.checks, r.first,
			r.memory, r.later, exponent(rows, i))
	}
	require.NoError(b, os.WriteFile(file, []byte(before+growthBegins+t.String()+growthEnds+after), 0o644))
}
