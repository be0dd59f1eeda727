package sheet

import "fmt"

// Place is where in a file something is written. The zero value is nowhere:
// the key was left out.
type Place struct {
	File      string
	Line, Col int // counted from 1
	Path      string
}

// Written reports whether there is such a place.
func (p Place) Written() bool { return p.Line > 0 }

// Wrong makes a fault at this place. The hint is the next step, and may be
// empty; the rest says what was found and what was wanted, as fmt.Sprintf does.
func (p Place) Wrong(hint, format string, args ...any) Fault {
	return Fault{File: p.File, Line: p.Line, Col: p.Col, Path: p.Path, Text: fmt.Sprintf(format, args...), Hint: hint}
}

// Advise makes a remark at this place, with arguments as for Wrong.
func (p Place) Advise(hint, format string, args ...any) Fault {
	f := p.Wrong(hint, format, args...)
	f.Advice = true
	return f
}

// At is a value together with the place where it was written, for a field that
// is checked later against other things. A default is set as At[T]{V: …}; its
// Place tells whether the file said otherwise.
type At[T any] struct {
	V     T
	Place Place
}

// Written reports whether the file has this value.
func (a At[T]) Written() bool { return a.Place.Written() }

// placed is an At whatever its type.
func (*At[T]) placed() {}
