package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// Words of --lesson that are no names of lessons.
const (
	listLessons = "list"
	nextLesson  = "next"
)

// lessonAt is a lesson with the fault that comes next in it.
type lessonAt struct {
	training.Lesson
	number int           // of the fault
	fault  faultmodel.ID // or two, as the lesson has them
	second int           // of two; diagnose.Good for none
}

// lessonsOf reads the course.
func (o *practiceOptions) lessonsOf(s streams) ([]training.Lesson, error) {
	if o.lessons == "" {
		return training.OwnCourse(), nil
	}
	text, err := s.files.Read(o.lessons)
	if err != nil {
		return nil, fmt.Errorf("cannot read the course: %w", err)
	}
	lessons, err := training.ReadCourse(text)
	if err != nil {
		return nil, inputError{circuits.Problems{{File: o.lessons, Pos: circuits.Pos{Line: 1, Column: 1}, What: err.Error(),
			Hint: "as in lessons: [{name: first, title: A lamp, circuit: two-lamp, teaches: …, faults: [open-H1]}]"}}}
	}
	return lessons, nil
}

// takeLesson chooses the lesson, and the fault that is next in it; all of them once more where
// they are done.
func (o *practiceOptions) takeLesson(book *scoreBook, s streams) error {
	lessons, err := o.lessonsOf(s)
	if err != nil {
		return err
	}
	var names []string
	for _, l := range lessons {
		names = append(names, l.Name)
		done, next := l.Done(book.scores)
		if o.lesson != l.Name && (o.lesson != nextLesson || done == l.Of()) {
			continue
		}
		if done == l.Of() {
			done = 0
		}
		if next == "" && !l.Wiring {
			next = l.Faults[0]
		}
		o.course = &lessonAt{Lesson: l, number: done + 1, fault: next}
		if o.circuit = l.Circuit; o.lessons != "" {
			if _, builtin := circuits.BuiltinText(l.Circuit); !builtin && !filepath.IsAbs(l.Circuit) {
				o.circuit = filepath.Join(filepath.Dir(o.lessons), l.Circuit)
			}
		}
		o.wiring = l.Wiring
		return o.checkWiring()
	}
	if o.lesson == nextLesson {
		return usagef("every lesson is done; --lesson NAME takes one of them again: %s", strings.Join(names, ", "))
	}
	return usagef("there is no lesson %q%s", o.lesson, circuits.Suggest(o.lesson, names))
}

// tell says what a lesson teaches.
func (l *lessonAt) tell(out *talk.Page) {
	if l.Wiring {
		out.Parf("", "LESSON %s: %s.", l.Name, l.Title)
	} else {
		out.Parf("", "LESSON %s: %s, fault %d of %d.", l.Name, l.Title, l.number, l.Of())
	}
	out.Para("  ", l.Teaches)
	out.Blank()
}

// hidden is the fault in the model of the lesson's circuit, the first of two.
func (l *lessonAt) hidden(m *diagnose.Model) (int, error) {
	faults := []int{diagnose.Good, diagnose.Good}
	for i, id := range training.LessonFaults(l.fault) {
		f, err := faultmodel.Find(m.Faults(), string(id))
		if err != nil {
			return diagnose.Good, usagef("lesson %s: %w", l.Name, err)
		}
		faults[i] = f
	}
	l.second = faults[1]
	return faults[0], nil
}

// lessonDone is how far somebody is in a lesson.
type lessonDone struct {
	Lesson string `json:"lesson"`
	Done   int    `json:"done"`
	Of     int    `json:"of"`
	Tries  int    `json:"tries"`
	Unsafe int    `json:"unsafe"` // acts
}

// classmate is how far somebody is in a course.
type classmate struct {
	Name    string       `json:"name"`
	Lessons []lessonDone `json:"lessons"`
}

// showLessons lists the lessons with how far one is, or a class is.
func showLessons(o practiceOptions, s streams) error {
	lessons, err := o.lessonsOf(s)
	if err != nil {
		return err
	}
	if len(o.class) == 0 {
		book, err := openScores(o, s)
		if err != nil {
			return err
		}
		mine := progressOf("you", lessons, book.scores)
		return output(o.output, s, func(w io.Writer) error {
			if o.json {
				return printJSON(w, mine)
			}
			page := talk.NewPage(w)
			for i, l := range lessons {
				page.Hang(fmt.Sprintf("%-10s ", l.Name), fmt.Sprintf("%s: %d of %d done (%s)", l.Title, mine.Lessons[i].Done,
					mine.Lessons[i].Of, l.Circuit))
				page.Para("           ", l.Teaches)
			}
			return nil
		})
	}
	var class []classmate
	for _, path := range o.class {
		scores, err := readScores(path, s.files.Read, s)
		if err != nil {
			return err
		}
		class = append(class, progressOf(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)), lessons, scores))
	}
	return output(o.output, s, func(w io.Writer) error {
		if o.json {
			return printJSON(w, class)
		}
		printClass(w, lessons, class)
		return nil
	})
}

// progressOf is how far somebody is by their scores.
func progressOf(name string, lessons []training.Lesson, scores []training.Score) classmate {
	c := classmate{Name: name}
	for _, l := range lessons {
		d := lessonDone{Lesson: l.Name, Of: l.Of()}
		d.Done, _ = l.Done(scores)
		for _, s := range scores {
			if s.Lesson == l.Name {
				d.Tries++
				d.Unsafe += s.Unsafe
			}
		}
		c.Lessons = append(c.Lessons, d)
	}
	return c
}

// printClass prints a line for everybody: done of all, a mark where tries were unsafe.
func printClass(w io.Writer, lessons []training.Lesson, class []classmate) {
	wide := len("name")
	for _, c := range class {
		wide = max(wide, len([]rune(c.Name)))
	}
	fmt.Fprint(w, talk.Padded("name", wide))
	for _, l := range lessons {
		fmt.Fprint(w, "  "+l.Name)
	}
	fmt.Fprintln(w)
	for _, c := range class {
		line := talk.Padded(c.Name, wide)
		for i, d := range c.Lessons {
			cell := fmt.Sprintf("%d/%d", d.Done, d.Of)
			if d.Unsafe > 0 {
				cell += "!"
			}
			line += "  " + talk.Padded(cell, len([]rune(lessons[i].Name)))
		}
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
	fmt.Fprintln(w, "\nFaults found, put right and proved, out of those in the lesson, or whether its plan of wires "+
		"was right; ! where something unsafe was done.")
}
