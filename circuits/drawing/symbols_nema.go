package drawing

func bars(p *pen, l look) {
	p.line(-10, 0, -5, 0)
	p.line(5, 0, 10, 0)
	p.line(-5, -10, -5, 10)
	p.line(5, -10, 5, 10)
	switch {
	case l.nc && l.closed:
		p.line(-10, 10, 10, -10)
	case l.nc:
		p.line(8, 0, 14, -10) // the bar is lifted
	case l.closed:
		p.area(-5, -4, 5, -4, 5, 4, -5, 4) // the gap is bridged
	}
}

// withF draws an f beside a contact, which is of a fault relay.
func withF(contact func(*pen, look), x, y float64) func(*pen, look) {
	return func(p *pen, l look) {
		contact(p, l)
		p.text(x, y, 9, "f")
	}
}

// arm draws the arm of a switch between two round contacts, and gives where its middle is:
// an NO arm hangs below its contact, an NC arm lies on it.
func arm(p *pen, l look) float64 {
	p.circle(-13, 0, 3)
	p.circle(13, 0, 3)
	tip := -3.0
	switch {
	case l.nc && !l.closed:
		tip = -12
	case !l.nc && l.closed:
		tip = 3
	case !l.nc:
		tip = 12
	}
	p.line(-10, 0, 14, tip)
	return tip * 11 / 24
}

func timed(p *pen, l look) {
	y := arm(p, l)
	p.line(0, y, 0, 23)
	if l.off {
		p.line(-4, 19, 0, 23, 4, 19)
	} else {
		p.line(-4, 23, 0, 19, 4, 23)
		p.line(-4, 19, 0, 15, 4, 19)
	}
}

func limit(p *pen, l look) {
	y := arm(p, l)
	p.line(-3, y, 3, y+8, 6, y+2)
}

func float(p *pen, l look) {
	p.line(0, arm(p, l), 0, 16)
	p.circle(0, 20, 4)
}

func pressure(p *pen, l look) {
	p.line(0, arm(p, l), 0, 17)
	p.arc(-6, 24, 6, 24, 7, true)
	p.line(-6, 24, 6, 24)
}

func temperature(p *pen, l look) {
	p.line(0, arm(p, l), 0, 14, 5, 14, 5, 18, -5, 18, -5, 22, 0, 22, 0, 25)
}

func flow(p *pen, l look) {
	p.line(0, arm(p, l), 0, 25)
	p.line(0, 15, 8, 20, 0, 25)
}

func pushButton(p *pen, l look) {
	y := plunger(p, l)
	p.line(0, y, 0, -16)
	if l.emergency { // a mushroom head
		p.line(-8, -12, 8, -12)
		p.arc(-8, -12, 8, -12, 10, true)
		return
	}
	p.line(-4, -16, 4, -16)
}

// plunger draws the bridge of a push button, and gives how high it is.
func plunger(p *pen, l look) float64 {
	p.circle(-10, 0, 3)
	p.circle(10, 0, 3)
	y := -8.0
	switch {
	case l.nc && l.closed:
		y = 3
	case l.nc:
		y = 9
	case l.closed:
		y = -3
	}
	p.line(-13, y, 13, y)
	return y
}

func selector(p *pen, l look) {
	y := plunger(p, l)
	p.line(0, y, 0, -12)
	p.line(-4, -9, 6, -16)
}

func proximity(p *pen, l look) {
	p.outline(-17, 0, 0, -17, 17, 0, 0, 17)
	smallBars(p, l, 17)
}

// smallBars draws a contact within something else, that reaches so far to either side.
func smallBars(p *pen, l look, reach float64) {
	p.line(-reach, 0, -4, 0)
	p.line(4, 0, reach, 0)
	p.line(-4, -7, -4, 7)
	p.line(4, -7, 4, 7)
	switch {
	case l.nc && l.closed:
		p.line(-7, 7, 7, -7)
	case l.closed:
		p.area(-4, -3, 4, -3, 4, 3, -4, 3)
	}
}

// photo draws a proximity switch with rays that fall on it.
func photo(p *pen, l look) {
	proximity(p, l)
	for _, x := range []float64{-16, -10} {
		p.line(x, -17, x+5, -12)
		p.line(x+5, -15, x+5, -12, x+2, -12)
	}
}

// smoke draws a proximity switch with smoke that rises beside it.
func smoke(p *pen, l look) {
	proximity(p, l)
	for _, x := range []float64{-15, -10} {
		p.line(x, -9, x+2, -11, x, -14, x+2, -16)
	}
}

// boxedBars draws a contact in the box of what it is part of.
func boxedBars(p *pen, l look) {
	p.box(0, 0, 24, 24)
	smallBars(p, l, 14)
}

// solidBox draws a box with a diode that shines.
func solidBox(p *pen, l look) {
	coilBox(p, l)
	p.outline(-5, -4, -5, 4, 2, 0)
	p.line(2, -4, 2, 4)
	p.line(4, -4, 8, -7)
}

// sensorBox draws the electronics of a sensor, between the leads that feed it.
func sensorBox(p *pen, _ look) {
	p.box(0, 0, 32, 18)
	p.outline(-6, 0, 0, -6, 6, 0, 0, 6)
}

func wavyFuse(p *pen, _ look) {
	p.arc(-14, 0, 0, 0, 7.5, true)
	p.arc(0, 0, 14, 0, 7.5, false)
}

