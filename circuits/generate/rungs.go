package generate

import (
	"deadrung/circuits/work"
	"fmt"
	"slices"
	"strings"
)

// The shape of a regular panel.
const (
	perChain = 25 // rungs that hang on one chain of the hot and of the grounded side
	perLamp  = 5  // one lamp in so many rungs
	groups   = 5  // in which the buttons are pressed
	delay    = 10 // seconds of every timer
)

// Rungs gives the text of a regular panel of n rungs, at least one:
//
//	3 ─┬─ SB1 ─o/o─┬─ PB1 ─o o─┬───────────(CR1)── 2
//	   │           └─ CR1 ─┤ ├─┘
//	   ├─ PB2 ─o o─┬─ CR1 ─┤/├─────────────(CR2)── 2
//	   ├─ CR2 ─┤ ├─┘
//	   ┊
//	   ├─ PB25 ─o/o── CR23 ─┤ ├───────────(TR25)── 2
//	   └─ TR25 ─┤ ├────────────────────────(H25)── 2
//
// Odd rungs have a stop of their own; even ones hang on a contact of the odd rung before
// them, by turns NC and NO. The last of every 25 is an on-delay timer that follows a
// relay. Every fifth rung has a lamp on one more contact, a timer's on its timed one.
// The hot and the grounded side are each one wire number: terminal block TB1 has a
// terminal of each for every 25 rungs, bridged, and from there a chain runs along them.
// A rung is some eight terminals and seven wires.
//
// The operation has 17 steps. What they expect is worked out from this structure, not by
// working the circuit.
func Rungs(n int) string {
	g := newRegular(max(n, 1))
	var s strings.Builder
	fmt.Fprintf(&s, "circuit: Regular panel of %d rungs\n", g.n)
	g.devices(&s)
	g.wires(&s)
	g.operation(&s)
	return s.String()
}

// regular is a regular panel. Slices are indexed by rung, from one.
type regular struct {
	n       int
	pressed []bool    // start button, or a timer's hold button
	stopped []bool    // stop button is pressed
	in      []bool    // coil is pulled in
	elapsed []float64 // seconds since a timer's coil pulled in
}

func newRegular(n int) *regular {
	return &regular{n, make([]bool, n+1), make([]bool, n+1), make([]bool, n+1), make([]float64, n+1)}
}

func (g *regular) chains() int { return (g.n + perChain - 1) / perChain }

func timer(i int) bool { return i%perChain == 0 }

func lamp(i int) bool { return i%perLamp == 0 }

// stoppable tells whether a rung has a stop of its own.
func stoppable(i int) bool { return i%2 == 1 && !timer(i) }

// follows gives the rung whose relay has a contact in this one, zero for none: the last
// one before it that has a stop of its own.
func follows(i int) int {
	if stoppable(i) {
		return 0
	}
	for i--; !stoppable(i); i-- {
	}
	return i
}

// broken tells whether the contact of the relay that a rung follows is an NC one.
func broken(i int) bool { return !timer(i) && i%4 == 2 }

// coil names the device of a rung.
func coil(i int) string {
	if timer(i) {
		return fmt.Sprintf("TR%d", i)
	}
	return fmt.Sprintf("CR%d", i)
}

// lock gives the terminals of the contact that a rung has on the relay that it follows,
// and the form it is written in. Poles 1 and 2 are the relay's own.
func lock(i int) (form string, a, b int) {
	pole := 10 * (2 + i - follows(i))
	if broken(i) {
		return "nc", pole + 1, pole + 2
	}
	return "no", pole + 3, pole + 4
}

// mostFollowers is how far behind a rung the last one that follows it can be: a timer
// may stand between.
const mostFollowers = 3

