// Package sheet reads the YAML files that people write for Pawl, and tells them
// everything that is wrong at once.
//
// Decode fills Go structs from a file. Where a file is wrong it does not stop:
// it gathers a Fault for each mistake, with file, line, column and the path to
// it, what was found, what was wanted and, where it can, a next step. Values
// wrapped in At keep their Place, so that a check made long after the reading,
// by another package, still points at the line.
//
// It is strict on purpose. Unknown keys are faults, a decibel or a time without
// its unit is a fault, and so is anything clever (anchors, aliases, tags,
// several documents) that a person would not expect in a page of settings.
// Schema makes a JSON Schema from the same structs, for editors.
//
// The package opens no file and keeps nothing between calls; its functions may
// be called from any goroutine.
package sheet

import (
	"fmt"
	"reflect"
)

// MaxBytes is the largest file that Decode looks at. The longest map anyone is
// likely to write by hand is a hundredth of it.
const MaxBytes = 1 << 20

// Decode reads the YAML in src into the struct that into points to, and
// returns everything that is wrong with it, sorted by place. The file name
// serves for the faults alone. Fields whose keys are not written keep the
// value they had, so defaults are set before. If any fault is returned, the
// struct holds what could be read and should not be acted upon.
//
// Fields are named by a `yaml:"key"` tag; one without is left alone, unless it
// is embedded: an embedded Place receives the struct's own place, and any other
// embedded struct has its keys on the same level. Further tags:
//
//	jsonschema:"required,minimum=1,maximum=9"  checked here, and said by Schema
//	sheet:"short"                              a scalar in place of the struct is this field
//	doc:"One sentence."                        said by Schema
//
// A field may be a string, bool, integer or float, a struct or a pointer to
// one, a slice, a Map, a Some, an At of any of these, a Unit, a time.Duration,
// one of a few Words, or an Unmarshaler of its own.
//
// Decode panics if into is not a pointer to a struct, or the struct has a field
// of another type: those are mistakes in the program, not in the file.
func Decode(file string, src []byte, into any) Faults {
	v := reflect.ValueOf(into)
	if v.Kind() != reflect.Pointer || v.Elem().Kind() != reflect.Struct {
		panic(fmt.Sprintf("sheet: Decode wants a pointer to a struct, not %T", into))
	}
	d := &decoder{file: file, forms: map[reflect.Type]form{}}
	if root := d.parse(src); root != nil {
		root.inspect(maxDepth)
		root.read(v.Elem())
	}
	d.faults.Sort()
	if d.dropped > 0 {
		d.faults = append(d.faults, d.faults[len(d.faults)-1].more(d.dropped))
	}
	return d.faults
}

// maxFaults is more than anyone reads. Beyond it they are only counted: a file
// of another sort altogether would bring one for each of its lines.
const maxFaults = 200

func (f Fault) more(n int) Fault {
	f.Path, f.Hint, f.Text = "", "put these right first", fmt.Sprintf("and %d more faults", n)
	return f
}
