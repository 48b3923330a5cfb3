//go:build js

package engine

import (
	"context"
	"fmt"
	"strings"
	"syscall/js"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// worked is the processor time of this process in milliseconds.
func worked() float64 {
	used := js.Global().Get("process").Call("cpuUsage")
	return (used.Get("user").Float() + used.Get("system").Float()) / 1000
}

// What is taken for a processor that is slowed sixfold: six times the processor time here. So
// long, in it, somebody takes to choose a circuit and to read the caution, and to make a check.
const (
	slowing  = 6
	choosing = 6000.0
	checking = diagnose.LookMinutes * 60 * 1000
)

// idly lets an engine work while a person does something that takes so many milliseconds.
func idly(ms float64) {
	begun, last, still := worked(), worked(), time.Now()
	for (worked()-begun)*slowing < ms && time.Since(still) < time.Second {
		time.Sleep(5 * time.Millisecond)
		if now := worked(); now-last > 4 {
			last, still = now, time.Now()
		}
	}
}

// How long a person waits for the engine where a browser has one thread for it: for the first
// question, for the first check, and for later checks in the mean and at worst, with three faults
// of each circuit. Go's own program runs it, with Node.js:
//
//	GOOS=js GOARCH=wasm go test ./cmd/deadrung/page/engine -run xxx -bench Waiting -benchtime 1x \
//	    -exec "$(go env GOROOT)/lib/wasm/go_js_wasm_exec"
func BenchmarkWaiting(b *testing.B) {
	var all []Circuit
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		all = append(all, Circuit{Name: name, Text: string(text)})
	}
	for _, c := range all {
		read, problems := read.Read(c.Name, []byte(c.Text))
		require.NoError(b, problems.Err())
		p := work.Assemble(read)
		m, err := diagnose.New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
		require.NoError(b, err)
		const faults = 3
		for k := range faults {
			hidden := (2*k + 1) * len(m.Faults()) / (2 * faults)
			b.Run(c.Name+"/"+string(m.Faults()[hidden].ID), func(b *testing.B) {
				for b.Loop() {
					wait(b, all, c, m, hidden)
				}
			})
		}
	}
}

func wait(b *testing.B, all []Circuit, c Circuit, m *diagnose.Model, hidden int) {
	panel := training.NewSitting(m, hidden, 1)
	asked, begun := make(chan *Asked, 1), 0.0
	var took float64
	e := New(func(m Message) {
		switch m.Kind {
		case Asking:
			took = (worked() - begun) * slowing
			asked <- m.Asked
		case Failed, Mistaken:
			b.Error(m.Text)
		}
	}, time.Now)
	order := func(o Order) *Asked {
		begun = worked()
		e.Take(o)
		return <-asked
	}
	e.Take(Order{Do: Ready, Circuits: all})
	idly(choosing)
	a := order(Order{Do: Open, Of: "s", Name: c.Name, Text: c.Text})
	b.ReportMetric(took, "ms/first")
	idly(choosing)
	var later []string
	sum, most := 0.0, 0.0
	for range 60 {
		o := Order{Do: Answer}
		switch {
		case a.Wait:
			o.Text = "ok"
		case a.Place == guide.Complaint:
			o.Text = "none"
		case a.Place == guide.Check:
			shown, err := panel.Show(*a.Check)
			require.NoError(b, err)
			o.Text = typedAs(*a.Check, shown.Reading)
		default:
			b.ReportMetric(sum/float64(len(later)), "ms/later")
			b.ReportMetric(most, "ms/most")
			b.Logf("%s", strings.Join(later, " "))
			e.Take(Order{Do: Leave})
			return
		}
		place := a.Place
		a = order(o)
		switch {
		case place == guide.Complaint:
			b.ReportMetric(took, "ms/check")
		case place == guide.Check:
			later = append(later, fmt.Sprintf("%.0f", took))
			sum, most = sum+took, max(most, took)
		}
		idly(checking)
	}
}

// typedAs is a reading as a person types it.
func typedAs(c log.Check, r log.Reading) string {
	switch {
	case c.Kind() == log.Look && r.On:
		return "on"
	case c.Kind() == log.Look:
		return "off"
	case r.Value == log.OL:
		return "OL"
	}
	return fmt.Sprintf("%.1f %s", r.Value, c.Kind().Unit())
}