func (g *regular) devices(s *strings.Builder) {
	const volts = 120
	amps := (running["relay"]*float64(g.n) + running["lamp"]*float64(g.n/perLamp)) / volts
	fmt.Fprintf(s, "devices:\n  T1: {type: control-transformer, volts: %d}\n  PE: {type: ground}\n", volts)
	fmt.Fprintf(s, "  F1: {type: fuse, amps: %g}\n", rating(amps))
	var hot, grounded []string
	for c := range g.chains() {
		hot = append(hot, fmt.Sprintf("H%d", c+1))
		grounded = append(grounded, fmt.Sprintf("N%d", c+1))
	}
	bridges := ""
	if g.chains() > 1 {
		bridges = fmt.Sprintf(", bridges: [[%s], [%s]]", strings.Join(hot, ", "),
			strings.Join(grounded, ", "))
	}
	fmt.Fprintf(s, "  TB1: {type: terminal-block, terminals: [%s]%s}\n",
		strings.Join(slices.Concat(hot, grounded), ", "), bridges)
	for i := 1; i <= g.n; i++ {
		if stoppable(i) {
			fmt.Fprintf(s, "  SB%d: {type: push-button, place: door, contacts: [{nc: [11, 12]}]}\n", i)
		}
		var contacts []string
		if timer(i) {
			fmt.Fprintf(s, "  PB%d: {type: push-button, place: door, contacts: [{nc: [11, 12]}]}\n", i)
			fmt.Fprintf(s, "  %s: {type: timer, delay: on, seconds: %d", coil(i), delay)
			contacts = append(contacts, "{no: [23, 24], timed: true}")
		} else {
			fmt.Fprintf(s, "  PB%d: {type: push-button, place: door, contacts: [{no: [13, 14]}]}\n", i)
			fmt.Fprintf(s, "  %s: {type: relay", coil(i))
			contacts = append(contacts, "{no: [13, 14]}")
			if lamp(i) {
				contacts = append(contacts, "{no: [23, 24]}")
			}
		}
		for k := i + 1; k <= min(i+mostFollowers, g.n); k++ {
			if follows(k) == i {
				form, a, b := lock(k)
				contacts = append(contacts, fmt.Sprintf("{%s: [%d, %d]}", form, a, b))
			}
		}
		fmt.Fprintf(s, ", contacts: [%s]}\n", strings.Join(contacts, ", "))
		if lamp(i) {
			fmt.Fprintf(s, "  H%d: {type: lamp, place: door}\n", i)
		}
	}
}

func (g *regular) wires(s *strings.Builder) {
	hot := [][]string{{"F1:2", "TB1:H1"}}
	grounded := [][]string{{"T1:X2", "TB1:N1"}, {"T1:X2", "PE:1"}}
	var rungs strings.Builder
	for c := range g.chains() {
		h := []string{fmt.Sprintf("TB1:H%d", c+1)}
		n := []string{fmt.Sprintf("TB1:N%d", c+1)}
		for i := c*perChain + 1; i <= min((c+1)*perChain, g.n); i++ {
			var a, b []string // the wire numbers in the rung
			d, k := coil(i), follows(i)
			own := func(format string) string { return fmt.Sprintf(format, i) }
			switch {
			case timer(i):
				h = append(h, own("PB%d:11"))
				a = []string{own("PB%d:12")}
			case stoppable(i):
				h = append(h, own("SB%d:11"))
				a = []string{own("SB%d:12"), own("PB%d:13"), d + ":13"}
				b = []string{own("PB%d:14"), d + ":14"}
			default:
				h = append(h, own("PB%d:13"), d+":13")
				a = []string{own("PB%d:14"), d + ":14"}
			}
			if k > 0 {
				_, from, to := lock(i)
				a = append(a, fmt.Sprintf("%s:%d", coil(k), from))
				b = append(b, fmt.Sprintf("%s:%d", coil(k), to))
			}
			fmt.Fprintf(&rungs, "  %dA: [%s]\n  %dB: [%s]\n", i, strings.Join(a, ", "), i,
				strings.Join(append(b, d+":A1"), ", "))
			n = append(n, d+":A2")
			if lamp(i) {
				h = append(h, d+":23")
				n = append(n, own("H%d:2"))
				fmt.Fprintf(&rungs, "  %dC: [%s:24, H%d:1]\n", i, d, i)
			}
		}
		hot, grounded = append(hot, h), append(grounded, n)
	}
	s.WriteString("wires:\n  1: [T1:X1, F1:1]\n")
	for _, side := range []struct {
		name string
		runs [][]string
	}{{"2", grounded}, {"3", hot}} {
		fmt.Fprintf(s, "  %s:\n", side.name)
		for _, run := range side.runs {
			fmt.Fprintf(s, "    - [%s]\n", strings.Join(run, ", "))
		}
	}
	s.WriteString(rungs.String())
}