func archBreaker(p *pen, _ look) {
	p.circle(-12, 0, 2)
	p.circle(12, 0, 2)
	p.arc(-13, -4, 13, -4, 16, true)
}

func ring(p *pen, _ look) { p.circle(0, 0, 14) }

func rays(p *pen, l look) {
	p.line(-15, 0, -11, 0)
	p.line(11, 0, 15, 0)
	p.circle(0, 0, 11)
	if l.letter != "" {
		p.text(0, 3.5, 9.5, l.letter)
	}
	for _, d := range [][2]float64{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
		p.line(8*d[0], 8*d[1], 14*d[0], 14*d[1])
	}
}

func horn(p *pen, _ look) {
	p.line(-12, 0, 12, 0)
	p.line(-5, 0, -5, -6, 5, -6, 5, 0)
	p.line(-5, -6, -11, -14, 11, -14, 5, -6)
	p.line(-5, 0, -5, 8, 5, 8, 5, 0)
}

func solenoid(p *pen, _ look) {
	p.line(-16, 0, -12, -8, -6, 8, 0, -8, 6, 8, 12, -8, 16, 0)
}

func motor(p *pen, _ look) {
	p.circle(0, 0, 14)
	p.text(0, 4, 12, "M")
}

func phaseMotor(p *pen, _ look) {
	p.circle(0, 0, 14)
	p.upright(func() {
		p.text(0, 1, 10, "M")
		p.text(0, 10, 8, "3~")
	})
}

func startWinding(p *pen, _ look) {
	p.circle(0, 0, 14)
	p.upright(func() {
		p.text(0, 1, 10, "M")
		p.text(0, 10, 8, "S")
	})
}

// hooks draws the two half rings of a thermal overload element.
func hooks(p *pen, _ look) {
	p.arc(-12, 0, 0, 0, 6, true)
	p.arc(0, 0, 12, 0, 6, false)
}

// winding draws four turns.
func winding(p *pen, y float64) {
	for x := -18.0; x < 18; x += 9 {
		p.arc(x, y, x+9, y, 4.5, true)
	}
}

func primary(p *pen, _ look) {
	winding(p, 0)
	p.line(-18, 4, 18, 4)
	p.line(-18, 7, 18, 7)
}

func secondary(p *pen, _ look) {
	winding(p, 0)
	p.line(-18, -8, 18, -8)
	p.line(-18, -11, 18, -11)
	for x := -18.0; x < 18; x += 9 {
		p.arc(x, -19, x+9, -19, 4.5, false)
	}
}

func alternating(p *pen, _ look) {
	p.circle(0, 0, 13)
	p.upright(func() {
		p.arc(-7, 0, 0, 0, 3.6, true)
		p.arc(0, 0, 7, 0, 3.6, false)
	})
}

func battery(p *pen, _ look) {
	p.line(-12, 0, -8, 0)
	for _, x := range []float64{-8, 2} {
		p.line(x, -12, x, 12)
		p.line(x+6, -6, x+6, 6)
	}
	p.line(-2, 0, 2, 0)
	p.line(8, 0, 12, 0)
}

func ground(p *pen, _ look) {
	p.line(0, -11, 0, 11)
	p.line(5, -7, 5, 7)
	p.line(10, -3, 10, 3)
}

func chevrons(p *pen, _ look) {
	p.line(-8, 0, -1, 0)
	p.line(-6, -6, 0, 0, -6, 6)
	p.line(1, -6, 7, 0, 1, 6)
	p.line(7, 0, 8, 0)
}

func bridge(p *pen, _ look) {
	p.line(-9, -2, 9, -2)
	p.line(-9, 2, 9, 2)
	p.line(-9, -4, -9, 4)
	p.line(9, -4, 9, 4)
}

func post(p *pen, _ look) { p.circle(0, 0, 4) }

func arrowHead(p *pen, _ look) { p.area(0, -5, 8, 0, 0, 5) }

func snap(p *pen, l look) {
	y := arm(p, l)
	p.line(-3, y, 0, y+7, 3, y, 6, y+7)
}

func speed(p *pen, l look) {
	p.line(0, arm(p, l), 0, 14)
	p.circle(0, 19, 5)
	p.line(0, 19, 4, 16)
}

func vibration(p *pen, l look) {
	p.line(0, arm(p, l), 0, 16)
	p.line(-8, 20, -4, 16, 0, 24, 4, 16, 8, 20)
}

func heater(p *pen, _ look) {
	p.box(0, 0, 32, 12)
	p.line(-16, 0, -12, 0, -9, -4, -5, 4, -1, -4, 3, 4, 7, -4, 10, 0, 16, 0)
}

func beacon(p *pen, l look) {
	rays(p, l)
	p.line(-5, -17, -2, -20, 2, -17, 5, -20)
}

// pulsed draws a ring with pulses in it: one, or two that stand for many.
func pulsed(n int) func(*pen, look) {
	return func(p *pen, l look) {
		ring(p, l)
		p.upright(func() { pulses(p, n) })
	}
}

func pulses(p *pen, n int) {
	if n == 1 {
		p.line(-8, 4, -4, 4, -4, -4, 4, -4, 4, 4, 8, 4)
		return
	}
	p.line(-9, 4, -6, 4, -6, -4, -2, -4, -2, 4, 2, 4, 2, -4, 6, -4, 6, 4, 9, 4)
}

// lettered draws a coil that its letters tell apart.
func lettered(letters string) func(*pen, look) {
	return func(p *pen, l look) {
		ring(p, l)
		p.text(0, 4, 10, letters)
	}
}
