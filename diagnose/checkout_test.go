package diagnose

import (
	"testing"
	"time"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/faultmodel"
)

func TestCheckOutScratch(t *testing.T) {
	texts := map[string]string{"rungs10": generate.Rungs(10), "rungs30": generate.Rungs(30)}
	for _, n := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(n)
		texts[n] = string(text)
	}
	for name, text := range texts {
		c, _ := circuits.Read(name, []byte(text))
		p := circuits.Assemble(c)
		m := Bare(p, faultmodel.List(p, faultmodel.Options{WiringErrors: true}))
		at := time.Now()
		o := m.CheckOut(CheckOutOptions{})
		t.Logf("%s: %d faults, %v, points %d", name, o.Faults, time.Since(at), len(m.outPairs()))
		for _, p := range o.Parts {
			t.Logf("   sort %d: %d checks, bound %d, for %d faults", p.Sort, len(p.Checks), p.Bound, p.Faults)
		}
		for i, u := range o.Unseen {
			if i < 8 {
				t.Logf("   unseen %v %s (of %d)", u.Near, u.Text, len(o.Unseen))
			}
		}
	}
}
