package circuits

// Conductor is what a wire is made of, as far as the file says.
type Conductor struct {
	Colour, Gauge, Ferrule string
	Length                 float64 // metres; 0: not given
	Cable, Core            string  // the cable that it runs in; empty: none
}

// Take takes over what another one says.
func (c *Conductor) Take(o Conductor) {
	for _, s := range []struct{ to, from *string }{{&c.Colour, &o.Colour}, {&c.Gauge, &o.Gauge},
		{&c.Ferrule, &o.Ferrule}, {&c.Cable, &o.Cable}, {&c.Core, &o.Core}} {
		if *s.from != "" {
			*s.to = *s.from
		}
	}
	if o.Length > 0 {
		c.Length = o.Length
	}
}

// Cable is a cable of the panel.
type Cable struct {
	Name, Type, Note string
	Cores            int     // 0: not given
	Length           float64 // metres; 0: not given
}
