package exam

import (
	"math"
	"slices"
	"sort"

	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// Item is how a class did at one fault, or at all faults of one kind.
type Item struct {
	Circuit string        `json:"circuit,omitempty"`
	Fault   faultmodel.ID `json:"fault,omitempty"`
	Text    string        `json:"text"`
	Kind    string        `json:"kind"`
	Set     int           `json:"set"`      // so many times it was set
	Absent  int           `json:"absent"`   // of them without an answer log; they count nowhere else
	Answer  int           `json:"answered"` // so many named a fault
	Found   int           `json:"found"`    // so many the right one
	// Difficulty is the share of the marks of the fault that was had, of those who were there:
	// 1 is easy, 0 is hard. Discrimination is how far those did better at it who did better at
	// their other faults: the correlation of the two, from -1 to 1; nil where they had none or
	// all did alike.
	Difficulty     float64  `json:"difficulty"`
	Discrimination *float64 `json:"discrimination"`
	// Few is set where so few were there that the figures say little.
	Few bool `json:"few"`
	// Checks and Minutes are means over those who named a fault; Minutes by the wall clock.
	Checks  float64 `json:"checks"`
	Minutes float64 `json:"minutes"`
	// Wasted and Unsafe are means over those who made a check.
	Wasted   float64  `json:"wasted"`
	Unsafe   float64  `json:"unsafe"`
	Expected Expected `json:"expected"` // mean
	// Mistaken are the wrong faults that were named, the oftenest first.
	Mistaken []Mistaken `json:"mistaken"`

	own, rest []float64 // of those who had other faults: share of the marks here, and there
	worked    int       // who made a check
}

// Mistaken is a wrong fault that was named for another.
type Mistaken struct {
	Fault faultmodel.ID `json:"fault"`
	Text  string        `json:"text"`
	Times int           `json:"times"`
}

// FewThere is up to how many a figure of a fault says little: one more or less who finds it
// then moves the share by a tenth. Common practice, no source.
const FewThere = 9

// There is how many sat it.
func (i Item) There() int { return i.Set - i.Absent }

// Share is the part of those who were there who found the fault.
func (i Item) Share() float64 { return float64(i.Found) / float64(max(1, i.There())) }

// items works out the figures of each fault and of each kind, the hardest for this class first.
func (r *Result) items(models []*diagnose.Model) {
	r.Items = r.figures(models, func(d Marked) Item {
		return Item{Circuit: d.Circuit, Fault: d.Fault, Text: d.Text, Kind: kindOf(models, d)}
	})
	r.Kinds = r.figures(models, func(d Marked) Item {
		kind := kindOf(models, d)
		return Item{Text: kind, Kind: kind}
	})
}

// figures adds up what was marked by what each is an item of.
func (r *Result) figures(models []*diagnose.Model, of func(Marked) Item) []Item {
	items := []Item{}
	for _, d := range r.Marked {
		head := of(d)
		i := slices.IndexFunc(items, func(it Item) bool {
			return it.Circuit == head.Circuit && it.Fault == head.Fault && it.Kind == head.Kind
		})
		if i < 0 {
			i = len(items)
			head.Mistaken = []Mistaken{}
			items = append(items, head)
		}
		items[i].add(d, r, models)
	}
	for i := range items {
		items[i].end()
	}
	sort.SliceStable(items, func(a, b int) bool {
		if none := items[a].There() == 0; none != (items[b].There() == 0) {
			return !none
		}
		return items[a].Difficulty < items[b].Difficulty
	})
	return items
}

// add takes in one candidate's work.
func (i *Item) add(d Marked, r *Result, models []*diagnose.Model) {
	i.Set++
	i.Expected.Checks += d.Expected.Checks
	i.Expected.Minutes += d.Expected.Minutes
	if d.State == Missing {
		i.Absent++
		return
	}
	part := d.Points.Fault / max(r.Scheme.Fault, 1e-9)
	if r.Scheme.Fault == 0 {
		part = d.Points.Total / r.Scheme.All()
	}
	i.Difficulty += part
	if rest, others := r.others(d); others {
		i.own, i.rest = append(i.own, part), append(i.rest, rest)
	}
	if d.State == Complete {
		i.Answer++
		i.Checks += float64(len(d.Checks))
		i.Minutes += d.Clock
	}
	if len(d.Checks) > 0 {
		i.worked++
		i.Wasted += float64(d.Premature + d.Redundant + d.Irrelevant)
		i.Unsafe += float64(len(d.Unsafe))
	}
	switch {
	case d.Right:
		i.Found++
	case d.Stated != "":
		i.mistake(d.Stated, textOf(models, d.Circuit, d.Stated))
	}
}

// end makes means of the sums.
func (i *Item) end() {
	mean := func(x *float64, n int) {
		if n > 0 {
			*x = Tenth(*x / float64(n))
		}
	}
	mean(&i.Expected.Checks, i.Set)
	mean(&i.Expected.Minutes, i.Set)
	mean(&i.Checks, i.Answer)
	mean(&i.Minutes, i.Answer)
	mean(&i.Wasted, i.worked)
	mean(&i.Unsafe, i.worked)
	i.Difficulty = hundredth(i.Difficulty / float64(max(1, i.There())))
	i.Few = i.There() <= FewThere
	if c, ok := correlation(i.own, i.rest); ok {
		c = hundredth(c)
		i.Discrimination = &c
	}
	sort.SliceStable(i.Mistaken, func(a, b int) bool { return i.Mistaken[a].Times > i.Mistaken[b].Times })
}

// others is the share of the marks that a candidate had of the other faults, at which they
// were there; false if there were none.
func (r *Result) others(d Marked) (share float64, any bool) {
	n := 0
	for _, o := range r.Marked {
		if o.Candidate == d.Candidate && o.Task != d.Task && o.State != Missing {
			share += o.Points.Total / r.Scheme.All()
			n++
		}
	}
	return share / float64(max(1, n)), n > 0
}

// correlation is Pearson's of two rows of numbers; false where one of them does not vary or
// there are fewer than three.
func correlation(x, y []float64) (float64, bool) {
	n := float64(len(x))
	if len(x) < 3 {
		return 0, false
	}
	var mx, my float64
	for i := range x {
		mx, my = mx+x[i]/n, my+y[i]/n
	}
	var xy, xx, yy float64
	for i := range x {
		xy += (x[i] - mx) * (y[i] - my)
		xx += (x[i] - mx) * (x[i] - mx)
		yy += (y[i] - my) * (y[i] - my)
	}
	if xx < 1e-12 || yy < 1e-12 {
		return 0, false
	}
	return xy / math.Sqrt(xx*yy), true
}

func (i *Item) mistake(f faultmodel.ID, text string) {
	k := slices.IndexFunc(i.Mistaken, func(m Mistaken) bool { return m.Fault == f })
	if k < 0 {
		k = len(i.Mistaken)
		i.Mistaken = append(i.Mistaken, Mistaken{Fault: f, Text: text})
	}
	i.Mistaken[k].Times++
}

// kindOf gives the kind of the fault that was set.
func kindOf(models []*diagnose.Model, d Marked) string {
	for _, m := range models {
		if m.Panel().Circuit.Title == d.Circuit {
			if i, err := faultmodel.Find(m.Faults(), string(d.Fault)); err == nil {
				return m.Faults()[i].Effect.Kind()
			}
		}
	}
	return ""
}

// textOf gives the words for a fault of the circuit of that title.
func textOf(models []*diagnose.Model, title string, id faultmodel.ID) string {
	for _, m := range models {
		if m.Panel().Circuit.Title == title {
			if i, err := faultmodel.Find(m.Faults(), string(id)); err == nil {
				return m.Faults()[i].Text
			}
		}
	}
	return string(id)
}
