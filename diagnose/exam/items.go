package exam

import (
	"slices"
	"sort"

	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// Item is how a class did at one fault.
type Item struct {
	Circuit string        `json:"circuit"`
	Fault   faultmodel.ID `json:"fault"`
	Text    string        `json:"text"`
	Set     int           `json:"set"`      // to so many candidates
	Answer  int           `json:"answered"` // so many named a fault
	Found   int           `json:"found"`    // so many the right one
	// Checks and Minutes are means over those who named a fault; Minutes by the wall clock.
	Checks  float64 `json:"checks"`
	Minutes float64 `json:"minutes"`
	// Wasted and Unsafe are means over those who made a check.
	Wasted   float64  `json:"wasted"`
	Unsafe   float64  `json:"unsafe"`
	Expected Expected `json:"expected"`
	// Mistaken are the wrong faults that were named, the oftenest first.
	Mistaken []Mistaken `json:"mistaken"`
}

// Mistaken is a wrong fault that was named for another.
type Mistaken struct {
	Fault faultmodel.ID `json:"fault"`
	Text  string        `json:"text"`
	Times int           `json:"times"`
}

// Share is the part of those it was set to who found the fault.
func (i Item) Share() float64 { return float64(i.Found) / float64(max(1, i.Set)) }

// items works out the figures of each fault, the hardest for this class first.
func (r *Result) items(models []*diagnose.Model) {
	worked := make(map[int]int)
	for _, d := range r.Marked {
		i := slices.IndexFunc(r.Items, func(it Item) bool { return it.Circuit == d.Circuit && it.Fault == d.Fault })
		if i < 0 {
			i = len(r.Items)
			r.Items = append(r.Items, Item{Circuit: d.Circuit, Fault: d.Fault, Text: d.Text,
				Expected: d.Expected, Mistaken: []Mistaken{}})
		}
		it := &r.Items[i]
		it.Set++
		if d.State == Complete {
			it.Answer++
			it.Checks += float64(len(d.Checks))
			it.Minutes += d.Clock
		}
		if len(d.Checks) > 0 {
			worked[i]++
			it.Wasted += float64(d.Premature + d.Redundant + d.Irrelevant)
			it.Unsafe += float64(len(d.Unsafe))
		}
		switch {
		case d.Right:
			it.Found++
		case d.Stated != "":
			it.mistake(d.Stated, textOf(models, d.Circuit, d.Stated))
		}
	}
	for i := range r.Items {
		it := &r.Items[i]
		if it.Answer > 0 {
			it.Checks, it.Minutes = Tenth(it.Checks/float64(it.Answer)), Tenth(it.Minutes/float64(it.Answer))
		}
		if n := worked[i]; n > 0 {
			it.Wasted, it.Unsafe = Tenth(it.Wasted/float64(n)), Tenth(it.Unsafe/float64(n))
		}
		sort.SliceStable(it.Mistaken, func(a, b int) bool { return it.Mistaken[a].Times > it.Mistaken[b].Times })
	}
	sort.SliceStable(r.Items, func(a, b int) bool { return r.Items[a].Share() < r.Items[b].Share() })
}

func (it *Item) mistake(f faultmodel.ID, text string) {
	i := slices.IndexFunc(it.Mistaken, func(m Mistaken) bool { return m.Fault == f })
	if i < 0 {
		i = len(it.Mistaken)
		it.Mistaken = append(it.Mistaken, Mistaken{Fault: f, Text: text})
	}
	it.Mistaken[i].Times++
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
