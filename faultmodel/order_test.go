package faultmodel_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// The order of the lines in a file decides nothing: what is firm with the devices in one order
// is not something else in another.
func TestOrderOfLinesDecidesNothing(t *testing.T) {
	for i, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		shuffled(t, assembled(t, name+".yaml", string(text)), uint64(i))
	}
	for seed := range uint64(12) {
		shuffled(t,
			assembled(t, "generated.yaml", generate.Panel(seed, generate.Options{Rungs: 2 + int(seed)%5})), seed)
	}
}

func shuffled(t *testing.T, p *work.Panel, seed uint64) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 9))
	c := *p.Circuit
	c.Devices = slices.Clone(c.Devices)
	r.Shuffle(len(c.Devices), func(i, k int) { c.Devices[i], c.Devices[k] = c.Devices[k], c.Devices[i] })
	q := work.Assemble(&c)
	others := make(map[faultmodel.ID]work.Overlay)
	for _, f := range faultmodel.List(q, faultmodel.Options{}) {
		others[f.ID] = f.Overlay
	}
	terminals := p.Terminals()
	compared := 0
	for _, f := range faultmodel.List(p, faultmodel.Options{}) {
		o, ok := others[f.ID]
		if !ok || r.IntN(3) > 0 {
			continue
		}
		var ends []*work.End
		q.Work(&o, func(_ int, e *work.End) bool { ends = append(ends, e); return true })
		p.Work(&f.Overlay, func(step int, e *work.End) bool {
			where := func(what any) string { return fmt.Sprintf("%s, step %d: %v", f.ID, step+1, what) }
			other := ends[step]
			for _, d := range p.Visible() {
				on, firm := p.Look(&f.Overlay, e, d)
				on2, firm2 := q.Look(&o, other, d)
				if firm && firm2 {
					compared++
					require.Equal(t, on, on2, where(d.Name))
				}
			}
			for range 20 {
				x, y := terminals[r.IntN(len(terminals))], terminals[r.IntN(len(terminals))]
				v, firm := e.ReadVolts(p.Node(x), p.Node(y), network.MeterOhms)
				v2, firm2 := other.ReadVolts(q.Node(x), q.Node(y), network.MeterOhms)
				if firm && firm2 {
					compared++
					require.InDelta(t, v, v2, 0.1+0.005*v, where(x+" to "+y)) // a meter shows no difference
				}
			}
			return true
		})
	}
	require.NotZero(t, compared)
}
