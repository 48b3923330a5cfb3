package drawing

// Parts that are only in the way of the current, by both standards.

// arrow gives the corners of the triangle of a diode, and where its bar is.
func arrow(l look) (corners []float64, bar float64) {
	if l.back {
		return []float64{6, -7, -6, 0, 6, 7}, -6
	}
	return []float64{-6, -7, 6, 0, -6, 7}, 6
}

func filledDiode(p *pen, l look) {
	corners, bar := arrow(l)
	p.line(-10, 0, 10, 0)
	p.area(corners...)
	p.line(bar, -7, bar, 7)
}

func openDiode(p *pen, l look) {
	corners, bar := arrow(l)
	p.line(-10, 0, 10, 0)
	p.outline(corners...)
	p.line(bar, -7, bar, 7)
}

// zigzagFrom draws a resistor from one point on the conductor to 24 to the right of it.
func zigzagFrom(p *pen, x float64) {
	p.line(x, 0, x+2, -6, x+6, 6, x+10, -6, x+14, 6, x+18, -6, x+22, 6, x+24, 0)
}

func zigzag(p *pen, _ look) {
	p.line(-16, 0, -12, 0)
	zigzagFrom(p, -12)
	p.line(12, 0, 16, 0)
}

func resistorBox(p *pen, _ look) { p.box(0, 0, 28, 10) }

// platesAt draws a capacitor around a point on the conductor.
func platesAt(p *pen, x float64) {
	p.line(x-2, -9, x-2, 9)
	p.line(x+2, -9, x+2, 9)
}

func plates(p *pen, _ look) {
	p.line(-8, 0, -2, 0)
	platesAt(p, 0)
	p.line(2, 0, 8, 0)
}

func curvedPlate(p *pen, _ look) {
	p.line(-8, 0, -2, 0)
	p.line(-2, -9, -2, 9)
	p.line(6, -9, 4, -6, 3, -3, 2.5, 0, 3, 3, 4, 6, 6, 9)
	p.line(2.5, 0, 8, 0)
}

func zigzagAndPlates(p *pen, _ look) {
	zigzagFrom(p, -20)
	p.line(4, 0, 11, 0)
	platesAt(p, 13)
	p.line(15, 0, 20, 0)
}

func boxAndPlates(p *pen, _ look) {
	p.box(-9, 0, 22, 10)
	p.line(2, 0, 11, 0)
	platesAt(p, 13)
	p.line(15, 0, 20, 0)
}

// acrossVolts draws the stroke of what depends on its volts.
func acrossVolts(p *pen) {
	p.line(-14, 9, -9, 9, 9, -11)
	p.text(-10, -9, 7, "U")
}

func zigzagVaristor(p *pen, l look) {
	zigzag(p, l)
	acrossVolts(p)
}

func varistorBox(p *pen, l look) {
	resistorBox(p, l)
	acrossVolts(p)
}

// bridgeDiode draws a square on its corner with a diode in it, and which current its sides carry.
func bridgeDiode(current string) func(*pen, look) {
	return func(p *pen, _ look) {
		p.outline(-15, 0, 0, -15, 15, 0, 0, 15)
		p.upright(func() {
			p.line(-8, 0, 8, 0)
			p.area(-4, -5, 4, 0, -4, 5)
			p.line(4, -5, 4, 5)
			p.text(0, 12, 8, current)
		})
	}
}

// ctSecondary draws a winding with a bar for the conductor that it is around.
func ctSecondary(p *pen, _ look) {
	winding(p, 0)
	p.line(-18, 7, 18, 7)
}

func ctPrimary(p *pen, _ look) {
	p.line(-12, 0, 12, 0)
	p.circle(0, 0, 9)
}

func ammeter(p *pen, _ look) {
	p.circle(0, 0, 11)
	p.upright(func() { p.text(0, 4, 11, "A") })
}
