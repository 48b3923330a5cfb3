package training

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadrung/faultmodel"
)

// Lesson is a few faults of one circuit in a fixed order, or its wiring, and what that teaches.
type Lesson struct {
	Name    string `yaml:"name" json:"name"`
	Title   string `yaml:"title" json:"title"`
	Circuit string `yaml:"circuit" json:"circuit"` // built in, or a file
	Teaches string `yaml:"teaches" json:"teaches"`
	// Faults are practised one after the other; two with "and" between are hidden at once.
	Faults []faultmodel.ID `yaml:"faults" json:"faults,omitempty"`
	Wiring bool            `yaml:"wiring" json:"wiring,omitempty"` // in place of faults
}

// atOnce stands between two faults that are hidden at once.
const atOnce = " and "

// AtOnce writes faults that are hidden at once as one, as a lesson has them.
func AtOnce(faults []faultmodel.ID) faultmodel.ID {
	var words []string
	for _, f := range faults {
		words = append(words, string(f))
	}
	return faultmodel.ID(strings.Join(words, atOnce))
}

// LessonFaults are the faults, one or two, that a lesson hides at once.
func LessonFaults(id faultmodel.ID) []faultmodel.ID {
	one, other, two := strings.Cut(string(id), atOnce)
	if !two {
		return []faultmodel.ID{id}
	}
	return []faultmodel.ID{faultmodel.ID(one), faultmodel.ID(other)}
}

// Of counts what there is to do in a lesson: its faults, or the one plan of its wires.
func (l *Lesson) Of() int {
	if l.Wiring {
		return 1
	}
	return len(l.Faults)
}

//go:embed course.yaml
var ownCourse []byte

// OwnCourse are the lessons that the program brings along, in their order.
func OwnCourse() []Lesson {
	lessons, err := ReadCourse(ownCourse)
	if err != nil {
		panic(err) // it is part of the program
	}
	return lessons
}

// ReadCourse reads the lessons that an instructor wrote: a YAML list under the key lessons.
func ReadCourse(text []byte) ([]Lesson, error) {
	var course struct {
		Lessons []Lesson `yaml:"lessons"`
	}
	d := yaml.NewDecoder(bytes.NewReader(text))
	d.KnownFields(true)
	if err := d.Decode(&course); err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("this is no course: %w", err)
	}
	if len(course.Lessons) == 0 {
		return nil, errors.New(`a course has "lessons", a list of at least one`)
	}
	names := make(map[string]bool)
	for i, l := range course.Lessons {
		var wrong string
		switch {
		case l.Name == "" || strings.ContainsAny(l.Name, " \t\n"):
			wrong = "needs a name without spaces"
		case names[l.Name]:
			wrong = fmt.Sprintf("has the name %q of one before it", l.Name)
		case l.Circuit == "":
			wrong = "needs a circuit"
		case l.Wiring && len(l.Faults) > 0:
			wrong = `has "wiring", so it has no "faults"`
		case !l.Wiring && len(l.Faults) == 0:
			wrong = `needs "faults", a list of at least one, or "wiring: true"`
		}
		if wrong != "" {
			return nil, fmt.Errorf("lesson %d %s", i+1, wrong)
		}
		names[l.Name] = true
	}
	return course.Lessons, nil
}

// Done counts the faults of a lesson that scores show found, put right and proved, and gives the
// first that is not; none where all are. A plan of wires is done when it was right.
func (l *Lesson) Done(scores []Score) (done int, next faultmodel.ID) {
	if l.Wiring {
		if slices.ContainsFunc(scores, func(s Score) bool { return s.Lesson == l.Name && s.Wiring != nil && s.Right }) {
			done = 1
		}
		return done, ""
	}
	for _, f := range l.Faults {
		had := false
		for _, s := range scores {
			had = had || s.Lesson == l.Name && s.Fault == f && s.Right && s.Proved
		}
		switch {
		case had:
			done++
		case next == "":
			next = f
		}
	}
	return done, next
}
