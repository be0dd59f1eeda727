package sheet

import (
	"math"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// Unit is a float64 whose values are written with a unit of its own, such as
// "95 dB(A)". The method has a value receiver and always gives the same word.
type Unit interface{ Unit() string }

// unit is how numbers of a type are written.
type unit struct {
	word    string
	want    string
	factor  float64
	written *regexp.Regexp
}

const (
	numberForm   = `[+-]?[0-9]+(\.[0-9]+)?`
	durationForm = `^([0-9]+(\.[0-9]+)?(h|m|s|ms))+$`
)

var (
	duration = unit{want: "a time, such as \"45s\" or \"3m\"", written: regexp.MustCompile(durationForm)}
	unitless = regexp.MustCompile(`^` + numberForm + `$`)

	// usual are the units of which more can be said than that a number has them.
	usual = map[string]unit{
		"dB":   newUnit("dB", "-inf|"+numberForm, "decibels, such as \"3 dB\"", 1),
		"dBFS": newUnit("dBFS", "-inf|"+numberForm, "a level, such as \"-50 dBFS\"", 1),
		"%":    newUnit("%", numberForm, "a share, such as \"80 %\"", 0.01),
	}
)

func newUnit(word, number, want string, factor float64) unit {
	return unit{word, want, factor, regexp.MustCompile(`^(` + number + `) ?` + regexp.QuoteMeta(word) + `$`)}
}

// unitOf finds how numbers of a type are written, if they carry a unit.
func unitOf(t reflect.Type) (unit, bool) {
	if t == reflect.TypeFor[time.Duration]() {
		return duration, true
	}
	u, ok := reflect.Zero(t).Interface().(Unit)
	if !ok || t.Kind() != reflect.Float64 {
		return unit{}, false
	}
	word := u.Unit()
	if known, ok := usual[word]; ok {
		return known, true
	}
	return newUnit(word, numberForm, "a number with its unit, such as \"6 "+word+"\"", 1), true
}

func (u unit) form() form {
	return form{
		want:   u.want,
		scalar: true,
		read: func(n *Node, v reflect.Value) {
			x, ok := u.read(n.y.Value)
			switch {
			case !ok:
				n.Wrong(u.hint(n.y.Value), "found %s; want %s", n.Found(), u.want)
			case u.factor == 0:
				v.SetInt(int64(x))
			default:
				v.SetFloat(x)
			}
		},
		schema: func(builder) object { return object{"type": "string", "pattern": u.written.String()} },
	}
}

// read is the number that text stands for, in the unit of the Go type.
func (u unit) read(text string) (float64, bool) {
	if !u.written.MatchString(text) {
		return 0, false
	}
	if u.factor == 0 {
		t, err := time.ParseDuration(text)
		return float64(t), err == nil
	}
	number := strings.TrimSpace(strings.TrimSuffix(text, u.word))
	if number == "-inf" {
		return math.Inf(-1), true
	}
	v, err := strconv.ParseFloat(number, 64)
	return v * u.factor, err == nil
}

// hint is the next step after text that read refused.
func (u unit) hint(text string) string {
	if u.factor == 0 {
		if joined := strings.ReplaceAll(text, " ", ""); joined != text && u.written.MatchString(joined) {
			return "did you mean \"" + joined + "\"?"
		}
		if unitless.MatchString(text) && text[0] != '-' {
			return "write the unit too: \"" + text + "s\" if seconds are meant"
		}
		return ""
	}
	if unitless.MatchString(text) {
		return "write the unit too: \"" + text + " " + u.word + "\" if that is meant"
	}
	number := strings.TrimRight(text, "dDbBfFsS %")
	if unitless.MatchString(number) {
		return "did you mean \"" + number + " " + u.word + "\"?"
	}
	return ""
}
