package exam

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
)

// MostExtra bounds the extra time for one fault, in minutes.
const MostExtra = 24 * 60

// ExtraForm says how extra time is written.
const ExtraForm = "minutes for each fault, as 10 or 7.5"

// ParseExtra reads extra time for each fault, in minutes.
func ParseExtra(typed string) (float64, error) {
	typed = strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(typed), "min"), " ")
	x, err := strconv.ParseFloat(typed, 64)
	if err != nil || math.IsNaN(x) || x < 0 || x > MostExtra {
		return 0, fmt.Errorf("%q is not a number of minutes", typed)
	}
	return x, nil
}

// ReadExtra reads who was given extra time after the exam was set: a candidate's number and
// minutes for each fault on a line. It adds to what the class list gives.
func ReadExtra(file string, text io.Reader) (map[int]float64, circuits.Problems) {
	var problems circuits.Problems
	extra := make(map[int]float64)
	r := csv.NewReader(text)
	r.FieldsPerRecord = -1
	for {
		fields, err := r.Read()
		if err == io.EOF {
			return extra, problems
		}
		line, column := 1, 1
		if err == nil {
			line, column = r.FieldPos(0)
		}
		wrong := func(what string) {
			problems = append(problems, circuits.Problem{File: file, Pos: circuits.Pos{Line: line, Column: column},
				What: what, Hint: "a candidate's number, a comma, " + ExtraForm})
		}
		if err != nil {
			wrong(err.Error())
			return extra, problems
		}
		if len(fields) < 2 {
			wrong("this line gives nobody extra time")
			continue
		}
		number, err := strconv.Atoi(strings.TrimSpace(fields[0]))
		if err != nil || number < 1 {
			wrong(fmt.Sprintf("%q is no candidate's number", fields[0]))
			continue
		}
		if extra[number], err = ParseExtra(fields[1]); err != nil {
			wrong(err.Error())
		}
	}
}

// WriteExtra writes what ReadExtra reads.
func WriteExtra(w io.Writer, extra map[int]float64) error {
	numbers := make([]int, 0, len(extra))
	for n := range extra {
		numbers = append(numbers, n)
	}
	slices.Sort(numbers)
	for _, n := range numbers {
		if _, err := fmt.Fprintf(w, "%d,%g\n", n, extra[n]); err != nil {
			return err
		}
	}
	return nil
}
