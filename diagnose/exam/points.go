package exam

import (
	"fmt"
	"strings"
)

// Reason says what the marks of one part come from.
type Reason struct {
	Part string  `json:"part"`
	Had  float64 `json:"marks"`
	Of   float64 `json:"of"`
	Why  string  `json:"why"`
}

// credit is the part of the marks of the fault that the name is worth: of all nearnesses
// that it reaches, the one for which what it is worth times the share of what was still
// possible is the greatest. Who names one of many that were possible has guessed.
func (s Scheme) credit(d *Marked) (credit float64, as Near) {
	for n := OnRung; n <= d.Near; n++ {
		if c := s.worth(n) * d.Shares[n]; c > credit {
			credit, as = c, n
		}
	}
	if d.Late > 0 && s.Late == "nothing" {
		return 0, as
	}
	return credit, as
}

// wasted are the marks of checks that are lost by those that were wasted.
func (s Scheme) wasted(d *Marked) float64 {
	return s.Premature*float64(d.Premature) + s.Redundant*float64(d.Redundant) + s.Irrelevant*float64(d.Irrelevant)
}

// Points gives the marks for one fault:
//
//	fault   what the name is worth, see credit
//	checks  the part of the doubt that was cleared, less what was wasted
//	safety  the same part, less what was unsafe: who has done nothing has shown nothing
//	time    in proportion between Full and None, times what the name is worth
func (s Scheme) Points(d *Marked) Points {
	credit, _ := s.credit(d)
	p := Points{Fault: Tenth(s.Fault * credit), Time: Tenth(s.Time * s.share(d) * credit)}
	if len(d.Checks) > 0 {
		p.Checks = Tenth(max(0, s.Checks*d.Cleared-s.wasted(d)))
		p.Safety = Tenth(max(0, s.Safety*d.Cleared-s.Unsafe*float64(len(d.Unsafe))))
	}
	p.Total = Tenth(p.Fault + p.Checks + p.Safety + p.Time)
	return p
}

// spent is the time that the marks for time are for.
func (s Scheme) spent(d *Marked) float64 {
	switch {
	case s.Clock == "panel":
		return d.Panel
	case s.Breaks == "left out":
		return max(0, d.Clock-d.Breaks)
	}
	return d.Clock
}

// share is the part of the time marks that the time is worth.
func (s Scheme) share(d *Marked) float64 {
	if d.Expected.Minutes <= 0 {
		return 1
	}
	times := s.spent(d) / d.Expected.Minutes
	return min(1, max(0, (s.None-times)/(s.None-s.Full)))
}

// reasons says what the marks come from. Stated are the words for what was named.
func (s Scheme) reasons(d *Marked, stated string) []Reason {
	return []Reason{
		{"fault", d.Points.Fault, s.Fault, s.whyFault(d, stated)},
		{"checks", d.Points.Checks, s.Checks, s.whyChecks(d)},
		{"safety", d.Points.Safety, s.Safety, s.whySafety(d)},
		{"time", d.Points.Time, s.Time, s.whyTime(d)},
	}
}

func (s Scheme) whyFault(d *Marked, stated string) string {
	if d.Stated == "" {
		return "no fault was named"
	}
	credit, as := s.credit(d)
	var b strings.Builder
	switch {
	case d.Right && stated != d.Text && d.Near == Exact:
		fmt.Fprintf(&b, "right: %s; it was that %s, and no check tells the two apart", stated, d.Text)
	case d.Right && stated != d.Text:
		fmt.Fprintf(&b, "right as far as is asked: %s; it was that %s", stated, d.Text)
	case d.Right:
		fmt.Fprintf(&b, "right: %s", stated)
	case d.Near == Elsewhere:
		fmt.Fprintf(&b, "wrong: %s was named, and it was that %s", stated, d.Text)
	default:
		fmt.Fprintf(&b, "not it: %s was named, and it was that %s; %s is right, which is worth %g %%",
			stated, d.Text, map[Near]string{OnRung: "the rung", InDevice: "the device or wire number", InPart: "the part"}[d.Near], 100*s.worth(d.Near))
	}
	switch {
	case d.Late > 0 && s.Late == "nothing":
		fmt.Fprintf(&b, "; named %.1f min late, which is worth nothing", d.Late)
	case d.Near == Elsewhere:
	case d.Settled && credit > 0:
		b.WriteString("; no check could have told more")
	case d.Shares[as] == 0:
		b.WriteString("; the readings had ruled it out")
	default:
		word := map[Near]string{OnRung: "its rung", InDevice: "its device or wire number", InPart: "its part", Exact: "it"}[as]
		fmt.Fprintf(&b, "; %s of faults were still possible, and %s had %.0f %% of their weight", groups(d.Possible), word, 100*d.Shares[as])
	}
	return b.String()
}

func groups(n int) string {
	if n == 1 {
		return "1 group"
	}
	return fmt.Sprintf("%d groups", n)
}

func (s Scheme) whyChecks(d *Marked) string {
	if len(d.Checks) == 0 {
		return "no check was made"
	}
	text := fmt.Sprintf("%.0f %% of the doubt was cleared", 100*d.Cleared)
	if d.Looks > 0 {
		text += fmt.Sprintf("; looking, %s, costs nothing", times(d.Looks))
	}
	lost := s.wasted(d)
	if lost == 0 {
		return text + "; no check was wasted"
	}
	var of []string
	for _, w := range []struct {
		n    int
		word string
	}{{d.Premature, "premature"}, {d.Redundant, "redundant"}, {d.Irrelevant, "irrelevant"}} {
		if w.n > 0 {
			of = append(of, fmt.Sprintf("%d %s", w.n, w.word))
		}
	}
	return text + fmt.Sprintf("; %g less for checks that were %s", lost, strings.Join(of, ", "))
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func (s Scheme) whySafety(d *Marked) string {
	if len(d.Checks) == 0 {
		return "no check was made, so no safe work was seen"
	}
	text := "no unsafe act"
	if n := len(d.Unsafe); n > 0 {
		text = fmt.Sprintf("%g less for %d unsafe", s.Unsafe*float64(n), n)
	}
	if d.Cleared < 1 {
		text += fmt.Sprintf("; of the marks %.0f %%, as far as the work went", 100*d.Cleared)
	}
	return text
}

func (s Scheme) whyTime(d *Marked) string {
	clock := map[string]string{"panel": "at the panel", "wall": "by the clock"}[s.Clock]
	text := fmt.Sprintf("%.1f min %s, %.1f expected: full marks up to %g times that, none from %g times on",
		s.spent(d), clock, d.Expected.Minutes, s.Full, s.None)
	switch credit, _ := s.credit(d); {
	case d.Stated == "":
		return "no fault was named"
	case credit == 0:
		return text + "; the name was worth nothing"
	case credit < 1:
		return text + fmt.Sprintf("; times the %.0f %% that the name was worth", 100*credit)
	}
	return text
}
