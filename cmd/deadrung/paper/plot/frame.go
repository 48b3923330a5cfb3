package plot

import "fmt"

// Margins around the frame, and zones. ISO 5457: 20 mm on the left to file the sheet, 10 mm
// elsewhere, zones of 50 mm in a strip of 5 mm; from memory.
const (
	fileMargin = 20.0
	margin     = 10.0
	zoneStrip  = 5.0
	zoneLength = 50.0
)

// rect is a piece of a sheet.
type rect struct{ left, top, right, bottom float64 }

func (r rect) width() float64  { return r.right - r.left }
func (r rect) height() float64 { return r.bottom - r.top }

// frame is where the frame of a sheet is.
func (p Paper) frame() rect {
	return rect{fileMargin, margin, p.Width - margin, p.Height - margin}
}

// zoneLetters go down a sheet. ISO 5457 leaves out I and O; from memory.
const zoneLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ"

// frame draws the frame with its zones: letters down, numbers across.
func (b *book) frame(f rect) {
	outer := rect{f.left - zoneStrip, f.top - zoneStrip, f.right + zoneStrip, f.bottom + zoneStrip}
	b.box(outer, 0.25)
	b.box(f, 0.7)
	middle := (zoneStrip + leastLetter) / 2 // from the outer line to the foot of a letter
	across := max(int(f.width()/zoneLength+0.5), 2)
	for i := range across {
		x := f.left + f.width()*float64(i)/float64(across)
		for _, y := range []float64{outer.top, f.bottom} {
			if i > 0 {
				b.line(x, y, x, y+zoneStrip, 0.25)
			}
			b.centred(x+f.width()/float64(across)/2, y+middle, fmt.Sprint(i+1))
		}
	}
	down := max(int(f.height()/zoneLength+0.5), 2)
	for i := range down {
		y := f.top + f.height()*float64(i)/float64(down)
		for _, x := range []float64{outer.left, f.right} {
			if i > 0 {
				b.line(x, y, x+zoneStrip, y, 0.25)
			}
			b.centred(x+zoneStrip/2, y+f.height()/float64(down)/2+leastLetter/2, zoneLetters[i:i+1])
		}
	}
}