// operation writes the steps: every group of start buttons pressed and let go, the
// timers waited for, some stops pressed and let go, the even rungs started once more, all
// stopped.
func (g *regular) operation(s *strings.Builder) {
	s.WriteString("operation:\n")
	var was []bool
	step := func(name string, wait float64, set func(i int) []string) {
		fmt.Fprintf(s, "  - step: %s\n", name)
		var moved []string
		for i := 1; set != nil && i <= g.n; i++ {
			moved = append(moved, set(i)...)
		}
		if len(moved) > 0 {
			fmt.Fprintf(s, "    set: {%s}\n", strings.Join(moved, ", "))
		}
		if wait > 0 {
			fmt.Fprintf(s, "    wait: %g\n", wait)
		}
		g.work(wait)
		var expect []string
		for i := 1; i <= g.n; i++ {
			if was == nil || g.in[i] != was[i] {
				expect = append(expect, coil(i)+": "+work.OnOff(g.in[i]))
			}
			if lamp(i) {
				expect = append(expect, fmt.Sprintf("H%d: %s", i, work.OnOff(g.lit(i))))
			}
		}
		was = slices.Clone(g.in)
		if len(expect) > 0 {
			fmt.Fprintf(s, "    expect: {%s}\n", strings.Join(expect, ", "))
		}
	}
	press := func(which func(i int) bool) func(i int) []string { return g.move("PB", g.pressed, true, which) }
	release := func(which func(i int) bool) func(i int) []string { return g.move("PB", g.pressed, false, which) }
	stop := func(down bool, which func(i int) bool) func(i int) []string {
		return g.move("SB", g.stopped, down, func(i int) bool { return stoppable(i) && which(i) })
	}
	step("at rest", 0, nil)
	for group := range groups {
		starts := func(i int) bool { return !timer(i) && i%groups == group }
		step(fmt.Sprintf("start buttons of group %d pressed", group+1), 0, press(starts))
		step(fmt.Sprintf("start buttons of group %d let go", group+1), 0, release(starts))
	}
	step("timers timed out", delay, nil)
	some := func(i int) bool { return i%3 > 0 }
	step("two stops in three pressed", 0, stop(true, some))
	step("stops let go", 0, stop(false, some))
	even := func(i int) bool { return !timer(i) && i%2 == 0 }
	step("even rungs started again", delay/2, press(even))
	step("even start buttons let go", delay, release(even))
	step("all stops pressed", 0, stop(true, func(int) bool { return true }))
}

// move moves the buttons of some rungs.
func (g *regular) move(letters string, buttons []bool, down bool,
	which func(i int) bool) func(i int) []string {
	return func(i int) []string {
		if !which(i) {
			return nil
		}
		buttons[i] = down
		position := pressed[0]
		if down {
			position = pressed[1]
		}
		return []string{fmt.Sprintf("%s%d: %s", letters, i, position)}
	}
}

// work works out what the coils do, in the order of the rungs: one depends only on those
// before it.
func (g *regular) work(wait float64) {
	for i := 1; i <= g.n; i++ {
		k := follows(i)
		closed := k == 0 || g.in[k] != broken(i)
		switch {
		case timer(i):
			g.in[i] = closed && !g.pressed[i]
			if g.elapsed[i] += wait; !g.in[i] {
				g.elapsed[i] = 0
			}
		default:
			g.in[i] = (g.pressed[i] || g.in[i]) && !g.stopped[i] && closed
		}
	}
}

// lit tells whether the lamp of a rung is lit.
func (g *regular) lit(i int) bool {
	return g.in[i] && (!timer(i) || g.elapsed[i] >= delay)
}
