package read

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// Numbers outside these bounds are no volts, ohms, seconds or minutes of a control
// circuit, and their squares would not be numbers any more.
const (
	leastNumber = 1e-6
	mostNumber  = 1e9
)

// The numbers of the core schema of YAML 1.2.
var (
	decimal = regexp.MustCompile(`^[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?$`)
	octal   = regexp.MustCompile(`^0o[0-7]+$`)
	hex     = regexp.MustCompile(`^0x[0-9a-fA-F]+$`)
	noValue = regexp.MustCompile(`^([-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN))$`)
	// A number with its unit or with a decimal comma.
	nearNumber = regexp.MustCompile(`^([0-9]+)(?:[.,]([0-9]+))?\s*(%|V|A|VA|Hz|Ω|ohms?|s|seconds?)?$`)
)

// number reads a value that is a finite number.
func (r *reader) number(e *entry) (float64, bool) {
	n := e.value
	if n.Kind != yaml.ScalarNode || isNull(n) {
		r.wrong(r.where(e), "", "%s is %s where a number is needed", e.key, described(n))
		return 0, false
	}
	var value float64
	var err error
	switch s := n.Value; {
	case noValue.MatchString(s) && isPlain(n):
		r.wrong(n, "", "%s is %s where a finite number is needed", e.key, circuits.Quote(s))
		return 0, false
	case !isPlain(n):
		right := ""
		if decimal.MatchString(s) {
			right = s + " without quotes"
		}
		r.wrong(n, right, "%s is the text %s where a number is needed", e.key, circuits.Quote(s))
		return 0, false
	case decimal.MatchString(s):
		value, err = strconv.ParseFloat(s, 64)
	case octal.MatchString(s):
		value, err = unsigned(s[2:], 8)
	case hex.MatchString(s):
		value, err = unsigned(s[2:], 16)
	default:
		right := ""
		if m := nearNumber.FindStringSubmatch(s); m != nil {
			right = m[1]
			if m[2] != "" {
				right += "." + m[2]
			}
		}
		r.wrong(n, right, "%s is %s where a number is needed", e.key, circuits.Quote(s))
		return 0, false
	}
	if err != nil || math.Abs(value) > mostNumber {
		r.wrong(n, fmt.Sprintf("at most %.0e", mostNumber), "%s is %s, which is too large", e.key,
			circuits.Quote(n.Value))
		return 0, false
	}
	return value, true
}

func unsigned(digits string, base int) (float64, error) {
	v, err := strconv.ParseUint(digits, base, 64)
	return float64(v), err
}

// positive reads a number above zero.
func (r *reader) positive(e *entry) (float64, bool) {
	v, ok := r.number(e)
	if ok && v < leastNumber {
		right := "a number above zero"
		if v > 0 {
			right = fmt.Sprintf("at least %g", leastNumber)
		}
		r.wrong(e.value, right, "%s is %s", e.key, e.value.Value)
		ok = false
	}
	return v, ok
}

// yes reads true or false.
func (r *reader) yes(e *entry) (bool, bool) {
	if e.value.Kind == yaml.ScalarNode && isPlain(e.value) {
		switch strings.ToLower(e.value.Value) {
		case "true":
			return true, true
		case "false":
			return false, true
		}
	}
	r.wrong(r.where(e), "true or false", "%s is %s", e.key, described(e.value))
	return false, false
}
