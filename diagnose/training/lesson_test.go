package training

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// Every lesson of the program is of a built-in circuit, and each of its faults is one of it.
func TestOwnCourse(t *testing.T) {
	lessons := OwnCourse()
	require.NotEmpty(t, lessons)
	for _, l := range lessons {
		text, ok := circuits.BuiltinText(l.Circuit)
		require.True(t, ok, l.Circuit)
		c, problems := read.Read(l.Circuit, text)
		require.NoError(t, problems.Err())
		faults := faultmodel.List(work.Assemble(c), faultmodel.Options{})
		assert.NotEmpty(t, l.Title, l.Name)
		assert.NotEmpty(t, l.Teaches, l.Name)
		assert.Positive(t, l.Of(), l.Name)
		for _, ids := range l.Faults {
			for _, id := range LessonFaults(ids) {
				_, err := faultmodel.Find(faults, string(id))
				assert.NoError(t, err, l.Name)
			}
			assert.Equal(t, ids, AtOnce(LessonFaults(ids)))
		}
	}
}

func TestReadCourse(t *testing.T) {
	for text, want := range map[string]string{
		"":                                 `a course has "lessons"`,
		"lessons: []":                      `a course has "lessons"`,
		"lessons: 3":                       "this is no course",
		"lesson: []":                       "this is no course",
		"lessons: [{circuit: a}]":          "lesson 1 needs a name",
		"lessons: [{name: a b}]":           "lesson 1 needs a name",
		"lessons: [{name: a}]":             "lesson 1 needs a circuit",
		"lessons: [{name: a, circuit: b}]": `lesson 1 needs "faults"`,
		"lessons: [{name: a, circuit: b, wiring: true, faults: [c]}]":                       `has "wiring", so it has no "faults"`,
		"lessons: [{name: a, circuit: b, faults: [c]}, {name: a, circuit: b, faults: [c]}]": "of one before it",
	} {
		_, err := ReadCourse([]byte(text))
		assert.ErrorContains(t, err, want, text)
	}
}

// A fault is done when it was named right and the repair proved, in this lesson.
func TestLessonDone(t *testing.T) {
	l := Lesson{Name: "l", Faults: []faultmodel.ID{"a", "b"}}
	score := Score{Lesson: "l", Fault: "a", Right: true, Proved: true}
	unproved, elsewhere := score, score
	unproved.Proved = false
	elsewhere.Lesson = "m"
	for _, tt := range []struct {
		scores []Score
		done   int
		next   faultmodel.ID
	}{
		{nil, 0, "a"}, {[]Score{unproved, elsewhere}, 0, "a"}, {[]Score{score}, 1, "b"},
		{[]Score{score, {Lesson: "l", Fault: "b", Right: true, Proved: true}}, 2, ""},
	} {
		done, next := l.Done(tt.scores)
		assert.Equal(t, tt.done, done)
		assert.Equal(t, tt.next, next)
	}
}

// A plan of wires is done when it was right, in this lesson.
func TestLessonInWiringDone(t *testing.T) {
	l := Lesson{Name: "l", Wiring: true}
	right := Score{Lesson: "l", Circuit: "c", Right: true, Wiring: &WiringScore{3, 3, 0}}
	wrong, elsewhere, fault := right, right, right
	wrong.Right, wrong.Wiring = false, &WiringScore{3, 2, 1}
	elsewhere.Lesson = "m"
	fault.Wiring = nil
	done, _ := l.Done([]Score{wrong, elsewhere, fault})
	assert.Zero(t, done)
	done, _ = l.Done([]Score{wrong, right, right})
	assert.Equal(t, l.Of(), done)
	assert.InDelta(t, 2.0/3, wrong.Share(), 1e-9)
	assert.Equal(t, 1.0, right.Share())
}
