package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Fault is one thing wrong with a file, or a piece of advice about it.
type Fault struct {
	File      string
	Line, Col int    // counted from 1
	Path      string // "signals[3].value.taper"; empty for the file as a whole
	Text      string // what was found, and what was wanted
	Hint      string // the next step; may be empty

	// Advice marks a remark: the file can be used as it is.
	Advice bool
}

// String is the fault on one line, and the next step indented on a second.
func (f Fault) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:%d:%d: ", f.File, f.Line, f.Col)
	if f.Advice {
		b.WriteString("advice: ")
	}
	if f.Path != "" {
		b.WriteString(f.Path + ": ")
	}
	b.WriteString(f.Text)
	if f.Hint != "" {
		b.WriteString("\n    " + f.Hint)
	}
	return b.String()
}

// Faults are all that is to be said about one or more files. The zero value
// says that nothing is wrong.
type Faults []Fault

// Error is every fault as String gives it, each on lines of its own.
func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.String()
	}
	return strings.Join(lines, "\n")
}

// Wrong reports whether any of the faults is more than advice.
func (fs Faults) Wrong() bool {
	return slices.ContainsFunc(fs, func(f Fault) bool { return !f.Advice })
}

// Sort orders faults by file, line, column and then by what they say, and drops
// repetitions.
func (fs *Faults) Sort() {
	slices.SortStableFunc(*fs, func(a, b Fault) int {
		return cmp.Or(strings.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Col, b.Col), strings.Compare(a.Path, b.Path), strings.Compare(a.Text, b.Text))
	})
	*fs = slices.Compact(*fs)
}
