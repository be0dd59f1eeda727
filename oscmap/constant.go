package oscmap

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"pawl/oscmap/sheet"
	"pawl/oscmap/wire"
)

// readNumber reads a number that stands without quotes, and says what else was wanted
// of one that does not.
func readNumber(n *sheet.Node, want string) (x float64, ok bool) {
	if n.IsText() {
		n.Wrong("", "found %s; want %s", n.Found(), want)
		return 0, false
	}
	return x, n.Decode(&x)
}

// constant is a value that the map itself writes: on, off, -inf or a number.
type constant float64

// FromSheet reads a constant in a file.
func (c *constant) FromSheet(n *sheet.Node) {
	const want = "on, off, -inf or a number"
	switch n.Text() {
	case "on", "yes", "true", "True", "TRUE":
		*c = 1
	case "off", "no", "false", "False", "FALSE":
		*c = 0
	case "-inf":
		*c = constant(math.Inf(-1))
	default:
		if n.IsList() || n.IsMapping() {
			n.Wrong("", "found %s; want %s", n.Found(), want)
		} else if x, ok := readNumber(n, want); ok {
			*c = constant(x)
		}
	}
}

// Forms says how a constant is written.
func (constant) Forms() []any {
	return []any{0.0, sheet.Constants{true, false, "on", "off", "yes", "no", "-inf"}}
}

// factor is a number that may be written as a fraction, "1/256".
type factor float64

const factorForm = `^[+-]?[0-9]+(\.[0-9]+)?/[0-9]+(\.[0-9]+)?$`

var factorWritten = regexp.MustCompile(factorForm)

// FromSheet reads a factor in a file.
func (f *factor) FromSheet(n *sheet.Node) {
	var x float64
	if factorWritten.MatchString(n.Text()) {
		above, below, _ := strings.Cut(n.Text(), "/")
		a, _ := strconv.ParseFloat(above, 64)
		b, _ := strconv.ParseFloat(below, 64)
		x = a / b
	} else {
		var ok bool
		if x, ok = readNumber(n, "a number or a fraction, such as 1/256"); !ok {
			return
		}
	}
	if x == 0 || math.IsInf(x, 0) || math.IsNaN(x) || math.Abs(x) > 1e12 {
		n.Wrong("", "found %s; want a factor that is neither 0 nor without end", n.Found())
		x = 1
	}
	*f = factor(x)
}

// Forms says how a factor is written.
func (factor) Forms() []any { return []any{0.0, sheet.Pattern(factorForm)} }

// bound picks numbers out: one, or all from there on.
type bound struct {
	from  byte // '<', '>', or 0 for the number alone
	x     float64
	equal bool
}

const boundForm = `^(<=|<|>=|>) *[+-]?[0-9]+(\.[0-9]+)?$`

var boundWritten = regexp.MustCompile(boundForm)

// FromSheet reads a bound in a file.
func (b *bound) FromSheet(n *sheet.Node) {
	text := n.Text()
	if boundWritten.MatchString(text) {
		b.from, b.equal = text[0], strings.Contains(text, "=")
		b.x, _ = strconv.ParseFloat(strings.TrimLeft(text, "<>= "), 64)
		return
	}
	b.x, _ = readNumber(n, "a number, or \"<= -110\"")
}

// Forms says how a bound is written.
func (bound) Forms() []any { return []any{0.0, sheet.Pattern(boundForm)} }

// holds allows for a number that went through a float32 on its way.
func (b bound) holds(x float64) bool {
	near := math.Abs(x-b.x) <= 1e-6*math.Max(1, math.Abs(b.x))
	switch {
	case b.from == 0 || near:
		return near && (b.from == 0 || b.equal)
	case b.from == '<':
		return x < b.x
	}
	return x > b.x
}

// literal is a text or a number that an argument is compared with.
type literal struct {
	text   string
	number float64
	isText bool
}

// FromSheet reads a literal in a file.
func (l *literal) FromSheet(n *sheet.Node) {
	switch {
	case n.IsList() || n.IsMapping():
		n.Wrong("", "found %s; want text or a number", n.Found())
	case n.IsText():
		l.text, l.isText = n.Text(), true
	default:
		n.Decode(&l.number)
		l.text = n.Text()
	}
}

// holds reports whether an argument is the literal.
func (l *literal) holds(a *wire.Arg) bool {
	return a.IsText() && l.text == string(a.Bytes) || a.IsNumber() && !l.isText && l.number == a.Number
}

// Forms says how a literal is written.
func (literal) Forms() []any { return []any{"", 0.0} }
