package read

import (
	"fmt"
	"maps"
	"slices"
	"strconv"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

const placeForms = "minutes, as in attic: 6, or {minutes: 6, joins: panel}"

var placeKeys = []string{"minutes", "joins"}

// mostRows is in which row or column of a place a device sits at most.
const mostRows = 99

// readAt reads where a device sits at its place.
func (r *reader) readAt(d *drawn, e *entry) {
	right := fmt.Sprintf("the row and the place in it, from 1 to %d: at: [2, 3]", mostRows)
	nodes, ok := r.items(e.value, "at", right)
	if !ok {
		return
	}
	var numbers []int
	for _, n := range nodes {
		if v, err := strconv.Atoi(follow(n).Value); err == nil && isPlain(follow(n)) && v >= 1 && v <= mostRows {
			numbers = append(numbers, v)
		}
	}
	if len(numbers) != 2 || len(nodes) != 2 {
		r.wrong(e.value, right, "at does not say where %s sits", d.Name)
		return
	}
	d.Row, d.Column = numbers[0], numbers[1]
}

// readPlaces reads the minutes it takes to get a lead onto a terminal at each place, and
// which places count as one for the leads of a meter. e may be nil.
func (r *reader) readPlaces(e *entry) {
	c := r.circuit
	c.Places, c.Joins = maps.Clone(circuits.PlaceMinutes), maps.Clone(circuits.PlaceJoins)
	if e == nil {
		return
	}
	entries, ok := r.entries(e.value, "places", "place: minutes, as in attic: 6")
	r.vaguePlaces = !ok
	joins := make(map[string]*entry)
	for _, e := range entries {
		r.fits(e.key, placeNames, e.at)
		if follow(e.value).Kind != yaml.MappingNode {
			c.Places[e.key], _ = r.positive(e)
			continue
		}
		inner, _ := r.entries(e.value, e.key, placeForms)
		given := r.known(inner, placeKeys, "in the place "+circuits.Quote(e.key))
		_, usual := c.Places[e.key]
		switch m := given["minutes"]; {
		case m != nil:
			c.Places[e.key], _ = r.positive(m)
		case !usual:
			if !misspelt("minutes", inner, placeKeys) {
				r.wrong(e.at, placeForms, "the place %s has no minutes", circuits.Quote(e.key))
			}
			c.Places[e.key] = 0 // it is one all the same
		}
		if j := given["joins"]; j != nil {
			joins[e.key] = j
		}
	}
	for _, place := range slices.Sorted(maps.Keys(joins)) {
		r.readJoins(place, joins[place])
	}
}

// readJoins reads which other place counts as one with a place.
func (r *reader) readJoins(place string, e *entry) {
	other, ok := r.text(e)
	if !ok {
		return
	}
	if _, known := r.circuit.Places[other]; !known {
		r.wrong(e.value, r.near(other, r.placesKnown()), "unknown place %s", circuits.Quote(other))
		return
	}
	if r.circuit.Area(other) == r.circuit.Area(place) {
		r.wrong(e.value, "the place next to it, each pair once", "%s and %s count as one already", place, other)
		return
	}
	// A place that others join already goes on from the last of them.
	r.circuit.Joins[r.circuit.Area(place)] = other
}
