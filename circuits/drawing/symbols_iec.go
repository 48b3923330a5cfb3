package drawing

// A contact of IEC 60617 moves up on a conductor that runs from left to right, and so to the right
// where the conductor runs down: IEC 61082-1, from memory. What works it is below, or at the left.

// hinge is where the blade of a contact turns, and it ends beyond the fixed contact.
const hinge = 9.0

func blade(p *pen, l look) { bladeTo(p, l) }

// bladeTo draws a contact, and gives how far below the conductor the middle of its blade is.
func bladeTo(p *pen, l look) float64 {
	p.line(-14, 0, -10, 0)
	p.line(hinge, 0, 14, 0)
	end, tip := -10.0, 11.0
	switch {
	case l.nc && l.closed:
		p.line(-10, 0, -10, -9) // the stop that a break contact lies against
		end, tip = -12, -7
	case l.nc:
		p.line(-10, 0, -10, -4)
		end, tip = -12, -12
	case l.closed:
		tip = 0
		p.circle(hinge, 0, 1.8) // so that it is still seen to be a contact
		p.circle(-10, 0, 1.8)
	}
	p.line(hinge, 0, end, tip)
	return tip * hinge / (hinge - end)
}

// under draws a contact with what works it below.
func under(head func(p *pen, l look)) func(*pen, look) {
	return func(p *pen, l look) {
		y := bladeTo(p, l)
		for at := y + 1; at < 10; at += 4 { // a dashed link
			p.line(0, at, 0, min(at+2, 10))
		}
		head(p, l)
	}
}

func pushHead(p *pen, l look) {
	if l.emergency {
		p.line(-7, 11, 7, 11)
		p.arc(-7, 11, 7, 11, 8, false)
		if l.stays {
			p.line(-3, 7, 0, 10, 3, 7)
		}
		return
	}
	p.line(-5, 10, -5, 14, 5, 14, 5, 10)
	p.line(0, 10, 0, 14)
}

func turnHead(p *pen, _ look)    { p.line(-5, 10, -5, 12, 5, 12, 5, 15) }
func thermalLink(p *pen, _ look) { p.line(-6, 15, -2, 15, -2, 10, 3, 10, 3, 15, 7, 15) }
func levelHead(p *pen, _ look)   { p.circle(0, 16, 5); p.line(-8, 23, 8, 23) }

func flowHead(p *pen, _ look) {
	p.box(0, 16, 12, 10)
	p.line(-9, 16, 9, 16)
	p.line(6, 13, 9, 16, 6, 19)
}

func diamondHead(p *pen, _ look) {
	p.outline(0, 10, 7, 17, 0, 24, -7, 17)
	p.line(-2, 14, -2, 20)
	p.line(2, 14, 2, 20)
}

func lightHead(p *pen, _ look) {
	p.box(0, 17, 14, 14)
	for _, x := range []float64{-5, 0} {
		p.line(x, 13, x+5, 20)
		p.line(x+5, 17, x+5, 20, x+2, 19)
	}
}

func smokeHead(p *pen, _ look) {
	p.box(0, 17, 14, 14)
	for _, x := range []float64{-4, 0, 4} {
		p.line(x, 22, x-1, 19, x+1, 15, x, 12)
	}
}

func letterHead(letter string) func(*pen, look) {
	return func(p *pen, _ look) {
		p.box(0, 16, 12, 12)
		p.text(0, 19, 9, letter)
	}
}

func positionBlade(p *pen, l look) {
	y := bladeTo(p, l)
	on := func(x float64) float64 { return y * (hinge - x) / hinge }
	p.line(-4, on(-4), 1, y+9, 4, on(4))
}

func crossBlade(p *pen, l look) {
	bladeTo(p, l)
	p.line(-13, -3, -7, 3)
	p.line(-13, 3, -7, -3)
}

// parachute draws a contact whose move is braked the way that the hollow of its arc looks: when
// the coil is energised, or when it is released.
func parachute(p *pen, l look) {
	y := bladeTo(p, l)
	p.line(-1.5, y+1, -1.5, 10)
	p.line(1.5, y+1, 1.5, 10)
	if l.off {
		p.arc(-6, 14, 6, 14, 8, true)
	} else {
		p.arc(-6, 9, 6, 9, 8, false)
	}
}

func boxFuse(p *pen, _ look) {
	p.box(0, 0, 26, 10)
	p.line(-13, 0, 13, 0)
}

func crossLamp(p *pen, _ look) {
	p.circle(0, 0, 11)
	p.line(-7.8, -7.8, 7.8, 7.8)
	p.line(-7.8, 7.8, 7.8, -7.8)
}

// The half of a coil's box along the conductor, and across it.
const (
	coilHalf   = 10.5
	coilAcross = 12.0
)

func coilBox(p *pen, _ look) { p.box(0, 0, 2*coilHalf, 2*coilAcross) }

// timerBox draws a coil with a field that is crossed where it is slow to operate, and filled where
// it is slow to let go.
func timerBox(p *pen, l look) {
	coilBox(p, l)
	const from = coilAcross - 7
	if l.off {
		p.area(-coilHalf, from, coilHalf, from, coilHalf, coilAcross, -coilHalf, coilAcross)
		return
	}
	p.line(-coilHalf, from, coilHalf, from)
	p.line(-coilHalf, from, coilHalf, coilAcross)
	p.line(-coilHalf, coilAcross, coilHalf, from)
}

func valveBox(p *pen, l look) {
	coilBox(p, l)
	p.line(-coilHalf, coilAcross, coilHalf, -coilAcross)
}

func plug(p *pen, _ look) {
	p.arc(-2, -6, -2, 6, 6.5, false)
	p.line(-8, 0, -8, 0)
	p.area(-2, -2, 8, -2, 8, 2, -2, 2)
	p.line(-8.5, 0, -8, 0)
}

func snapHead(p *pen, _ look) { p.line(-5, 10, 0, 15, 5, 10) }

func waveHead(p *pen, _ look) {
	p.box(0, 16, 14, 12)
	p.line(-5, 16, -3, 12, 0, 20, 3, 12, 5, 16)
}

func elementBox(p *pen, _ look) {
	p.box(0, 0, 28, 12)
	for _, x := range []float64{-7, 0, 7} {
		p.line(x, -6, x, 6)
	}
}

func flashLamp(p *pen, l look) {
	crossLamp(p, l)
	p.line(-9, 17, -5, 17, -5, 13, 0, 13, 0, 17, 5, 17, 5, 13, 9, 13)
}

// inBox draws a coil that its letters tell apart.
func inBox(letters string) func(*pen, look) {
	return func(p *pen, l look) {
		coilBox(p, l)
		p.text(0, 3.5, 9, letters)
	}
}

// pulseBox draws a coil with pulses in it.
func pulseBox(n int) func(*pen, look) {
	return func(p *pen, l look) {
		coilBox(p, l)
		p.upright(func() { pulses(p, n) })
	}
}

// thermalBox draws a box with the step of a thermal release.
func thermalBox(p *pen, l look) {
	coilBox(p, l)
	p.line(-coilHalf, 3, -4, 3, -4, -4, 4, -4, 4, 3, coilHalf, 3)
}

func impulseBox(p *pen, l look) {
	coilBox(p, l)
	p.upright(func() { p.line(-7, 4, -3, 4, -3, -4, 3, -4, 3, 4, 7, 4) })
}
